// The arithmetic of stop.hpp.
#include "daemon/weighing/stop.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace maslin::weighing {
namespace {

// Slower than a gram a second needs no slow cue, and its end teaches nothing; slower than what a
// flickering digit of 0.1 g makes of a rest, no stop before its time.
constexpr double least_flow_ug_s = 1e6;
constexpr double least_lead_ug_s = 0.3e6;
constexpr double slow_ahead_s = 1.5;           // so much before the stop comes the slow cue
constexpr double pour_to_pour_s = 0.18;        // spread of one pour's end, over Q (from simulation)
constexpr double forgetting_s2 = 0.03 * 0.03;  // keeps the learning open to a new cook
constexpr double farthest_delay_s = 3.0;
constexpr double strange = 3.0;  // spreads; such a pour was another cook, or none
// Spread between ingredients, and between vessels; vessels whose masses differ by so little are one
// (common practice, no source).
constexpr double from_one_to_another_s = 0.1;
constexpr double from_vessel_to_vessel_s = 0.05;
constexpr double same_vessel = 0.02;

}  // namespace

void StopPredictor::begin(std::int64_t aim_ug) {
  aim_ug_ = aim_ug;
  slow_given_ = false;
  flow_at_stop_ug_s_.reset();
}

StopCue StopPredictor::feed(std::int64_t net_ug, double flow_ug_s) {
  if (aim_ug_ <= 0 || flow_at_stop_ug_s_ || flow_ug_s <= 0) return StopCue::none;
  const double left_s = static_cast<double>(aim_ug_ - net_ug) / flow_ug_s;
  if (left_s <= (flow_ug_s < least_lead_ug_s ? 0 : delay_.delay_s)) {
    flow_at_stop_ug_s_ = flow_ug_s;
    return StopCue::stop;
  }
  if (!slow_given_ && flow_ug_s >= least_flow_ug_s && left_s <= delay_.delay_s + slow_ahead_s) {
    slow_given_ = true;
    return StopCue::slow;
  }
  return StopCue::none;
}

bool StopPredictor::runs_on(double flow_ug_s) const {
  return flow_at_stop_ug_s_ && flow_ug_s >= std::max(least_lead_ug_s, *flow_at_stop_ug_s_ / 2);
}

std::optional<StopPredictor::Lesson> StopPredictor::ended(std::int64_t net_ug,
                                                          std::int64_t interval_ug) {
  if (!flow_at_stop_ug_s_) return std::nullopt;
  const double flow = *flow_at_stop_ug_s_;
  flow_at_stop_ug_s_.reset();
  slow_given_ = false;
  if (flow < least_flow_ug_s) return std::nullopt;
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

void PourHabits::know(const PourKey& key, StopDelay delay) {
  by_.insert_or_assign(key, StopPredictor(delay));
}

PourKey PourHabits::known(PourKey key) const {
  for (const auto& [other, predictor] : by_) {
    if (other.cook == key.cook && other.ingredient == key.ingredient && other.vessel_ug > 0 &&
        static_cast<double>(std::llabs(other.vessel_ug - key.vessel_ug)) <=
            same_vessel * static_cast<double>(key.vessel_ug)) {
      key.vessel_ug = other.vessel_ug;
      break;
    }
  }
  return key;
}

void PourHabits::begin(const PourKey& key, std::int64_t aim_ug) {
  current_.clear();
  StopDelay wider = first_;
  const auto next = [&](const PourKey& one, double spread_s) {
    if (!current_.empty() && current_.back() == one) return;
    auto it = by_.find(one);
    if (it == by_.end()) {
      if (wider.pours > 0) wider.spread_s = std::hypot(wider.spread_s, spread_s);
      wider.pours = 0;
      it = by_.emplace(one, StopPredictor(wider)).first;
    }
    wider = it->second.delay();
    current_.push_back(one);
  };
  next({}, 0);
  next({key.cook, "", 0}, StopDelay{}.spread_s);
  next({key.cook, key.ingredient, 0}, from_one_to_another_s);
  if (key.vessel_ug > 0) next(known(key), from_vessel_to_vessel_s);
  by_.at(current_.back()).begin(aim_ug);
}

StopCue PourHabits::feed(std::int64_t net_ug, double flow_ug_s) {
  return current_.empty() ? StopCue::none : by_.at(current_.back()).feed(net_ug, flow_ug_s);
}

bool PourHabits::runs_on(double flow_ug_s) const {
  return !current_.empty() && by_.at(current_.back()).runs_on(flow_ug_s);
}

bool PourHabits::ended(std::int64_t net_ug, std::int64_t interval_ug) {
  if (current_.empty()) return false;
  auto& one = by_.at(current_.back());
  const double delay_s = one.delay_s();
  const auto lesson = one.ended(net_ug, interval_ug);
  if (!lesson) return false;
  // The wider ones learn against their own delay.
  for (std::size_t i = 0; i + 1 < current_.size(); ++i) {
    auto& wider = by_.at(current_[i]);
    wider.learn({lesson->error_s + delay_s - wider.delay_s(), lesson->spread_s});
  }
  return true;
}

std::vector<std::pair<PourKey, StopDelay>> PourHabits::learned() const {
  std::vector<std::pair<PourKey, StopDelay>> all;
  for (const auto& [key, one] : by_) {
    if (one.delay().pours > 0) all.emplace_back(key, one.delay());
  }
  return all;
}

}  // namespace maslin::weighing
