// The rules of boil_watch.hpp over a ring of temperatures, at most a hundred in a window.
#include "daemon/preserving/boil_watch.hpp"

#include <algorithm>

namespace maslin::preserving {
namespace {

constexpr std::int64_t in_a_window = 100;
constexpr std::int64_t near_mk = 4000;
constexpr std::int64_t far_below_mk = 1500;
constexpr std::int64_t noise_mk = 150;
constexpr double flat_k_s = 0.02;

}  // namespace

void BoilWatch::begin(std::int64_t boiling_point_mk) {
  *this = BoilWatch(rule_);
  boiling_point_mk_ = boiling_point_mk;
}

void BoilWatch::restart() {
  count_ = 0;
  boiling_ = false;
}

std::optional<BoilWatch::Window> BoilWatch::window() const {
  if (count_ < 5) return std::nullopt;
  const Sample newest = samples_[(next_ + capacity - 1) % capacity];
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
    n += 1;
    sum_t += t;
    sum_y += y;
    sum_tt += t * t;
    sum_ty += t * y;
    if (newest.at_ms - sample.at_ms >= rule_.window_ms) {
      filled = true;
      break;
    }
  }
  const double spread = n * sum_tt - sum_t * sum_t;
  if (!filled || spread <= 0) return std::nullopt;
  return Window{(n * sum_ty - sum_t * sum_y) / spread, greatest - least};
}

BoilChange BoilWatch::feed(std::int64_t at_ms, std::int64_t temperature_mk) {
  if (!can_tell()) return BoilChange::nothing;
  if (count_ > 0) {
    const Sample& last = samples_[(next_ + capacity - 1) % capacity];
    if (at_ms - last.at_ms < rule_.window_ms / in_a_window) return BoilChange::nothing;
  }
  samples_[next_] = {at_ms, temperature_mk};
  next_ = (next_ + 1) % capacity;
  count_ = std::min(count_ + 1, capacity);
  const auto lately = window();
  if (!lately) return BoilChange::nothing;
  const double slope = lately->slope_k_s;
  if (!boiling_) {
    if (temperature_mk >= boiling_point_mk_ - rule_.short_of_boil_mk &&
        lately->span_mk <= rule_.span_mk && slope < flat_k_s && slope > -rule_.falling_k_s) {
      boiling_ = true;
      plateau_mk_ = temperature_mk;
      on_plateau_ms_ = at_ms;
      return BoilChange::reached;
    }
    if (!near_said_ && slope > 0 && temperature_mk >= boiling_point_mk_ - near_mk) {
      near_said_ = true;
      return BoilChange::near;
    }
    return BoilChange::nothing;
  }
  plateau_mk_ = std::max(plateau_mk_, temperature_mk);  // a syrup's boil only climbs
  if (temperature_mk >= plateau_mk_ - noise_mk) on_plateau_ms_ = at_ms;
  const bool fallen = temperature_mk < plateau_mk_ - rule_.fallen_mk && slope < -rule_.falling_k_s;
  if (fallen || temperature_mk < boiling_point_mk_ - far_below_mk) {
    boiling_ = false;
    near_said_ = false;
    return BoilChange::left;
  }
  return BoilChange::nothing;
}

}  // namespace maslin::preserving
