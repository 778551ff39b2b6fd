// The stages of the water bath.
#include "daemon/batch/bath.hpp"

#include <algorithm>
#include <utility>

#include "daemon/batch/doubts.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {
namespace {

// A few readings missing between two boiling ones prove nothing; after that the eye is asked, and
// no answer counts as lost (common practice, no source).
constexpr std::int64_t blind_ms = 10'000;
constexpr std::int64_t answer_within_ms = 60'000;
constexpr int missed_again_s = 20;
// So long on the way to the boil, a canner is asked about (common practice, no source).
constexpr std::int64_t stalled_ms = 900'000;
// With the heat off and the lid away before the jars are lifted: USDA Complete Guide to Home
// Canning (AIB 539), guide 1.
constexpr std::int64_t rest_ms = 300'000;
// An ok against a thermometer that shows more than this under the boiling point needs a second one:
// probe, depth and weather together explain no more (common practice, no source).
constexpr std::int64_t far_below_boil_mk = 1500;
// A thermometer that sends only changes is trusted for so long (common practice, no source).
constexpr std::int64_t trusted_ms = 60'000;
// At the end of the time a fall may have begun that is not yet a loss: for so long off its level
// the end waits, and no longer than it takes for the slowest fall to tell (common practice, no
// source).
constexpr std::int64_t off_level_ms = 5'000;
constexpr std::int64_t wavering_ms = 60'000;
// A boil that is held against the altitude has been watched for so long: no lag is left in it.
constexpr std::int64_t level_stands_ms = 120'000;

}  // namespace

void Bath::begin(Desk& desk) {
  const auto& operation = planned(desk);
  if (!operation.caution.empty()) desk.cue("caution", operation.caution);
  duration_ms_ = operation.duration_ms;
  since_ms_ = desk.now_ms;
  desk.canner.hand_over();
  again_by_ms_ = desk.process_again_by_ms;
  canner_there_ = expects_readings(desk);
  watch_.begin(desk.plan.boiling_point_mk);
  desk.emit(proto::PhaseBegan{index(), "water bath", "", operation.text});
  say_again(desk);
}

// A thermometer stands in the canner, though it may not have sent anything yet.
bool Bath::expects_readings(const Desk& desk) const {
  return desk.plan.boiling_point_mk > 0 &&
         std::any_of(desk.thermometers.begin(), desk.thermometers.end(),
                     [](const auto& one) { return one.role == proto::Role::canner && !one.lost; });
}

bool Bath::can_measure(const Desk& desk) const {
  return desk.plan.boiling_point_mk > 0 && desk.canner_mk().has_value();
}

std::string Bath::minutes() const { return quantity::span_of_time(duration_ms_); }

std::int64_t Bath::left_ms(std::int64_t now_ms) const {
  const std::int64_t running = stage_ == Stage::timed ? now_ms - since_ms_ : 0;
  return std::max<std::int64_t>(0, duration_ms_ - counted_ms_ - running);
}

void Bath::say_again(Desk& desk) {
  switch (stage_) {
    case Stage::loading:
      asked_with_boil_ = !expects_readings(desk);
      desk.cue("step", planned(desk).text + " " + capitalised(minutes()) +
                           ", counted from the hard boil with the lid on. Say ok when the jars are "
                           "in" +
                           (asked_with_boil_ ? " and it boils hard." : "."));
      break;
    case Stage::coming:
      if (asked_for_boil_ && desk.canner_mk()) {
        ask_for_boil(desk, *desk.canner_mk());
      } else {
        desk.cue("step",
                 "Lid on, to a hard boil: " + minutes() + " from there." +
                     (can_measure(desk) && level_known_ ? "" : " Say ok when it boils hard."));
      }
      break;
    case Stage::timed:
      desk.cue("step", "In the water bath, " + quantity::span_of_time(left_ms(desk.now_ms)) +
                           " to go. Keep it boiling.");
      break;
    case Stage::asking:
      desk.cue("boil_asked",
               "Nobody watched the water bath. If it has boiled hard all the time, say ok within a "
               "minute.",
               "", 0, missed_again_s);
      break;
    case Stage::resting:
      desk.cue("step",
               "Heat off, lid away from your face. The jars stay where they are for five "
               "minutes.");
      break;
  }
}

