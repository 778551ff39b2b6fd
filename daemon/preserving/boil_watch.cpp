// The rules of boil_watch.hpp over a ring of temperatures, at most a hundred in a window.
#include "daemon/preserving/boil_watch.hpp"

#include <algorithm>
#include <cstdlib>

namespace maslin::preserving {
namespace {

constexpr std::int64_t apart_ms = 200;  // no closer are readings kept
// How it came is the greatest slope of the last one to two spans.
constexpr std::int64_t approach_ms = 90'000;
// It would have risen by so much at the slope it came with: so long it must have been flat.
constexpr double kink_k = 0.5;
constexpr std::int64_t longest_window_ms = 90'000;
constexpr double least_flat_k_s = 0.0008;  // what noise leaves of a slope over that
// Forecast: the lag of a probe, what it is off by, how far a boil lies over water's.
constexpr double lag_least_s = 2, lag_likely_s = 6, lag_most_s = 20;
constexpr double off_k = 0.7;
constexpr double slower = 1.1;  // near the boil more of the heat is lost
constexpr double slowest = 1.25;
constexpr std::int64_t falls_for_ms = 5000;  // off its level before a word is said
constexpr double least_warming_k_s = 0.003;
constexpr std::int64_t near_mk = 4000;
constexpr std::int64_t far_below_mk = 1500;
constexpr std::int64_t ends_at_mean_mk = 100;
// Where the cook is asked again, it stands higher than that by so much.
constexpr std::int64_t stands_higher_mk = 300;
// Rising by so much more than it was ever heated, it is not the pot that warms; nor by less than
// that altogether.
constexpr double quicker_than_heated = 1.6;
constexpr double heats_unseen_k_s = 0.3;
constexpr std::int64_t at_lowest_mk = 300;  // within that it has not begun to rise
constexpr std::int64_t noise_mk = 150;
constexpr std::int64_t back_within_mk = 600;  // of its level; that is the noise's upper edge
// The second half of its way: further under its level than that it still rises quicker than the pot
// was ever heated, which noise blurs; nearer, a thermometer is slow as well, so a time decides.
constexpr std::int64_t still_quick_mk = 2000;
constexpr double blurred = 1.2;
constexpr std::int64_t quick_over_ms = 4000;
constexpr std::int64_t back_by_ms = 30'000;
// The cook's word against the boiling point: bias, weather and a little more.
constexpr std::int64_t not_credible_mk = 3000;

}  // namespace

void BoilWatch::begin(std::int64_t boiling_point_mk) {
  *this = BoilWatch(rule_);
  boiling_point_mk_ = boiling_point_mk;
}

void BoilWatch::restart() {
  count_ = 0;
  boiling_ = false;
  away_.reset();
  approach_k_s_ = approach_before_k_s_ = 0;
}

void BoilWatch::again() {
  boiling_ = false;
  near_said_ = false;
  stood_mk_ = 0;
  away_.reset();
}

bool BoilWatch::seen_boiling() {
  const auto lately = window();
  if (!can_tell() || !lately || lately->level_mk < boiling_point_mk_ - not_credible_mk) {
    return false;
  }
  boil(samples_[(next_ + capacity - 1) % capacity].at_ms, lately->level_mk);
  return true;
}

void BoilWatch::boil(std::int64_t at_ms, std::int64_t level_mk) {
  if (heats_k_s_ <= 0) heats_k_s_ = std::max(approach_k_s_, approach_before_k_s_);
  boiling_ = true;
  away_.reset();
  plateau_mk_ = boiled_mk_ = level_mk;
  falling_said_ = false;
  on_plateau_ms_ = not_fallen_ms_ = half_fallen_ms_ = at_ms;
}

std::optional<BoilWatch::Window> BoilWatch::window(std::int64_t length_ms) const {
  if (count_ < 5) return std::nullopt;
  const Sample newest = samples_[(next_ + capacity - 1) % capacity];
  double level_n = 0, level_y = 0;
  double n = 0, sum_t = 0, sum_y = 0, sum_tt = 0, sum_ty = 0;
  std::int64_t least = newest.temperature_mk;
  std::int64_t greatest = newest.temperature_mk;
  bool filled = false;
  for (std::size_t i = 0; i < count_; ++i) {
    const Sample& sample = samples_[(next_ + capacity - 1 - i) % capacity];
    const double t = static_cast<double>(sample.at_ms - newest.at_ms) / 1000.0;
    const double y = static_cast<double>(sample.temperature_mk - newest.temperature_mk) / 1000.0;
    least = std::min(least, sample.temperature_mk);
    greatest = std::max(greatest, sample.temperature_mk);
    if (i == 0 || newest.at_ms - sample.at_ms < rule_.level_ms) {
      level_n += 1;
      level_y += y;
    }
    n += 1;
    sum_t += t;
    sum_y += y;
    sum_tt += t * t;
    sum_ty += t * y;
    if (newest.at_ms - sample.at_ms >= length_ms) {
      filled = true;
      break;
    }
  }
  const double spread = n * sum_tt - sum_t * sum_t;
  if (!filled || spread <= 0) return std::nullopt;
  const auto above_newest = [&](double kelvin) {
    return newest.temperature_mk + static_cast<std::int64_t>(kelvin * 1000);
  };
  return Window{(n * sum_ty - sum_t * sum_y) / spread, greatest - least, above_newest(sum_y / n),
                above_newest(level_y / level_n)};
}

// A window with a valley in it has no slope either, but ends higher than it was.
bool BoilWatch::flat(const Window& lately) const {
  const bool valley =
      rule_.level_ms > 0 && std::abs(lately.level_mk - lately.mean_mk) > ends_at_mean_mk;
  return !valley && lately.span_mk <= rule_.span_mk && lately.slope_k_s < rule_.flat_k_s &&
         lately.slope_k_s > -rule_.falling_k_s;
}

void BoilWatch::note_approach(std::int64_t at_ms, double slope_k_s) {
  if (at_ms - approach_since_ms_ >= approach_ms) {
    approach_before_k_s_ = approach_k_s_;
    approach_k_s_ = 0;
    approach_since_ms_ = at_ms;
  }
  approach_k_s_ = std::max(approach_k_s_, slope_k_s);
}

// Flat for long enough beside how it came; where nobody saw it come, for the longest. Where it has
// boiled before it boils again.
bool BoilWatch::kinked(std::int64_t level_mk) const {
  if (rule_.kink_share <= 0) return true;
  if (boiled_mk_ > 0 && level_mk >= boiled_mk_ - rule_.off_level_mk) return true;
  const double came_k_s = std::max(approach_k_s_, approach_before_k_s_);
  const double needed_ms = came_k_s > 0 ? 1000 * kink_k / came_k_s : 0;
  const std::int64_t length_ms = came_k_s > 0 ? std::clamp(static_cast<std::int64_t>(needed_ms),
                                                           rule_.window_ms, longest_window_ms)
                                              : longest_window_ms;
  const auto over = window(length_ms);
  return over && over->slope_k_s < std::max(rule_.kink_share * came_k_s, least_flat_k_s) &&
         over->slope_k_s < rule_.flat_k_s;
}

std::optional<std::int64_t> BoilWatch::stands_mk() const {
  const auto lately = window();
  if (!lately || !flat(*lately)) return std::nullopt;
  return lately->mean_mk;
}

bool BoilWatch::stands_under() const {
  const auto lately = boiling_ ? std::nullopt : window();
  return lately && has_boiled() && lately->span_mk <= rule_.span_mk &&
         lately->slope_k_s < rule_.flat_k_s && under_boil(lately->mean_mk) &&
         lately->mean_mk >= boiling_point_mk_ - not_credible_mk;
}

std::optional<std::int64_t> BoilWatch::stands_far_below_mk() const {
  const auto stands = boiling_ ? std::nullopt : stands_mk();
  if (!stands || *stands >= boiling_point_mk_ - not_credible_mk) return std::nullopt;
  return stands;
}

double BoilWatch::heats_k_s() const { return heats_k_s_ > 0 ? heats_k_s_ : heats_unseen_k_s; }

bool BoilWatch::returning() const {
  if (!away_) return false;
  if (away_->half_back_ms) return true;
  const Sample& newest = samples_[(next_ + capacity - 1) % capacity];
  const auto risen_mk =
      static_cast<double>(newest.temperature_mk - away_->lowest_mk - at_lowest_mk - noise_mk);
  return risen_mk >
         quicker_than_heated * heats_k_s() * static_cast<double>(newest.at_ms - away_->lowest_ms);
}

// A thermometer that was lifted far out is quick to half of the way also into a pot that has gone
// cold meanwhile, and then waits for it.
bool BoilWatch::as_quick_to_the_end(std::int64_t at_ms, std::int64_t level_mk) const {
  const std::int64_t since_half_ms = at_ms - *away_->half_back_ms;
  if (since_half_ms > back_by_ms) return false;
  if (level_mk >= plateau_mk_ - still_quick_mk || since_half_ms < quick_over_ms) return true;
  const auto lately = window(quick_over_ms);
  return !lately || lately->slope_k_s > blurred * heats_k_s();
}

// Half of the way can rule the pot out: one that was cooled rises no sooner than its burner heats
// it, and a thermometer that lags only makes that later. The rest has to be as quick.
bool BoilWatch::comes_back(std::int64_t at_ms, std::int64_t level_mk) {
  if (level_mk <= away_->lowest_mk + at_lowest_mk) {
    away_ = Away{std::min(level_mk, away_->lowest_mk), at_ms};
  }
  if (!away_->half_back_ms) {
    const bool half_way = 2 * (level_mk - away_->lowest_mk) >= plateau_mk_ - away_->lowest_mk;
    if (!half_way) return false;
    if (!returning()) {
      again();  // the pot itself was cooled
      return false;
    }
    away_->half_back_ms = at_ms;
  }
  if (level_mk < plateau_mk_ - back_within_mk) {
    if (!as_quick_to_the_end(at_ms, level_mk)) again();
    return false;
  }
  // Its level it has to show before it counts as there: a fall now began where the last one did.
  away_.reset();
  boiling_ = true;
  not_fallen_ms_ = half_fallen_ms_ = at_ms;
  return true;
}

std::optional<BoilForecast> BoilWatch::forecast() const {
  if (boiling_ || !can_tell()) return std::nullopt;
  const auto longer = window(rule_.forecast_ms);
  const auto lately = longer ? longer : window();
  if (!lately || lately->slope_k_s < least_warming_k_s) return std::nullopt;
  const double slope = lately->slope_k_s;
  const auto newest_mk = samples_[(next_ + capacity - 1) % capacity].temperature_mk;
  const double missing_k = static_cast<double>(boiling_point_mk_ - newest_mk) / 1000;
  const auto in_s = [&](double kelvin, double lag_s) {
    return std::max(0.0, kelvin / slope - lag_s);
  };
  return BoilForecast{in_s(missing_k - off_k, lag_most_s),
                      in_s((missing_k + rule_.over_water_k / 3) * slower, lag_likely_s),
                      in_s(missing_k + off_k + rule_.over_water_k, lag_least_s) * slowest};
}

BoilChange BoilWatch::feed(std::int64_t at_ms, std::int64_t temperature_mk) {
  if (!can_tell()) return BoilChange::nothing;
  if (count_ > 0) {
    const Sample& last = samples_[(next_ + capacity - 1) % capacity];
    if (at_ms - last.at_ms < apart_ms) return BoilChange::nothing;
  }
  samples_[next_] = {at_ms, temperature_mk};
  next_ = (next_ + 1) % capacity;
  count_ = std::min(count_ + 1, capacity);
  const auto lately = window();
  if (!lately) return BoilChange::nothing;
  if (boiling_) return feed_boiling(at_ms, *lately);
  const std::int64_t level = lately->level_mk;
  if (away_ && comes_back(at_ms, level)) return BoilChange::back;
  note_approach(at_ms, lately->slope_k_s);
  highest_mk_ = std::max(highest_mk_, rule_.level_ms > 0 ? lately->mean_mk : level);
  if (flat(*lately)) {
    const bool under_highest =
        rule_.under_highest_mk > 0 && level < highest_mk_ - rule_.under_highest_mk;
    if (level >= boiling_point_mk_ - rule_.short_of_boil_mk && !under_highest && kinked(level)) {
      boil(at_ms, level);
      return BoilChange::reached;
    }
    if (rule_.says_stands && level >= boiling_point_mk_ - far_below_mk &&
        level >= stood_mk_ + stands_higher_mk) {
      stood_mk_ = level;
      return BoilChange::stands;
    }
  }
  if (!near_said_ && lately->slope_k_s > 0 && temperature_mk >= boiling_point_mk_ - near_mk) {
    near_said_ = true;
    return BoilChange::near;
  }
  return BoilChange::nothing;
}

BoilChange BoilWatch::feed_boiling(std::int64_t at_ms, const Window& lately) {
  const std::int64_t level = lately.level_mk;
  // A syrup's boil only climbs, and so does a pot that was not quite there.
  plateau_mk_ = std::max(plateau_mk_, rule_.level_ms > 0 ? lately.mean_mk : level);
  boiled_mk_ = plateau_mk_;
  highest_mk_ = std::max(highest_mk_, plateau_mk_);
  if (level >= plateau_mk_ - rule_.off_level_mk) on_plateau_ms_ = at_ms;
  if (level >= plateau_mk_ - rule_.fallen_mk / 2) half_fallen_ms_ = at_ms;
  const bool under = level < plateau_mk_ - rule_.fallen_mk;
  if (!under) not_fallen_ms_ = at_ms;
  const bool fallen = under && (lately.slope_k_s < -rule_.falling_k_s ||
                                (rule_.under_ms > 0 && at_ms - not_fallen_ms_ >= rule_.under_ms));
  // Where the eye has put the level lower than the rule would, it counts from there.
  const bool by_eye = plateau_mk_ < boiling_point_mk_ - rule_.short_of_boil_mk;
  if (fallen || level < (by_eye ? plateau_mk_ : boiling_point_mk_) - far_below_mk) {
    const bool quick = under && at_ms - half_fallen_ms_ <= rule_.quick_ms;
    again();
    if (!quick) return BoilChange::left;
    away_ = Away{level, at_ms};
    return BoilChange::away;
  }
  const bool off_level = level < plateau_mk_ - rule_.off_level_mk;
  if (!off_level) falling_said_ = false;
  if (off_level && !falling_said_ && at_ms - on_plateau_ms_ >= falls_for_ms &&
      lately.slope_k_s < -rule_.falling_k_s) {
    falling_said_ = true;
    return BoilChange::falling;
  }
  return BoilChange::nothing;
}

}  // namespace maslin::preserving
