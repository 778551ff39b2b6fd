// The dwell: a time at the boil, counted only while it is watched or vouched for.
#include <algorithm>

#include "daemon/batch/heat.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {
namespace {

// Readings may be missing for so long between two boiling ones, for a stir (common practice, no
// source).
constexpr std::int64_t blind_ms = 10'000;
// A dwell at a temperature pauses only so far below it (common practice, no source).
constexpr std::int64_t dip_mk = 500;

}  // namespace

void Dwell::begin(Desk& desk) {
  const auto& operation = planned(desk);
  if (!operation.caution.empty()) desk.cue("caution", operation.caution);
  duration_ms_ = operation.duration_ms;
  longest_ms_ = operation.longest_ms;
  needs_boil_ = operation.until == "boil";
  target_mk_ = operation.until == "temperature" ? operation.target_mk : 0;
  by_eye_ = operation.by_eye;
  restarts_ = operation.restarts;
  began_ms_ = desk.now_ms;
  desk.emit(proto::PhaseBegan{index(), "dwell", "", operation.text});
  // The boil that the heating ended with goes on; without a reading it is the cook's word that
  // does.
  run(desk, needs_boil_ && !by_eye_ && desk.boil.boiling() && desk.pan_mk() ? "measured"
                                                                            : "seen by the cook");
  say_again(desk);
}

std::int64_t Dwell::left_ms(std::int64_t now_ms) const {
  const std::int64_t running = runs_since_ms_ ? now_ms - *runs_since_ms_ : 0;
  return std::max<std::int64_t>(0, duration_ms_ - counted_ms_ - running);
}

void Dwell::say_again(Desk& desk) {
  const std::string left = quantity::span_of_time(left_ms(desk.now_ms));
  if (runs_since_ms_) {
    desk.cue("step", planned(desk).text + " " + capitalised(left) + " to go.");
  } else {
    desk.cue("off_boil", std::string(target_mk_ > 0 ? "Too cool, " : "Off the boil, ") + left +
                             (restarts_ ? ": the time begins again." : " still to go.") +
                             " Bring it back" +
                             (desk.pan_mk()    ? "."
                              : target_mk_ > 0 ? ", or say ok when it is there."
                                               : ", or say ok when it boils."));
  }
}

void Dwell::run(Desk& desk, const char* evidence) {
  runs_since_ms_ = desk.now_ms;
  blind_since_ms_.reset();
  measured_ = std::string_view(evidence) == "measured";
  desk.emit(proto::Condition{"dwell began", evidence, desk.pan_mk().value_or(0)});
}

// What came after until_ms was not watched and does not count. The caller has it said.
void Dwell::pause(Desk& desk, const std::string& why, std::int64_t until_ms) {
  counted_ms_ += std::max<std::int64_t>(0, until_ms - *runs_since_ms_);
  runs_since_ms_.reset();
  blind_since_ms_.reset();
  desk.ask_anew();
  if (restarts_) counted_ms_ = 0;
  desk.emit(
      proto::Condition{restarts_ ? "boil lost" : "dwell paused", why, desk.pan_mk().value_or(0)});
}

void Dwell::pan_changed(Desk& desk) {
  if (done() || by_eye_ || (!needs_boil_ && target_mk_ == 0)) return;
  const auto temperature = desk.pan_mk();
  if (!temperature) {
    if (runs_since_ms_ && measured_ && !blind_since_ms_) {
      blind_since_ms_ = std::max(last_pan_ms_, *runs_since_ms_);
    }
    return;
  }
  blind_since_ms_.reset();
  last_pan_ms_ = desk.now_ms;
  bool left = false;
  bool reached = false;
  if (target_mk_ > 0) {
    left = *temperature < target_mk_ - dip_mk;
    reached = *temperature >= target_mk_;
  } else {
    const auto change = desk.boil.feed(desk.now_ms, *temperature);
    left = change == preserving::BoilChange::left;
    if (change == preserving::BoilChange::falling && runs_since_ms_) {
      desk.cue("falling", "It falls from the boil: turn it up.");
    }
    reached = change == preserving::BoilChange::reached;
  }
  if (left && runs_since_ms_) {
    // Back to where the fall began: what came after it was no boil.
    pause(desk, "measured", target_mk_ > 0 ? desk.now_ms : desk.boil.on_plateau_ms());
    say_again(desk);
  } else if (reached && !runs_since_ms_) {
    run(desk, "measured");
    desk.cue("boil", "There again, " + quantity::span_of_time(left_ms(desk.now_ms)) + " to go.");
  } else if (reached) {
    measured_ = true;
  }
  time_passed(desk);
}

