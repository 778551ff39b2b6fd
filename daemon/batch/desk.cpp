// Cues, holds and look-ups of desk.hpp.
#include "daemon/batch/desk.hpp"

#include <algorithm>
#include <cassert>

#include "daemon/batch/words.hpp"
#include "daemon/quantity/decimal.hpp"
#include "proto/cues.hpp"

namespace maslin::batch {

void Desk::emit(proto::Outcome outcome) {
  if (std::holds_alternative<proto::PhaseBegan>(outcome)) voice.new_step();
  if (const auto* weighing = std::get_if<proto::Weighing>(&outcome);
      weighing != nullptr && weighing->how != "amended") {
    booked[weighing->ingredient] = *weighing;
  }
  outcomes_.push_back(std::move(outcome));
}

void Desk::cue(std::string_view id, std::string text, std::string ingredient,
               std::int64_t amount_ug, int again_s) {
  const auto* known = proto::find_cue(id);
  assert(known != nullptr);
  auto kind = *known;
  if (again_s > 0) kind.again_s = again_s;
  if (again_s == not_asked) kind.unanswered = proto::Unanswered::once;
  auto now_said =
      voice.say({std::string(id), kind.urgency, std::move(text), std::move(ingredient), amount_ug},
                kind, now_ms);
  if (now_said) said(std::move(*now_said));
}

void Desk::said(proto::Cue cue) {
  last_cue = cue.text;
  emit(std::move(cue));
}

void Desk::say_next() {
  if (auto next = voice.next_in_turn(now_ms)) said(std::move(*next));
}

void Desk::say_again(bool answerable) {
  for (auto& again : voice.time_passed(now_ms, answerable)) said(std::move(again));
}

// A hold that only the cook's words or a device end stops the step. A critical limit does not: what
// ends it is that the step is put right.
namespace {
bool stops_the_step(const proto::Held& held) { return held.reason != "critical limit"; }
}  // namespace

void Desk::hold(proto::Held held) {
  if (held_for(held.reason)) return;
  if (held.pan.empty()) {
    held.pan = pan_advice;
    held.good_for_s = pan_good_for_s;
  }
  if (holds_.empty()) emit(proto::BatchState{"held", held.what});
  cue("held", held.what + " " + held.ends_when + (held.pan.empty() ? "" : " " + pan_words(held)));
  emit(held);
  asked_ms_ = now_ms;
  holds_.push_back(std::move(held));
  paused = std::any_of(holds_.begin(), holds_.end(), stops_the_step);
}

void Desk::release(std::string_view reason, std::string_view by) {
  const auto it = std::find_if(holds_.begin(), holds_.end(),
                               [&](const auto& held) { return held.reason == reason; });
  if (it == holds_.end()) return;
  holds_.erase(it);
  paused = std::any_of(holds_.begin(), holds_.end(), stops_the_step);
  emit(proto::Released{std::string(reason), std::string(by)});
  if (reason == "store") voice.answered("disk");
  if (holds_.empty()) {
    voice.new_step();  // the step is said again, or another one begins
    emit(proto::BatchState{"running", ""});
    cue("released", "Going on.");
  }
}

std::int64_t Desk::ahead_of_bath_ms(int operation) const {
  std::int64_t ms = 0;
  for (auto i = static_cast<std::size_t>(operation); i < plan.operations.size(); ++i) {
    if (plan.operations[i].kind == "water bath") break;
    ms += plan.operations[i].expect_ms;
  }
  return ms;
}

bool Desk::held_for(std::string_view reason) const {
  return std::any_of(holds_.begin(), holds_.end(),
                     [&](const auto& held) { return held.reason == reason; });
}

const proto::PlannedIngredient* Desk::planned(std::string_view name) const {
  for (const auto& ingredient : plan.ingredients) {
    if (ingredient.name == name) return &ingredient;
  }
  return nullptr;
}

ScaleDesk* Desk::scale(proto::Role role) {
  for (auto& scale : scales) {
    if (scale.role == role) return &scale;
  }
  return nullptr;
}

Thermometer* Desk::thermometer(proto::Role role) {
  for (auto& thermometer : thermometers) {
    if (thermometer.role == role) return &thermometer;
  }
  return nullptr;
}

std::optional<std::int64_t> Desk::temperature_mk(proto::Role role) const {
  for (const auto& thermometer : thermometers) {
    if (thermometer.role == role && !thermometer.lost) return thermometer.temperature_mk;
  }
  return std::nullopt;
}

std::int64_t Desk::waking(std::int64_t at_ms) const {
  constexpr std::int64_t day_ms = 24 * 3'600'000;
  const auto& settings = start.settings;
  const std::int64_t of_day = ((at_ms + local_less_ms) % day_ms + day_ms) % day_ms;
  const std::int64_t from = settings.waking_from_min * 60'000;
  const std::int64_t to = settings.waking_to_min * 60'000;
  if (of_day < from) return at_ms + from - of_day;
  if (of_day >= to) return at_ms + day_ms - of_day + from;
  return at_ms;
}

std::int64_t Desk::morning(std::int64_t at_ms) const {
  constexpr std::int64_t day_ms = 24 * 3'600'000;
  const std::int64_t from = start.settings.waking_from_min * 60'000;
  return at_ms + ((from - at_ms - local_less_ms) % day_ms + day_ms) % day_ms;
}

void Desk::update_hold(std::string_view reason, std::string ends_when) {
  const auto it = std::find_if(holds_.begin(), holds_.end(),
                               [&](const auto& held) { return held.reason == reason; });
  if (it != holds_.end()) it->ends_when = std::move(ends_when);
}

void Desk::ask_anew() {
  asked_ms_ = now_ms;
  doubted_.clear();
}

void Desk::limit_kept(const std::string& about, bool kept) {
  const auto known = std::find(left_limits.begin(), left_limits.end(), about);
  if (kept && known != left_limits.end()) left_limits.erase(known);
  if (!kept && known == left_limits.end()) left_limits.push_back(about);
}

bool Desk::confirmed_twice(std::string_view about, std::string why) {
  constexpr std::int64_t second_within_ms = 60'000;  // common practice, no source
  if (doubted_ == about && now_ms - doubted_ms_ <= second_within_ms) {
    doubted_.clear();
    return true;
  }
  doubted_ = about;
  doubted_ms_ = now_ms;
  asked_ms_ = now_ms;  // the same tap of the finger is not the second one
  cue("ask", std::move(why));
  return false;
}

bool Desk::confirmed_against(const std::string& pot, std::optional<std::int64_t> shows_mk,
                             std::int64_t least_mk, const std::string& claim) {
  if (!shows_mk || *shows_mk >= least_mk) return true;
  return confirmed_twice(pot + " against its thermometer",
                         "The " + pot + " shows " + quantity::celsius(*shows_mk) + ". If " + claim +
                             " all the same, say ok again.");
}

}  // namespace maslin::batch
