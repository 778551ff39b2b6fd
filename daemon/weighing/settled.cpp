// The rule of settled.hpp over a ring of the last readings.
#include "daemon/weighing/settled.hpp"

#include <algorithm>
#include <cmath>

namespace maslin::weighing {
namespace {

constexpr std::int64_t quiet_ms = 3000;
constexpr std::int64_t shortest_window_ms = 1000;
constexpr std::size_t fewest_readings = 4;
constexpr std::int64_t flow_window_ms = 600;
constexpr std::int64_t longest_veto_ms = 10'000;  // of readings that rest
constexpr std::int64_t longest_gap_ms = 2500;     // nobody knows what was between two such readings

}  // namespace

RestDetector::RestDetector(std::int64_t interval_ug, std::int64_t lag_ms)
    : interval_ug_(std::max<std::int64_t>(interval_ug, 1)),
      lag_ms_(std::max<std::int64_t>(lag_ms, 1)),
      window_ms_(std::max(shortest_window_ms, 2 * lag_ms)) {}

void RestDetector::restart() {
  count_ = 0;
  next_ = 0;
  at_rest_ = false;
  quiet_ = false;
}

void RestDetector::restart(std::int64_t interval_ug) {
  interval_ug_ = std::max<std::int64_t>(interval_ug, 1);
  restart();
}

// Walks back from the newest reading; leaves as soon as the spread is too large, which is at once
// while a pour runs.
bool RestDetector::window_rests() {
  const std::int64_t newest_ms = back(0).at_ms;
  std::int64_t least = back(0).level_ug;
  std::int64_t greatest = least;
  std::size_t n = 0;
  bool spans = false;
  for (; n < count_; ++n) {
    const Sample& sample = back(n);
    if (n > 0 && back(n - 1).at_ms - sample.at_ms > longest_gap_ms) return false;
    least = std::min(least, sample.level_ug);
    greatest = std::max(greatest, sample.level_ug);
    if (greatest - least > interval_ug_) return false;
    if (newest_ms - sample.at_ms >= window_ms_ && n + 1 >= fewest_readings) {
      spans = true;
      ++n;
      break;
    }
  }
  if (!spans) return false;
  window_began_ms_ = back(n - 1).at_ms;
  const std::size_t half = n / 2;  // of an odd number the middle one belongs to neither
  // Sums are taken from the newest reading, so that they stay small and exact.
  const std::int64_t origin = back(0).level_ug;
  std::int64_t sum = 0;
  std::int64_t later_sum = 0;
  std::int64_t earlier_sum = 0;
  double squares = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const std::int64_t off = back(i).level_ug - origin;
    sum += off;
    if (i < half) later_sum += off;
    if (i >= n - half) earlier_sum += off;
    squares += static_cast<double>(off) * static_cast<double>(off);
  }
  const double later_mean = static_cast<double>(later_sum) / static_cast<double>(half);
  const double earlier_mean = static_cast<double>(earlier_sum) / static_cast<double>(half);
  if (std::abs(later_mean - earlier_mean) > 0.35 * static_cast<double>(interval_ug_)) return false;
  const double mean = static_cast<double>(sum) / static_cast<double>(n);
  window_level_ug_ = origin + std::llround(later_mean);
  window_deviation_ug_ = std::sqrt(std::max(0.0, squares / static_cast<double>(n) - mean * mean));
  window_dof_ = std::clamp<std::int64_t>((newest_ms - window_began_ms_) / lag_ms_, 1,
                                         static_cast<std::int64_t>(n) - 1);
  return true;
}

Settling RestDetector::feed(std::int64_t at_ms, std::int64_t level_ug, bool vetoed) {
  // Denser readings than the ring holds for one window say nothing more about a rest.
  const std::int64_t spacing_ms = window_ms_ / static_cast<std::int64_t>(capacity - 4);
  if (count_ == 0 || at_ms - back(0).at_ms >= spacing_ms) {
    samples_[next_] = {at_ms, level_ug};
    next_ = (next_ + 1) % capacity;
    count_ = std::min(count_ + 1, capacity);
  }

  if (at_rest_ && std::abs(level_ug - level_ug_) > 2 * interval_ug_) {
    at_rest_ = false;
    quiet_ = false;
    return Settling::departed;
  }
  if (!window_rests()) {
    vetoed_since_ms_ = -1;
    return Settling::nothing;
  }
  if (!vetoed) {
    vetoed_since_ms_ = -1;
    flag_fails_ = false;
  } else if (!flag_fails_) {
    if (vetoed_since_ms_ < 0) vetoed_since_ms_ = at_ms;
    if (at_ms - vetoed_since_ms_ < longest_veto_ms) return Settling::nothing;
    flag_fails_ = true;
  }
  level_ug_ = window_level_ug_;
  repeatability_ug_ = window_deviation_ug_;
  repeatability_dof_ = window_dof_;
  if (!at_rest_) {
    at_rest_ = true;
    rest_began_ms_ = window_began_ms_;
    anchor_ug_ = level_ug_;
    anchor_since_ms_ = rest_began_ms_;
    return Settling::at_rest;
  }
  if (4 * std::abs(level_ug_ - anchor_ug_) > 3 * interval_ug_) {
    anchor_ug_ = level_ug_;
    anchor_since_ms_ = at_ms;
    if (!quiet_) return Settling::nothing;
    quiet_ = false;
    return Settling::reopened;
  }
  if (!quiet_ && at_ms - anchor_since_ms_ >= quiet_ms) {
    quiet_ = true;
    return Settling::quiet;
  }
  return Settling::nothing;
}

double RestDetector::flow_ug_s() const {
  // Least-squares slope over the last readings; the first of them gives the origin.
  double n = 0, sum_t = 0, sum_y = 0, sum_tt = 0, sum_ty = 0;
  if (count_ == 0) return 0;
  const Sample origin = back(0);
  for (std::size_t i = 0; i < count_; ++i) {
    const Sample& sample = back(i);
    if (origin.at_ms - sample.at_ms > flow_window_ms) break;
    const double t = static_cast<double>(sample.at_ms - origin.at_ms) / 1000.0;
    const double y = static_cast<double>(sample.level_ug - origin.level_ug);
    n += 1;
    sum_t += t;
    sum_y += y;
    sum_tt += t * t;
    sum_ty += t * y;
  }
  const double spread = n * sum_tt - sum_t * sum_t;
  return n < 3 || spread <= 0 ? 0 : (n * sum_ty - sum_t * sum_y) / spread;
}

}  // namespace maslin::weighing
