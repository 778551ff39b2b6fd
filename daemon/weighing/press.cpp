// The rule of press.hpp. All figures below come from simulation, with seeds that
// tests/unit/weighing/press_test.cpp does not use.
#include "daemon/weighing/press.hpp"

#include <cmath>

namespace maslin::weighing {
namespace {

constexpr std::int64_t quiet_before_ms = 900;
constexpr std::size_t readings_before = 6;  // in that: five a second
constexpr std::int64_t quiet_after_ms = 600;
constexpr std::size_t readings_after = 4;
constexpr std::int64_t longest_gap_ms = 450;    // two readings of five a second may be lost
constexpr std::int64_t longest_move_ms = 4500;  // from rest to rest; the lag of a display included
constexpr std::int64_t spacing_ms = 35;         // denser readings say nothing more about a hand
constexpr std::int64_t undone_over_ms = 190;
constexpr double least_tolerance_g = 0.9;
constexpr double least_impulse_g_s = 52;
constexpr double least_force_g = 200;
constexpr double shortest_s = 0.17;  // what is shorter cannot be told apart behind a display
constexpr double longest_s = 1.1;
constexpr double variance_slack = 0.015;  // s²; a display that is another one is further off
constexpr double lag_slack = 0.25;        // of the display's own: its lag is known to an eighth
constexpr double least_rise_again = 0.2;  // of the peak
constexpr double least_dip = 0.2;         // of the peak, under the rest: something was lifted

double seconds(std::int64_t ms) { return static_cast<double>(ms) / 1000; }

}  // namespace

PressTrack::PressTrack(std::int64_t interval_ug, std::int64_t lag_ms, Display display)
    : interval_g_(static_cast<double>(std::max<std::int64_t>(interval_ug, 1)) / 1e6),
      lag_s_(seconds(std::max<std::int64_t>(lag_ms, 1))),
      display_(display),
      tolerance_g_(std::max(1.2 * interval_g_, least_tolerance_g)) {
  if (display_ == Display::one_pole) {
    // Taking the tail out makes the noise of two readings larger by this much.
    const double a = std::exp(-seconds(undone_over_ms) / lag_s_);
    tolerance_g_ *= (1 + a) / (1 - a);
  }
}

void PressTrack::restart() {
  state_ = State::waiting;
  count_ = 0;
  next_ = 0;
}

// z = (y(t) - a y(t - w)) / (1 - a) with a = exp(-w / lag): the load behind a one-pole filter, as
// its mean over about w. Empty until there is a reading so long ago.
std::optional<double> PressTrack::load_of(std::int64_t at_ms, double shown_g) const {
  if (display_ == Display::mean) return shown_g;
  for (std::size_t n = 0; n < count_; ++n) {
    const Sample& earlier = back(n);
    if (at_ms - earlier.at_ms < undone_over_ms) continue;
    const double a = std::exp(-seconds(at_ms - earlier.at_ms) / lag_s_);
    return (shown_g - a * earlier.shown_g) / (1 - a);
  }
  return std::nullopt;
}

void PressTrack::add_since(std::int64_t from_ms, double from_g, Sample& sample) const {
  const double from_s = seconds(from_ms - rest_ms_);
  const double to_s = seconds(sample.at_ms - rest_ms_);
  const double half_s = (to_s - from_s) / 2;
  const double before_g = from_g - rest_g_;
  const double now_g = sample.load_g - rest_g_;
  sample.sum += half_s * (before_g + now_g);
  sample.sum_t += half_s * (before_g * from_s + now_g * to_s);
  sample.sum_tt += half_s * (before_g * from_s * from_s + now_g * to_s * to_s);
}

void PressTrack::push(Sample sample) {
  if (count_ > 0 && state_ == State::moved) {
    const Sample& last = back(0);
    sample.sum = last.sum;
    sample.sum_t = last.sum_t;
    sample.sum_tt = last.sum_tt;
    add_since(last.at_ms, last.load_g, sample);
  }
  samples_[next_] = sample;
  next_ = (next_ + 1) % capacity;
  count_ = std::min(count_ + 1, capacity);
}

std::size_t PressTrack::rest(std::int64_t for_ms, std::size_t fewest) const {
  double least = back(0).load_g;
  double greatest = least;
  for (std::size_t n = 0; n < count_; ++n) {
    least = std::min(least, back(n).load_g);
    greatest = std::max(greatest, back(n).load_g);
    if (greatest - least > tolerance_g_) return 0;
    if (back(0).at_ms - back(n).at_ms >= for_ms) return n + 1 >= fewest ? n + 1 : 0;
  }
  return 0;
}

double PressTrack::mean(std::size_t from, std::size_t to) const {
  double sum = 0;
  for (std::size_t n = from; n < to; ++n) sum += back(n).load_g;
  return sum / static_cast<double>(to - from);
}

void PressTrack::begin_move(double load_g) {
  state_ = State::moved;
  peak_g_ = lowest_g_ = fallen_to_g_ = 0;
  rose_again_ = false;
  follow(load_g);
  add_since(rest_ms_, rest_g_, samples_[(next_ + capacity - 1) % capacity]);
}

void PressTrack::follow(double load_g) {
  const double above_g = load_g - rest_g_;
  lowest_g_ = std::min(lowest_g_, above_g);
  const double again_g = above_g - fallen_to_g_;
  if (above_g > peak_g_) {
    if (fallen_to_g_ < peak_g_ && again_g > least_rise_again * above_g) rose_again_ = true;
    peak_g_ = above_g;
    fallen_to_g_ = above_g;
  } else {
    fallen_to_g_ = std::min(fallen_to_g_, above_g);
    if (again_g > least_rise_again * peak_g_) rose_again_ = true;
  }
}

// `last`: the first reading of the rest after it.
std::optional<Press> PressTrack::judge(const Sample& last) const {
  if (rose_again_ || lowest_g_ < -least_dip * peak_g_ || last.sum < least_impulse_g_s) {
    return std::nullopt;
  }
  const double mean_s = last.sum_t / last.sum;
  const double variance = last.sum_tt / last.sum - mean_s * mean_s;
  // The share of the display: a mean over twice the lag, or what undoing the tail averages over.
  const double over_s = display_ == Display::mean ? 2 * lag_s_ : seconds(undone_over_ms);
  const double of_display = over_s * over_s / 12;
  if (variance < of_display * (1 - lag_slack) - variance_slack) return std::nullopt;
  const double duration_s =
      std::max(shortest_s, std::sqrt(12 * std::max(0.0, variance - of_display)));
  const double force_g = last.sum / duration_s;
  if (duration_s > longest_s || force_g < least_force_g) return std::nullopt;
  return Press{rest_ms_, std::llround(force_g * 1e6), std::llround(duration_s * 1000)};
}

std::optional<Press> PressTrack::feed(std::int64_t at_ms, std::int64_t level_ug) {
  if (count_ > 0 && at_ms - back(0).at_ms > longest_gap_ms) restart();
  if (count_ > 0 && at_ms - back(0).at_ms < spacing_ms) return std::nullopt;
  const double shown_g = static_cast<double>(level_ug) / 1e6;
  const auto load_g = load_of(at_ms, shown_g);
  push({at_ms, shown_g, load_g.value_or(shown_g)});
  if (!load_g) return std::nullopt;

  if (state_ == State::moved) {
    follow(*load_g);
    const std::size_t n = rest(quiet_after_ms, readings_after);
    // A display that takes a long mean stands still at the top of a press: not there yet.
    if (n > 0 && std::abs(mean(0, n / 2) - rest_g_) <= same_level_g()) {
      const Sample& last = back(n - 1);
      state_ = State::waiting;
      return last.at_ms > rest_ms_ ? judge(last) : std::nullopt;
    }
    if (at_ms - rest_ms_ > longest_move_ms) state_ = State::waiting;
    return std::nullopt;
  }
  if (const std::size_t n = rest(quiet_before_ms, readings_before)) {
    state_ = State::quiet;
    rest_ms_ = at_ms;
    rest_g_ = mean(n - n / 2, n);  // the hand may have begun within the newer half
  } else if (state_ == State::quiet) {
    begin_move(*load_g);
  }
  return std::nullopt;
}

PressDetector::PressDetector(std::int64_t interval_ug, std::int64_t lag_ms)
    : interval_ug_(interval_ug),
      lag_(interval_ug),
      one_pole_(interval_ug, lag_ms, Display::one_pole),
      mean_(interval_ug, lag_ms, Display::mean) {}

void PressDetector::restart() {
  lag_.restart();
  one_pole_.restart();
  mean_.restart();
}

std::optional<Press> PressDetector::feed(std::int64_t at_ms, std::int64_t level_ug) {
  if (lag_.feed(at_ms, level_ug)) {
    if (const auto ms = lag_.one_pole_ms()) one_pole_ = {interval_ug_, *ms, Display::one_pole};
    if (const auto ms = lag_.mean_ms()) mean_ = {interval_ug_, *ms, Display::mean};
  }
  auto press = one_pole_.feed(at_ms, level_ug);
  const auto other = mean_.feed(at_ms, level_ug);
  if (!press) press = other;
  // What both ideas of the display find is one press.
  if (!press || press->began_ms < told_ms_) return std::nullopt;
  told_ms_ = at_ms;
  return press;
}

}  // namespace maslin::weighing
