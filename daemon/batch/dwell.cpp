// The dwell: a time at the boil, counted only while it is watched or vouched for.
#include <algorithm>
#include <utility>

#include "daemon/batch/doubts.hpp"
#include "daemon/batch/heat.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {
namespace {

// All of it is common practice, no source. So long a thermometer may be out for a stir; then the
// eye is asked, and has so long for an answer.
constexpr std::int64_t blind_ms = 10'000;
constexpr std::int64_t answer_within_ms = 60'000;
constexpr std::int64_t put_back_ms = 5000;  // one that is on its way back is waited for, once
// A word against a thermometer that had shown the boil holds for a third of the dwell, within this.
constexpr std::int64_t shortest_vouch_ms = 60'000;
constexpr std::int64_t longest_vouch_ms = 600'000;
// After a short silence the boil is shown again by then, or the eye is asked.
constexpr std::int64_t shown_again_ms = 40'000;
// By then a thermometer that was put in at the cook's word shows where the boil is.
constexpr std::int64_t level_by_ms = 40'000;
// A boil that is held against the altitude has been watched for so long: no lag is left in it.
constexpr std::int64_t level_stands_ms = 120'000;
// A dwell at a temperature pauses only so far below it.
constexpr std::int64_t dip_mk = 500;
// Standing so much higher than at the cook's word, the thermometer is back where it can tell.
constexpr std::int64_t stands_anew_mk = 1000;
constexpr std::string_view question = "pan_asked";

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
  if (asked()) {
    ask(desk);
  } else if (runs_since_ms_) {
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

// ---- what counts --------------------------------------------------------------------------------

void Dwell::run(Desk& desk, const char* evidence) {
  const auto pan_mk = desk.pan_mk();
  runs_since_ms_ = vouched_ms_ = desk.now_ms;
  vouched_at_mk_ = pan_mk;
  settle(desk);
  measured_ = std::string_view(evidence) == "measured";
  // A cook who never had a thermometer watches by the eye and is not asked again; one who had does
  // not know that nothing watches.
  was_there_ = was_there_ || (target_mk_ > 0 && pan_mk && *pan_mk >= target_mk_);
  const bool had = !by_eye_ && (needs_boil_ ? desk.boil.has_boiled() : was_there_);
  const bool shows_it = pan_mk && (needs_boil_ ? desk.boil.boiling() : *pan_mk >= target_mk_);
  vouch_every_ms_ = had && !measured_ && !shows_it
                        ? std::clamp(duration_ms_ / 3, shortest_vouch_ms, longest_vouch_ms)
                        : 0;
  desk.emit(proto::Condition{"dwell began", evidence, pan_mk.value_or(0)});
}

// What came after until_ms was not watched and does not count. The caller has it said.
void Dwell::pause(Desk& desk, const std::string& why, std::int64_t until_ms) {
  counted_ms_ += std::max<std::int64_t>(0, until_ms - *runs_since_ms_);
  runs_since_ms_.reset();
  settle(desk);
  desk.ask_anew();
  if (restarts_) counted_ms_ = 0;
  desk.emit(
      proto::Condition{restarts_ ? "boil lost" : "dwell paused", why, desk.pan_mk().value_or(0)});
}

std::int64_t Dwell::covered_ms(std::int64_t now_ms) const {
  if (doubt_) return doubt_->since_ms;
  return vouch_every_ms_ > 0 ? vouched_ms_ : now_ms;
}

// ---- doubt --------------------------------------------------------------------------------------

void Dwell::doubt(std::int64_t since_ms, bool silent, std::int64_t from_ms) {
  if (!doubt_) doubt_ = Doubt{since_ms, silent, from_ms + blind_ms};
}

void Dwell::settle(Desk& desk) {
  doubt_.reset();
  if (std::exchange(asked_ms_, std::nullopt)) desk.voice.answered(question);
}

void Dwell::ask(Desk& desk) {
  const auto shows_mk = desk.pan_mk();
  const std::string least = quantity::celsius(target_mk_) + " or more";
  std::string text;
  if (doubt_) {
    text = shows_mk ? "The pan's thermometer shows " + quantity::celsius(*shows_mk) + "."
                    : "The pan's thermometer does not answer.";
    text += target_mk_ > 0 ? " If another one in the pan shows " + least : " If the pan boils";
    text += ", say ok; if not, say no.";
  } else {
    const auto against_mk = stands_against_word_mk(desk);
    text = against_mk ? "The pan's thermometer stands at " + quantity::celsius(*against_mk) +
                            ". If the pan"
                      : std::string("Nothing watches the pan. If it");
    text += (target_mk_ > 0 ? " has kept " + least : std::string(" has boiled")) +
            " all the time for the last " +
            quantity::span_of_time((*asked_ms_ - vouched_ms_ + 500) / 1000 * 1000) +
            ", say ok; if not, say no." +
            (shows_mk ? " With the thermometer back in it you are not asked." : "");
  }
  desk.cue(question, std::move(text));
}

void Dwell::open_question(Desk& desk) {
  asked_ms_ = desk.now_ms;
  if (doubt_) doubt_->passing = false;  // from now on only the answer covers it
  desk.ask_anew();
  ask(desk);
}

// A silence that was short proves nothing; after a longer one the boil has to be shown again.
void Dwell::silence_ends(Desk& desk) {
  if (!doubt_ || !doubt_->silent) return;
  doubt_->silent = false;
  doubt_->passing = !asked();
  if (asked()) {
    desk.boil.again();
    desk.boil.gap();
  } else if (desk.boil.boiling()) {
    doubt_.reset();
  } else {  // it was away altogether, and its curve begins anew
    doubt_->ask_ms = desk.now_ms + shown_again_ms;
  }
}

void Dwell::pan_changed(Desk& desk) {
  if (done() || by_eye_ || (!needs_boil_ && target_mk_ == 0)) return;
  const auto temperature = desk.pan_mk();
  if (!temperature) {
    if (runs_since_ms_ && vouch_every_ms_ == 0 && (measured_ || desk.boil.boiling())) {
      const std::int64_t since_ms = std::max(last_pan_ms_, *runs_since_ms_);
      doubt(since_ms, true, since_ms);
    }
    return;
  }
  // A silence that was too long is not undone by the reading that ends it.
  if (doubt_ && doubt_->silent) time_passed(desk);
  silence_ends(desk);
  last_pan_ms_ = desk.now_ms;
  if (target_mk_ > 0) {
    target_changed(desk, *temperature);
  } else {
    boil_changed(desk, *temperature);
  }
  time_passed(desk);
}

void Dwell::target_changed(Desk& desk, std::int64_t temperature_mk) {
  const bool there = temperature_mk >= target_mk_;
  was_there_ = was_there_ || there;
  if (temperature_mk < target_mk_ - dip_mk && runs_since_ms_) {
    pause(desk, "measured", covered_ms(desk.now_ms));
    say_again(desk);
  } else if (there && (!runs_since_ms_ || doubt_ || vouch_every_ms_ > 0)) {
    take_boil(desk, preserving::BoilChange::reached);
  } else if (there) {
    measured_ = true;
  }
}

// A thermometer that is heard again and shows no boil: the silence was not all that happened. One
// that has shown the boil since the cook's word, and shows it no more, is a doubt of its own.
void Dwell::hold_against_readings(Desk& desk, std::int64_t temperature_mk) {
  const bool under = desk.boil.under_boil(temperature_mk);
  if (doubt_ && doubt_->passing && under) {
    doubt_->passing = false;
    doubt_->ask_ms = std::min(doubt_->ask_ms, desk.now_ms + put_back_ms);
  }
  if (!runs_since_ms_ || vouch_every_ms_ == 0 || doubt_ || asked()) return;
  if (!under) {
    vouched_at_mk_ = temperature_mk;
  } else if (vouched_at_mk_ && !desk.boil.under_boil(*vouched_at_mk_)) {
    doubt(desk.now_ms, false, desk.now_ms);
  }
}

// Where it stands, if the cook did not know that when the word was given.
std::optional<std::int64_t> Dwell::stands_against_word_mk(const Desk& desk) const {
  if (!needs_boil_ || !desk.pan_mk()) return std::nullopt;
  const auto stands_mk = desk.boil.stands_far_below_mk();
  if (!stands_mk || (vouched_at_mk_ && *stands_mk <= *vouched_at_mk_ + stands_anew_mk)) {
    return std::nullopt;
  }
  return stands_mk;
}

void Dwell::boil_changed(Desk& desk, std::int64_t temperature_mk) {
  hold_against_readings(desk, temperature_mk);
  take_boil(desk, desk.boil.feed(desk.now_ms, temperature_mk));
  if (!runs_since_ms_ || measured_ || doubt_ || desk.boil.boiling()) return;
  if (vouch_every_ms_ > 0 && desk.boil.stands_under()) {
    pause(desk, "measured", vouched_ms_);
    say_again(desk);
  } else if (desk.now_ms - vouched_ms_ <= level_by_ms && desk.boil.stands_mk() &&
             desk.boil.seen_boiling()) {
    vouch_every_ms_ = 0;  // where it stands at the cook's word is the level to watch
  } else if (vouch_every_ms_ > 0 && !asked() && stands_against_word_mk(desk)) {
    open_question(desk);
  }
}

void Dwell::take_boil(Desk& desk, preserving::BoilChange change) {
  using preserving::BoilChange;
  const bool runs = runs_since_ms_.has_value();
  switch (change) {
    case BoilChange::left:
      if (!runs) break;
      // Back to where the fall began: what came after it was no boil.
      pause(desk, "measured", std::min(desk.boil.on_plateau_ms(), covered_ms(desk.now_ms)));
      say_again(desk);
      break;
    case BoilChange::away:
      if (runs) doubt(std::max(desk.boil.on_plateau_ms(), *runs_since_ms_), false, desk.now_ms);
      break;
    case BoilChange::falling:
      if (runs && !doubt_) desk.cue("falling", "It falls from the boil: turn it up.");
      break;
    case BoilChange::back:
    case BoilChange::reached:
      // It boils by its thermometer, too; what was vouched for stands.
      if (runs && (!doubt_ || doubt_->passing || change == BoilChange::back)) {
        measured_ = true;
        vouch_every_ms_ = 0;
        settle(desk);
        break;
      }
      if (runs) pause(desk, "measured", doubt_->since_ms);
      run(desk, "measured");
      desk.cue("boil", "There again, " + quantity::span_of_time(left_ms(desk.now_ms)) + " to go.");
      break;
    case BoilChange::near:
    case BoilChange::stands:
    case BoilChange::nothing:
      break;
  }
}

// ---- time ---------------------------------------------------------------------------------------

void Dwell::time_passed(Desk& desk) {
  if (done()) return;
  if (longest_ms_ > 0 && !too_long_said_ && desk.now_ms - began_ms_ >= longest_ms_) {
    too_long_said_ = true;
    desk.cue("too_long", "Longest time at the boil is reached: off the heat.");
    desk.emit(proto::Deviation{"time at the boil", false,
                               "over " + quantity::span_of_time(longest_ms_), "told the cook"});
  }
  if (!runs_since_ms_) return;
  if (asked()) {
    if (desk.now_ms - *asked_ms_ < answer_within_ms) return;
    pause(desk, doubt_ && doubt_->silent ? "thermometer silent" : "not watched",
          covered_ms(desk.now_ms));
    say_again(desk);
    return;
  }
  hold_against_altitude(desk);
  if (doubt_ && desk.now_ms >= doubt_->ask_ms) {
    if (!doubt_->put_off && desk.pan_mk() && desk.boil.returning()) {
      doubt_->put_off = true;
      doubt_->ask_ms = desk.now_ms + put_back_ms;
      return;
    }
    desk.emit(proto::Condition{"dwell not watched",
                               doubt_->silent ? "thermometer silent" : "thermometer away",
                               desk.pan_mk().value_or(0)});
    open_question(desk);
    return;
  }
  if (!doubt_) end_when_over(desk);
}

void Dwell::end_when_over(Desk& desk) {
  const std::int64_t since_word_ms = desk.now_ms - vouched_ms_;
  const bool over = left_ms(desk.now_ms) == 0;
  const bool due = over ? since_word_ms > shortest_vouch_ms : since_word_ms >= vouch_every_ms_;
  if (vouch_every_ms_ > 0 && due) {
    open_question(desk);
    return;
  }
  if (!over) return;
  desk.emit(proto::Condition{"dwell done", measured_ ? "measured" : "seen by the cook",
                             desk.pan_mk().value_or(0)});
  if (needs_boil_ && measured_ && !by_eye_ && desk.pan_mk()) {
    desk.solids.boiled(desk, *desk.pan_mk());
  }
  desk.cue("dwell_done", "Time is up: " + quantity::span_of_time(duration_ms_) + ".");
  finish();
}

// Once, by where the boil has stood for long enough, or at the end of a shorter dwell.
void Dwell::hold_against_altitude(Desk& desk) {
  if (held_against_ || !needs_boil_ || by_eye_ || doubt_ || !runs_since_ms_) return;
  const std::int64_t for_ms = desk.now_ms - *runs_since_ms_;
  if (for_ms < level_stands_ms && left_ms(desk.now_ms) > 0) return;
  if (desk.boil.watching()) {
    held_against_ = true;
    contradicts_boil(desk, proto::Role::pan, desk.boil.level_mk());
  } else if (const auto stands = desk.boil.stands_mk(); stands && !desk.boil.has_boiled()) {
    held_against_ = true;
    contradicts_boil(desk, proto::Role::pan, *stands);
  }
}

void Dwell::unwatched(Desk& desk) {
  if (done() || !runs_since_ms_) return;
  pause(desk, "not watched", covered_ms(desk.watched_ms));
}

std::optional<std::int64_t> Dwell::deadline_ms() const {
  if (done()) return std::nullopt;
  std::optional<std::int64_t> next;
  const auto sooner = [&](std::int64_t at_ms) { next = next ? std::min(*next, at_ms) : at_ms; };
  if (asked()) {
    sooner(*asked_ms_ + answer_within_ms);
  } else if (doubt_) {
    sooner(doubt_->ask_ms);
  } else if (runs_since_ms_) {
    sooner(*runs_since_ms_ + duration_ms_ - counted_ms_);
    if (vouch_every_ms_ > 0) sooner(vouched_ms_ + vouch_every_ms_);
  }
  if (longest_ms_ > 0 && !too_long_said_) sooner(began_ms_ + longest_ms_);
  return next;
}

// ---- the cook -----------------------------------------------------------------------------------

std::optional<proto::Trouble> Dwell::refuses_ok(const Desk& desk) const {
  // A doubt that nobody was told of is not what an ok answers; a thermometer told as lost is.
  if (!runs_since_ms_ || asked() || (doubt_ && doubt_->silent)) return std::nullopt;
  return proto::Trouble{
      "the time is not up, " + quantity::span_of_time(left_ms(desk.now_ms)) + " to go", "",
      "wait; stop the batch if it must end here"};
}

void Dwell::ok(Desk& desk) {
  if (done()) return;
  if (!runs_since_ms_) {
    const std::int64_t target_mk = by_eye_       ? 0
                                   : needs_boil_ ? desk.plan.boiling_point_mk
                                                 : target_mk_;
    if (!confirmed_against_pan(desk, target_mk, needs_boil_ ? "it boils" : "it is there")) return;
  } else if (doubt_) {
    counted_ms_ += std::max<std::int64_t>(0, doubt_->since_ms - *runs_since_ms_);
  } else if (asked()) {
    settle(desk);
    vouched_ms_ = desk.now_ms;
    vouched_at_mk_ = desk.pan_mk();
    desk.emit(proto::Condition{needs_boil_ ? "boiled all the time" : "hot enough all the time",
                               "seen by the cook", 0});
    time_passed(desk);
    return;
  } else {
    return;
  }
  // What it shows while the cook sees it boil is the level that it may fall from.
  if (needs_boil_ && !by_eye_ && desk.pan_mk()) (void)desk.boil.seen_boiling();
  run(desk, "seen by the cook");
  say_again(desk);
}

std::optional<proto::Trouble> Dwell::refuses_no(const Desk& desk) const {
  if (runs_since_ms_ && (doubt_ || asked())) return std::nullopt;
  return Operation::refuses_no(desk);
}

void Dwell::no(Desk& desk) {
  if (done() || !runs_since_ms_) return;
  pause(desk, "seen by the cook", covered_ms(desk.now_ms));
  say_again(desk);
}

void Dwell::describe(const Desk& desk, proto::BatchStatus& status) const {
  if (!done()) status.left_ms = left_ms(desk.now_ms);
}

}  // namespace maslin::batch
