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
constexpr double strange = 3.0;                // spreads; such a pour was another cook, or none
constexpr double from_one_to_another_s = 0.1;  // spread between ingredients (common practice, no
                                               // source)

}  // namespace

void StopPredictor::begin(std::int64_t aim_ug) {
  aim_ug_ = aim_ug;
  slow_given_ = false;
  flow_at_stop_ug_s_.reset();
}

StopCue StopPredictor::feed(std::int64_t net_ug, double flow_ug_s) {
  if (aim_ug_ <= 0 || flow_at_stop_ug_s_ || flow_ug_s < least_flow_ug_s) return StopCue::none;
  const double left_s = static_cast<double>(aim_ug_ - net_ug) / flow_ug_s;
  if (left_s <= delay_.delay_s) {
    flow_at_stop_ug_s_ = flow_ug_s;
    return StopCue::stop;
  }
  if (!slow_given_ && left_s <= delay_.delay_s + slow_ahead_s) {
    slow_given_ = true;
    return StopCue::slow;
  }
  return StopCue::none;
}

bool StopPredictor::runs_on(double flow_ug_s) const {
  return flow_at_stop_ug_s_ && flow_ug_s >= std::max(least_flow_ug_s, *flow_at_stop_ug_s_ / 2);
}

std::optional<StopPredictor::Lesson> StopPredictor::ended(std::int64_t net_ug,
                                                          std::int64_t interval_ug) {
  if (!flow_at_stop_ug_s_) return std::nullopt;
  const double flow = *flow_at_stop_ug_s_;
  flow_at_stop_ug_s_.reset();
  slow_given_ = false;
  const double error_s = static_cast<double>(net_ug - aim_ug_) / flow;
  if (std::abs(error_s) > farthest_delay_s) return std::nullopt;  // not stopped at the cue
  const Lesson lesson{error_s,
                      std::hypot(pour_to_pour_s, 0.4 * static_cast<double>(interval_ug) / flow)};
  learn(lesson);
  return lesson;
}

void StopPredictor::learn(const Lesson& lesson) {
  const double spread_s = std::hypot(delay_.spread_s, lesson.spread_s);
  if (std::abs(lesson.error_s) > strange * spread_s) {
    const bool again = strange_s_ && *strange_s_ * lesson.error_s > 0;
    strange_s_ = lesson.error_s;
    if (!again) return;
    delay_.spread_s = StopDelay{}.spread_s;  // another cook: learned as from the beginning
  }
  strange_s_.reset();
  const double variance_s2 = delay_.spread_s * delay_.spread_s;
  const double gain = variance_s2 / (variance_s2 + lesson.spread_s * lesson.spread_s);
  delay_.delay_s = std::clamp(delay_.delay_s + gain * lesson.error_s, 0.0, farthest_delay_s);
  delay_.spread_s = std::sqrt((1 - gain) * variance_s2 + forgetting_s2);
  ++delay_.pours;
}

void PourHabits::know(const std::string& of, StopDelay delay) {
  if (of.empty()) {
    all_ = StopPredictor(delay);
  } else {
    by_.insert_or_assign(of, StopPredictor(delay));
  }
}

void PourHabits::begin(const std::string& of, std::int64_t aim_ug) {
  if (by_.find(of) == by_.end()) {
    auto delay = all_.delay();
    if (delay.pours > 0) delay.spread_s = std::hypot(delay.spread_s, from_one_to_another_s);
    delay.pours = 0;
    by_.emplace(of, StopPredictor(delay));
  }
  current_ = of;
  by_.at(of).begin(aim_ug);
}

StopCue PourHabits::feed(std::int64_t net_ug, double flow_ug_s) {
  return current_ ? by_.at(*current_).feed(net_ug, flow_ug_s) : StopCue::none;
}

bool PourHabits::ended(std::int64_t net_ug, std::int64_t interval_ug) {
  if (!current_) return false;
  auto& one = by_.at(*current_);
  // All pours together learn against their own delay.
  const double against_s = one.delay_s() - all_.delay_s();
  const auto lesson = one.ended(net_ug, interval_ug);
  if (lesson) all_.learn({lesson->error_s + against_s, lesson->spread_s});
  return lesson.has_value();
}

std::vector<std::pair<std::string, StopDelay>> PourHabits::learned() const {
  std::vector<std::pair<std::string, StopDelay>> all;
  if (all_.delay().pours > 0) all.emplace_back("", all_.delay());
  for (const auto& [of, one] : by_) {
    if (one.delay().pours > 0) all.emplace_back(of, one.delay());
  }
  return all;
}

}  // namespace maslin::weighing
