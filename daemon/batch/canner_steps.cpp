// The steps of canner_steps.hpp.
#include "daemon/batch/canner_steps.hpp"

#include <algorithm>
#include <utility>

#include "daemon/quantity/times.hpp"

namespace maslin::batch {
namespace {

// Common practice, no source: nothing safe rests on when the canner is expected.
constexpr std::int64_t lit_rise_mk = 3000;        // nobody warms a canner so by hand
constexpr std::int64_t margin_ms = 60'000;        // the pan is not held for less
constexpr std::int64_t far_below_boil_mk = 3000;  // that a word is doubted

}  // namespace

void LightCanner::begin(Desk& desk) {
  const auto& operation = planned(desk);
  desk.emit(proto::PhaseBegan{index(), operation.kind, "", operation.text});
  say_again(desk);
}

void LightCanner::say_again(Desk& desk) {
  desk.cue("canner", planned(desk).text + " Say ok when it is on the heat.");
}

void LightCanner::ok(Desk& desk) {
  desk.canner.light(desk, "seen by the cook");
  finish();
}

void LightCanner::canner_changed(Desk& desk) {
  const auto temperature = desk.canner_mk();
  if (done() || !temperature) return;
  if (!first_mk_ || *temperature < *first_mk_) first_mk_ = temperature;
  if (*temperature - *first_mk_ < lit_rise_mk) return;
  desk.canner.light(desk, "measured");
  finish();
}

void WaitForCanner::begin(Desk& desk) {
  const auto& operation = planned(desk);
  desk.emit(proto::PhaseBegan{index(), operation.kind, "", operation.text});
  judge(desk);
}

std::int64_t WaitForCanner::left_ms(const Desk& desk) const {
  return desk.canner.ready_ms(desk) - desk.now_ms - desk.ahead_of_bath_ms(index() + 1);
}

void WaitForCanner::judge(Desk& desk) {
  if (done()) return;
  const std::int64_t left = left_ms(desk);
  if (desk.canner.foreseen_is_over(desk) && left > margin_ms) {
    // From here on only the cook knows.
    due_ms_.reset();
    if (std::exchange(asked_, true)) return;
    desk.cue("boil_asked", "The canner should boil by now. If it boils hard, say ok.");
    return;
  }
  due_ms_ = desk.now_ms + std::max<std::int64_t>(left, 1);
  if (left <= margin_ms) {
    desk.emit(proto::Condition{"pan called for",
                               desk.canner.boils() ? desk.canner.evidence() : "foreseen",
                               desk.canner_mk().value_or(0)});
    if (said_) desk.cue("pan_now", "The canner is soon ready: now the pan.");
    finish();
  } else if (!said_) {
    said_ = true;
    say_again(desk);
  }
}

void WaitForCanner::say_again(Desk& desk) {
  // Whole minutes: it is foreseen, not measured.
  const std::string left = quantity::span_of_time(
      std::max<std::int64_t>(left_ms(desk) + 30'000, 60'000) / 60'000 * 60'000);
  if (desk.canner.boils()) {
    desk.cue("pan_waits",
             "The canner boils, and the empty jars have to boil in it: the pan waits about " +
                 left + ". To begin all the same, say ok.");
  } else {
    desk.cue("pan_waits", "The pan waits about " + left +
                              " for the canner. If the canner boils hard already, say ok.");
  }
}

void WaitForCanner::canner_changed(Desk& desk) { judge(desk); }
void WaitForCanner::time_passed(Desk& desk) { judge(desk); }

void WaitForCanner::ok(Desk& desk) {
  if (desk.canner.boils()) {
    desk.emit(proto::Condition{"pan called for", "seen by the cook", 0});
    finish();
    return;
  }
  if (!desk.confirmed_against("canner", desk.canner_mk(),
                              desk.plan.boiling_point_mk - far_below_boil_mk, "it boils hard")) {
    return;
  }
  desk.canner.seen_boiling(desk);
  said_ = false;
  judge(desk);
}

std::optional<std::int64_t> WaitForCanner::deadline_ms() const {
  if (done()) return std::nullopt;
  return due_ms_;  // empty: only the cook knows
}

void WaitForCanner::describe(const Desk& desk, proto::BatchStatus& status) const {
  if (!done()) status.left_ms = std::max<std::int64_t>(left_ms(desk), 0);
}

}  // namespace maslin::batch