void Bath::begin_time(Desk& desk, const char* evidence) {
  stage_ = Stage::timed;
  desk.standing.in_the_bath();
  since_ms_ = desk.now_ms;
  blind_since_ms_.reset();
  wavering_ = false;
  withdraw_question(desk);
  // What it shows while the cook sees it boil is the level, whatever it seemed to stand at before.
  if (can_measure(desk) && (watch_.seen_boiling() || watch_.boiling())) level_known_ = true;
  measured_ = can_measure(desk) && watch_.watching();
  desk.emit(proto::Condition{counted_ms_ > 0 ? "water bath went on" : "water bath began", evidence,
                             desk.canner_mk().value_or(0)});
  desk.cue("boil",
           "The water bath counts: " + quantity::span_of_time(left_ms(desk.now_ms)) + " to go.");
}

// All the time that was counted is lost with the boil, not only what came after.
void Bath::lose(Desk& desk, const std::string& evidence, std::int64_t since_ms) {
  const std::int64_t had_ms =
      counted_ms_ + (stage_ == Stage::timed ? std::max<std::int64_t>(0, since_ms - since_ms_) : 0);
  desk.emit(proto::Condition{"boil lost", evidence, desk.canner_mk().value_or(0)});
  desk.emit(proto::Deviation{"water bath", true,
                             "the boil was lost after " + quantity::span_of_time(had_ms),
                             "the time begins again"});
  come_again(desk);
  desk.cue("off_boil", "The water bath has lost its boil. Bring it back: the whole " + minutes() +
                           " begin again." +
                           (can_measure(desk) ? "" : " Say ok when it boils hard."));
}

void Bath::come_again(Desk& desk) {
  stage_ = Stage::coming;
  since_ms_ = desk.now_ms;
  counted_ms_ = 0;
  blind_since_ms_.reset();
  stalled_said_ = false;
  withdraw_question(desk);
  watch_.again();
  desk.ask_anew();
}

// The canner does not stand any more, or the eye is asked in other words.
void Bath::withdraw_question(Desk& desk) {
  asked_for_boil_ = false;
  desk.voice.answered("boil_asked");
}

void Bath::ask_for_boil(Desk& desk, std::int64_t shows_mk) {
  asked_for_boil_ = true;
  desk.cue("boil_asked", "The canner shows " + quantity::celsius(shows_mk) +
                             " and climbs no more. If it boils hard, say ok.");
}

bool Bath::confirmed_against_canner(Desk& desk) {
  const auto shows_mk = desk.canner_mk();
  if (!can_measure(desk)) return true;
  const std::int64_t least_mk = desk.plan.boiling_point_mk - far_below_boil_mk;
  if (!desk.confirmed_against("canner", shows_mk, least_mk, "it boils hard")) return false;
  if (*shows_mk < least_mk && !contradicted_)
    contradicted_ = contradicts_boil(desk, proto::Role::canner, *shows_mk);
  return true;
}

// What came after the moment given was not watched and does not count, whatever the answer is.
// The caller has the question said.
void Bath::ask(Desk& desk, std::int64_t watched_until_ms) {
  counted_ms_ += std::max<std::int64_t>(0, watched_until_ms - since_ms_);
  stage_ = Stage::asking;
  since_ms_ = desk.now_ms;
  blind_since_ms_.reset();
  watch_.gap();
  desk.ask_anew();
  desk.emit(proto::Condition{"water bath not watched", "", 0});
}