void Dwell::time_passed(Desk& desk) {
  if (done()) return;
  if (blind_since_ms_ && desk.now_ms - *blind_since_ms_ >= blind_ms && runs_since_ms_) {
    pause(desk, "thermometer silent", *blind_since_ms_);
    say_again(desk);
    return;
  }
  if (longest_ms_ > 0 && !too_long_said_ && desk.now_ms - began_ms_ >= longest_ms_) {
    too_long_said_ = true;
    desk.cue("too_long", "Longest time at the boil is reached: off the heat.");
    desk.emit(proto::Deviation{"time at the boil", false,
                               "over " + quantity::span_of_time(longest_ms_), "told the cook"});
  }
  if (runs_since_ms_ && left_ms(desk.now_ms) == 0) {
    desk.emit(proto::Condition{"dwell done", measured_ ? "measured" : "seen by the cook",
                               desk.pan_mk().value_or(0)});
    if (needs_boil_ && measured_ && !by_eye_ && desk.pan_mk()) {
      desk.solids.boiled(desk, *desk.pan_mk());
    }
    desk.cue("dwell_done", "Time is up: " + quantity::span_of_time(duration_ms_) + ".");
    finish();
  }
}

void Dwell::unwatched(Desk& desk) {
  if (done() || !runs_since_ms_) return;
  pause(desk, "not watched", blind_since_ms_.value_or(desk.watched_ms));
}

std::optional<std::int64_t> Dwell::deadline_ms() const {
  if (done()) return std::nullopt;
  std::optional<std::int64_t> next;
  const auto sooner = [&](std::int64_t at_ms) { next = next ? std::min(*next, at_ms) : at_ms; };
  if (runs_since_ms_) sooner(*runs_since_ms_ + duration_ms_ - counted_ms_);
  if (blind_since_ms_) sooner(*blind_since_ms_ + blind_ms);
  if (longest_ms_ > 0 && !too_long_said_) sooner(began_ms_ + longest_ms_);
  return next;
}

std::optional<proto::Trouble> Dwell::refuses_ok(const Desk& desk) const {
  if (!runs_since_ms_) return std::nullopt;
  return proto::Trouble{
      "the time is not up, " + quantity::span_of_time(left_ms(desk.now_ms)) + " to go", "",
      "wait; stop the batch if it must end here"};
}

void Dwell::ok(Desk& desk) {
  if (done() || runs_since_ms_) return;
  const std::int64_t target_mk = by_eye_       ? 0
                                 : needs_boil_ ? desk.plan.boiling_point_mk
                                               : target_mk_;
  if (!confirmed_against_pan(desk, target_mk, needs_boil_ ? "it boils" : "it is there")) return;
  // What it shows while the cook sees it boil is the level that it may fall from.
  if (needs_boil_ && !by_eye_ && desk.pan_mk()) (void)desk.boil.seen_boiling();
  run(desk, "seen by the cook");
  say_again(desk);
}

void Dwell::describe(const Desk& desk, proto::BatchStatus& status) const {
  if (!done()) status.left_ms = left_ms(desk.now_ms);
}

}  // namespace maslin::batch
