// The arithmetic of stop.hpp.
#include "daemon/weighing/stop.hpp"

#include <algorithm>
#include <cmath>

namespace maslin::weighing {
namespace {

constexpr double least_flow_ug_s = 1e6;  // slower than a gram a second needs no cue before its time
constexpr double slow_ahead_s = 1.5;     // so much before the stop comes the slow cue
constexpr double pour_to_pour_s = 0.18;  // spread of one pour's end, over Q (from simulation)
constexpr double forgetting_s2 = 0.03 * 0.03;  // keeps the learning open to a new cook
constexpr double farthest_delay_s = 3.0;

}  // namespace

void StopPredictor::begin(std::int64_t aim_ug) {
  aim_ug_ = aim_ug;
  slow_given_ = false;
  flow_at_stop_ug_s_.reset();
}

StopCue StopPredictor::feed(std::int64_t net_ug, double flow_ug_s) {
  if (aim_ug_ <= 0 || flow_at_stop_ug_s_ || flow_ug_s < least_flow_ug_s) return StopCue::none;
  const double left_s = static_cast<double>(aim_ug_ - net_ug) / flow_ug_s;
  if (left_s <= delay_s_) {
    flow_at_stop_ug_s_ = flow_ug_s;
    return StopCue::stop;
  }
  if (!slow_given_ && left_s <= delay_s_ + slow_ahead_s) {
    slow_given_ = true;
    return StopCue::slow;
  }
  return StopCue::none;
}

bool StopPredictor::runs_on(double flow_ug_s) const {
  return flow_at_stop_ug_s_ && flow_ug_s >= std::max(least_flow_ug_s, *flow_at_stop_ug_s_ / 2);
}

void StopPredictor::ended(std::int64_t net_ug, std::int64_t interval_ug) {
  if (!flow_at_stop_ug_s_) return;
  const double flow = *flow_at_stop_ug_s_;
  flow_at_stop_ug_s_.reset();
  slow_given_ = false;
  const double display_s = 0.4 * static_cast<double>(interval_ug) / flow;
  const double noise_s2 = pour_to_pour_s * pour_to_pour_s + display_s * display_s;
  const double gain = variance_s2_ / (variance_s2_ + noise_s2);
  const double error_s = static_cast<double>(net_ug - aim_ug_) / flow;
  if (std::abs(error_s) > farthest_delay_s) return;  // not a pour that was stopped at the cue
  delay_s_ = std::clamp(delay_s_ + gain * error_s, 0.0, farthest_delay_s);
  variance_s2_ = (1 - gain) * variance_s2_ + forgetting_s2;
}

}  // namespace maslin::weighing