void Bath::canner_changed(Desk& desk) {
  const auto temperature = desk.canner_mk();
  // Who was not asked for the boil, or will not be, hears of it when the thermometer goes.
  const bool was_there = std::exchange(canner_there_, expects_readings(desk));
  if (was_there && !canner_there_ && (stage_ == Stage::loading || stage_ == Stage::coming)) {
    desk.cue("canner_lost", "The canner's thermometer does not answer: go by the eye.");
    withdraw_question(desk);
    say_again(desk);
  }
  if (!temperature) {
    if (stage_ == Stage::timed && measured_ && !blind_since_ms_) {
      blind_since_ms_ = std::max(last_canner_ms_, since_ms_);
    }
    return;
  }
  last_canner_ms_ = desk.now_ms;
  // Before the jars are in nothing is decided, but the highest level is learned.
  if (stage_ == Stage::loading) (void)watch_.feed(desk.now_ms, *temperature);
  if (stage_ != Stage::coming && stage_ != Stage::timed) return;
  time_passed(desk);  // a silence that was too long is not undone by the reading that ends it
  if (stage_ != Stage::coming && stage_ != Stage::timed) return;
  blind_since_ms_.reset();
  switch (watch_.feed(desk.now_ms, *temperature)) {
    case preserving::BoilChange::near:
      if (stage_ == Stage::coming && !asked_for_boil_) {
        desk.cue("near_boil", "The canner is soon at the boil.");
      }
      break;
    case preserving::BoilChange::stands:
      if (stage_ == Stage::coming) ask_for_boil(desk, *temperature);
      break;
    case preserving::BoilChange::reached:
      if (stage_ != Stage::coming) break;
      if (level_known_) {
        begin_time(desk, "measured");
      } else {
        ask_for_boil(desk, *temperature);
      }
      break;
    case preserving::BoilChange::left:
      if (stage_ == Stage::timed) {
        lose(desk, "measured", watch_.on_plateau_ms());
      } else {
        withdraw_question(desk);
      }
      break;
    case preserving::BoilChange::falling:
      if (stage_ == Stage::timed) {
        desk.cue("falling", "The canner falls from the boil: turn it up.");
      }
      break;
    case preserving::BoilChange::away:  // of pans only
    case preserving::BoilChange::back:
    case preserving::BoilChange::nothing:
      break;
  }
  if (stage_ != Stage::timed) return;
  // It began by the cook's word: what the readings show then is the boil to watch.
  if (!watch_.boiling() && watch_.seen_boiling()) level_known_ = true;
  measured_ = watch_.watching();
  if (measured_ && !contradicted_ && desk.now_ms - since_ms_ >= level_stands_ms) {
    contradicted_ = contradicts_boil(desk, proto::Role::canner, watch_.level_mk());
  }
}

bool Bath::wavers(const Desk& desk) const {
  return watch_.boiling() && desk.canner_mk() &&
         desk.now_ms - watch_.on_plateau_ms() > off_level_ms &&
         desk.now_ms < since_ms_ + duration_ms_ - counted_ms_ + wavering_ms;
}

std::optional<proto::Trouble> Bath::refuses_ok(const Desk& desk) const {
  if (stage_ != Stage::timed && stage_ != Stage::resting) return std::nullopt;
  const std::int64_t left = stage_ == Stage::timed
                                ? left_ms(desk.now_ms)
                                : std::max<std::int64_t>(0, since_ms_ + rest_ms - desk.now_ms);
  return proto::Trouble{"the time is not up, " + quantity::span_of_time(left) + " to go", "",
                        "wait; stop the batch if it must end here"};
}

void Bath::ok(Desk& desk) {
  switch (stage_) {
    case Stage::loading:
      desk.emit(proto::Condition{"jars in", "seen by the cook", desk.canner_mk().value_or(0)});
      watch_.again();
      watch_.gap();  // the jars are cold: what was flat before them says nothing
      if (asked_with_boil_) {
        begin_time(desk, "seen by the cook");
        break;
      }
      stage_ = Stage::coming;
      since_ms_ = desk.now_ms;
      desk.ask_anew();
      say_again(desk);
      break;
    case Stage::coming:
    case Stage::asking:
      if (confirmed_against_canner(desk)) begin_time(desk, "seen by the cook");
      break;
    case Stage::timed:
    case Stage::resting:
      break;
  }
}

void Bath::time_passed(Desk& desk) {
  if (done()) return;
  const std::int64_t in_stage_ms = desk.now_ms - since_ms_;
  switch (stage_) {
    case Stage::coming:
      if (!stalled_said_ && in_stage_ms >= stalled_ms) {
        stalled_said_ = true;
        const auto shows = desk.canner_mk();
        desk.cue("boil_asked",
                 "The canner takes long" +
                     (shows ? " and shows " + quantity::celsius(*shows) : std::string()) +
                     ". If it boils hard, say ok.");
      }
      break;
    case Stage::timed:
      if (blind_since_ms_ && desk.now_ms - *blind_since_ms_ > blind_ms) {
        ask(desk, *blind_since_ms_);
        say_again(desk);
      } else if (measured_ && desk.now_ms - last_canner_ms_ > trusted_ms) {
        ask(desk, std::max(last_canner_ms_, since_ms_));
        say_again(desk);
      } else if (left_ms(desk.now_ms) == 0 && blind_since_ms_) {
        wavering_ = true;  // what the silence ends with decides
      } else if (left_ms(desk.now_ms) == 0 && wavers(desk)) {
        wavering_ = true;
      } else if (left_ms(desk.now_ms) == 0) {
        desk.emit(proto::Condition{"water bath done", measured_ ? "measured" : "seen by the cook",
                                   desk.canner_mk().value_or(0)});
        stage_ = Stage::resting;
        since_ms_ = desk.now_ms;
        desk.cue("dwell_done", "Time is up: " + minutes() +
                                   " in the water bath. Heat off. Lid away from your face.");
      }
      break;
    case Stage::asking:
      if (in_stage_ms >= answer_within_ms) lose(desk, "not watched", since_ms_);
      break;
    case Stage::resting:
      if (in_stage_ms >= rest_ms) {
        desk.bath_ended_ms = desk.now_ms;
        if (!desk.first_bath_ended_ms) desk.first_bath_ended_ms = since_ms_ + rest_ms;
        desk.cue("dwell_done", "Five minutes are over. Lift the jars upright onto a cloth.");
        finish();
      }
      break;
    case Stage::loading:
      give_up(desk);
      break;
  }
}

// Jars that were to go through the bath again within the day, and did not.
void Bath::give_up(Desk& desk) {
  if (!desk.process_again_by_ms || desk.now_ms < *desk.process_again_by_ms) return;
  if (auto jars = desk.jars.in("cooling"); !jars.empty()) {
    desk.jars.day_over(desk, std::move(jars));
  }
  finish();
}

// However short the gap is said to be: over a start of the machine nobody knows it.
void Bath::unwatched(Desk& desk) {
  watch_.gap();
  if (stage_ == Stage::timed) ask(desk, blind_since_ms_.value_or(desk.watched_ms));
}

std::optional<std::int64_t> Bath::deadline_ms() const {
  if (done()) return std::nullopt;  // held, the batch stands here until it is released
  switch (stage_) {
    case Stage::loading:
      return again_by_ms_;
    case Stage::coming:
      if (stalled_said_) return std::nullopt;
      return since_ms_ + stalled_ms;
    case Stage::timed: {
      std::int64_t next_ms = since_ms_ + duration_ms_ - counted_ms_ + (wavering_ ? wavering_ms : 0);
      if (blind_since_ms_) next_ms = std::min(next_ms, *blind_since_ms_ + blind_ms + 1);
      if (measured_) next_ms = std::min(next_ms, last_canner_ms_ + trusted_ms + 1);
      return next_ms;
    }
    case Stage::asking:
      return since_ms_ + answer_within_ms;
    case Stage::resting:
      return since_ms_ + rest_ms;
  }
  return std::nullopt;
}

void Bath::describe(const Desk& desk, proto::BatchStatus& status) const {
  if (stage_ == Stage::timed || stage_ == Stage::asking) status.left_ms = left_ms(desk.now_ms);
  if (stage_ == Stage::resting) {
    status.left_ms = std::max<std::int64_t>(0, since_ms_ + rest_ms - desk.now_ms);
  }
  if (const auto canner = desk.canner_mk()) {
    status.canner_c = static_cast<double>(*canner - 273'150) / 1000.0;
  }
}

}  // namespace maslin::batch
