// The place of place.hpp.
#include "daemon/batch/place.hpp"

#include <algorithm>
#include <limits>
#include <string_view>
#include <utility>

#include "daemon/batch/limits.hpp"
#include "daemon/batch/measured.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/probe.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {
namespace {

using preserving::PlaceSpan;

constexpr std::int64_t hour_ms = 3'600'000;
// One line a day, in the morning; one that was said so shortly before stands in for it (common
// practice, no source).
constexpr std::int64_t line_after_ms = 12 * hour_ms;
// Asked daily, a cook may miss one day and no more (common practice, no source).
constexpr std::int64_t looked_within_ms = 48 * hour_ms;
// Of a reading against the bound of a cold chain: one-sided, 95 % (JCGM 106). Thousandths.
constexpr std::int64_t one_sided_95 = 1645;
// Where nothing bounds the place no gap is too long.
constexpr std::int64_t any_gap_ms = std::numeric_limits<std::int64_t>::max() / 4;

// How near to the bound its thermometer does not tell on which side it is. Rounded up.
std::int64_t guard_mk(const Desk& desk, std::int64_t bound_mk) {
  for (const auto& one : desk.thermometers) {
    if (one.role != proto::Role::room) continue;
    return (quantity::probe_u_mk(bound_mk, one.calibration) * one_sided_95 + 999) / 1000;
  }
  return 0;
}

bool contains(const std::vector<std::string>& all, std::string_view one) {
  return std::find(all.begin(), all.end(), one) != all.end();
}

std::string listed(const std::vector<std::string>& all) {
  std::string text;
  for (const auto& one : all) text += (text.empty() ? "" : "; ") + one;
  return text;
}

}  // namespace

const proto::PlannedOperation& Place::planned(const Desk& desk) const {
  return desk.plan.operations[static_cast<std::size_t>(operation_)];
}

void Place::begin(Desk& desk, int operation, For purpose, std::int64_t duration_ms) {
  operation_ = operation;
  purpose_ = purpose;
  duration_ms_ = duration_ms;
  const auto& one = planned(desk);
  may_be_outside_ms_ = one.outside_ms;
  cold_chain_ = one.cold_chain;
  looked_at_ = stands() || cold_chain_ || has_meat(desk.plan);
  preserving::PlaceBounds bounds{one.least_mk, one.most_mk, one.unmeasured_ms,
                                 cold_chain_ ? guard_mk(desk, one.most_mk) : 0, one.outside_ms};
  const bool bounded = bounds.any();
  if (!bounded) bounds.unmeasured_ms = any_gap_ms;
  watch_ = preserving::PlaceWatch(bounds);
  watch_.begin(desk.now_ms);
  for (const auto& limit : desk.left_limits) settle(desk, limit);  // known, and answered for
  const bool measured = desk.thermometer(proto::Role::room) != nullptr;
  if (measured && (bounded || !stands())) {
    how_ = How::measured;
  } else if (bounded && looked_at_) {
    how_ = How::seen;
  }
  line_ms_ = desk.morning(desk.now_ms + line_after_ms);
  // A drier is done before the morning, and can be set right in its first hours.
  if (how_ == How::seen && !stands() && !cold_chain_) line_ms_ = desk.waking(desk.now_ms + hour_ms);
  look_ms_ = desk.waking(desk.now_ms + one.unmeasured_ms / 2);
}

// What is not closed by a reading yet goes on as it was.
std::int64_t Place::left_ms(std::int64_t now_ms) const {
  const std::int64_t since_ms = watch_.last_outside() ? 0 : now_ms - watch_.last_ms();
  return std::max<std::int64_t>(0, duration_ms_ - watch_.sums().counted_ms - since_ms);
}

std::int64_t Place::outside_ms(std::int64_t now_ms) const {
  return watch_.sums().outside_ms + (watch_.last_outside() ? now_ms - watch_.last_ms() : 0);
}

// What is not measured ends by the clock; what is, or is looked at, once so much of it counts.
bool Place::time_is_over(std::int64_t now_ms) const {
  return how_ == How::by_clock ? left_ms(now_ms) == 0 : watch_.sums().counted_ms >= duration_ms_;
}

std::optional<std::int64_t> Place::over_at_ms() const {
  if (how_ == How::measured || watch_.last_outside()) return std::nullopt;
  return watch_.last_ms() + duration_ms_ - watch_.sums().counted_ms;
}

// ---- readings -----------------------------------------------------------------------------------

// Only where it shows so from one reading to the next, or from the first on: a place that warms up
// goes through what lies between.
bool Place::looks_like_fahrenheit(Desk& desk, std::int64_t mk) {
  const bool shows = watch_.bounds().holds_as_fahrenheit(mk);
  if (fahrenheit_) {
    if (shows) return true;
    fahrenheit_ = false;
    desk.release("thermometer", "the device");
    return false;
  }
  const bool was = std::exchange(taken_away_in_fahrenheit_, false);
  const bool first = watch_.sums().warmest_mk == 0;
  if (!shows || watch_.last_outside() || !(first || was || watch_.fresh(desk.now_ms))) {
    return false;
  }
  fahrenheit_ = true;
  const std::string shown = quantity::plain(static_cast<double>(mk - 273'150) / 1000, 1);
  desk.hold({"thermometer",
             "The thermometer of the place shows " + shown + " °C, and " + shown +
                 " °F would be right: it seems to be set to °F.",
             "Set it to °C: the hold ends by itself. Until then nothing counts as measured.", "",
             0});
  return true;
}

void Place::changed(Desk& desk) {
  const auto mk = desk.room_mk();
  if (how_ != How::measured) return;
  const auto* room = desk.thermometer(proto::Role::room);
  // A thermometer that is gone cannot be set right: the cook is asked how it is there.
  if (fahrenheit_ && room != nullptr && room->lost) {
    fahrenheit_ = false;
    taken_away_in_fahrenheit_ = true;
    desk.release("thermometer", "the device");
  }
  if (!mk || looks_like_fahrenheit(desk, *mk)) return;
  const bool was_outside = watch_.last_outside();
  const PlaceSpan span = watch_.feed(desk.now_ms, *mk);
  // The question came when it had been outside for too long; how long it was in the end is known
  // now.
  if (broken_ && was_outside && !watch_.last_outside()) tell(desk, false);
  look_ms_ = desk.waking(desk.now_ms + watch_.bounds().unmeasured_ms / 2);
  if (ask_ == Ask::look) close(desk, nullptr);
  if (pending_ == Ask::look) pending_ = Ask::nothing;
  if (span == PlaceSpan::long_gap) ask_about_gap(desk, watch_.bounds().unmeasured_ms);
  judge_outside(desk);
  judge_undecided(desk);
}

// At face value it is cold enough, and for longer than it may be too warm nobody can know it.
void Place::judge_undecided(Desk& desk) {
  const std::int64_t undecided_ms = watch_.sums().undecided_ms;
  if (undecided_ || undecided_ms <= planned(desk).outside_ms) return;
  undecided_ = true;
  desk.emit(proto::Deviation{
      undecided_about(), true,
      quantity::span_of_time(undecided_ms) + " within " +
          quantity::plain(static_cast<double>(watch_.bounds().guard_mk) / 1000, 1) + " K under " +
          quantity::celsius(watch_.bounds().most_mk) +
          ", which is what this thermometer may be off",
      "the cook was asked to look at another one"});
  desk.limit_kept(undecided_about(), false);
  ask(desk, Ask::undecided, desk.now_ms);
}

// Told while it can be mended, also at night: once half of what is left has passed.
void Place::judge_outside(Desk& desk) {
  const std::int64_t outside = outside_ms(desk.now_ms);
  if (broken_) return;
  if (outside > may_be_outside_ms_) {
    leave_limit(desk);
    return;
  }
  if (!watch_.last_outside()) {
    outside_before_ms_ = outside;
    if (warned_) desk.cue("room_back", "The place is as it should be again.");
    warned_ = false;
    return;
  }
  const std::int64_t left = may_be_outside_ms_ - outside_before_ms_;
  if (warned_ || outside - outside_before_ms_ < left / 2) return;
  warned_ = true;
  const auto mk = desk.room_mk();
  desk.cue("room_warm", std::string("It is not ") + bounds(desk) + " " + where() +
                            (mk ? ", but " + quantity::celsius(*mk) : std::string()) +
                            ". Put that right within " +
                            quantity::span_of_time(may_be_outside_ms_ - outside) +
                            (cold_chain_ ? ", or it has to be discarded." : "."));
}

void Place::ask_about_gap(Desk& desk, std::int64_t allowed_ms) {
  desk.emit(proto::Deviation{about(), true,
                             "not measured for " + quantity::span_of_time(watch_.long_gap_ms()) +
                                 ", " + quantity::span_of_time(allowed_ms) + " allowed",
                             "the cook was asked"});
  gap_ = true;
  desk.limit_kept(gap_about(), false);
  ask(desk, Ask::gap, desk.now_ms);
}

void Place::leave_limit(Desk& desk) {
  broken_ = true;
  desk.emit(proto::Deviation{
      about(), true, outside_text(desk),
      cold_chain_ ? "the cook was told to discard it" : "the cook was told to look at it"});
  const bool known = contains(desk.left_limits, about());
  desk.limit_kept(about(), false);
  if (!known && desk.jars.filled()) {
    desk.jars.bar(desk, std::string("outside the formula: ") + about());
  }
  ask(desk, Ask::broken, desk.now_ms);
}

// Nobody has measured that end of the span: it counts for nothing, and where it may have been
// outside for too long the cook is asked, who is there. A drier may be cold by now.
void Place::leave(Desk& desk) {
  if (leaves_) return;
  leaves_ = true;
  if (how_ == How::by_clock || !watch_.bounds().any() || watch_.fresh(desk.now_ms)) return;
  const std::int64_t allowed_ms = may_be_outside_ms_ - watch_.sums().outside_ms;
  const bool known = watch_.last_outside() || desk.now_ms - watch_.last_ms() <= allowed_ms;
  if (cold_chain_ && !known) {
    pending_ = Ask::look;
    open(desk);
    return;
  }
  watch_.look(desk.now_ms, true, 0);
  if (!known) ask_about_gap(desk, allowed_ms);
  judge_outside(desk);
}

// ---- questions ----------------------------------------------------------------------------------

void Place::ask(Desk& desk, Ask what, std::int64_t due_ms) {
  if (what <= ask_ || what <= pending_) return;
  pending_ = what;
  due_ms_ = desk.waking(due_ms);
  if (due_ms_ <= desk.now_ms) open(desk);
}

// An answer settles one question; what had to give way to it is asked now.
void Place::ask_rest(Desk& desk) {
  if (broken_) ask(desk, Ask::broken, desk.now_ms);
  if (!unsettled(desk).empty()) ask(desk, Ask::mixture, desk.now_ms);
  if (gap_) ask(desk, Ask::gap, desk.now_ms);
  if (undecided_) ask(desk, Ask::undecided, desk.now_ms);
}

// Limits that an amendment has left and the cook has not accepted.
std::vector<std::string> Place::unsettled(const Desk& desk) const {
  std::vector<std::string> found;
  for (const auto& one : desk.left_limits) {
    if (one == about() || one == gap_about() || one == undecided_about() || one == "drying time" ||
        one == ferment_time_about) {
      continue;
    }
    if (!contains(settled_, one)) found.push_back(one);
  }
  return found;
}

void Place::settle(Desk& desk, const std::string& limit) {
  settled_.push_back(limit);
  const auto known = desk.known_short.find(limit);
  if (known != desk.known_short.end()) known->second.accepted = true;
}

void Place::open(Desk& desk) {
  if (ask_ != Ask::nothing) close(desk, "a graver question");
  ask_ = pending_;
  pending_ = Ask::nothing;
  line_ms_ = desk.morning(desk.now_ms + line_after_ms);
  desk.ask_anew();
  if (ask_ == Ask::look) {
    say_look(desk);
    return;
  }
  if (ask_ == Ask::undecided) {
    question_ = what() + " " + ends_when(desk);
    desk.cue("room_asked", question_);
    return;
  }
  std::string text = what();
  if (ask_ == Ask::broken) text += outside_text(desk) + ".";
  if (ask_ == Ask::mixture) text += listed(unsettled(desk)) + ".";
  question_ = text + " " + ends_when(desk);
  tell(desk, false);
  desk.release("critical limit", "a graver question");  // what else was held is held again after it
  desk.hold({"critical limit", text, ends_when(desk), "", 0});
}

void Place::close(Desk& desk, const char* by) {
  const bool held = ask_ != Ask::nothing && !only_asks();
  ask_ = Ask::nothing;
  question_.clear();
  if (held) {
    desk.release("critical limit", by == nullptr ? "the cook" : by);
  } else {
    desk.voice.answered("room_asked");
    desk.voice.answered("room_lost");
  }
}

void Place::ok(Desk& desk) {
  const auto seen = [&](const char* what) {
    desk.emit(proto::Condition{what, "seen by the cook", 0});
  };
  switch (ask_) {
    case Ask::look: {
      seen("place as it should be");
      close(desk, nullptr);
      const std::int64_t within =
          how_ == How::seen ? looked_within_ms : watch_.bounds().unmeasured_ms;
      const PlaceSpan span = watch_.look(desk.now_ms, true, within);
      look_ms_ = desk.waking(desk.now_ms + watch_.bounds().unmeasured_ms / 2);
      if (span == PlaceSpan::long_gap) ask_about_gap(desk, within);
      judge_outside(desk);
      break;
    }
    case Ask::undecided:
      seen("cold enough by another thermometer");
      settle_undecided(desk, true);
      break;
    case Ask::gap:
      seen("kept while nothing measured");
      settle_gap(desk);
      if (desk.jars.barred() && desk.left_limits.empty()) desk.jars.unbar(desk);
      close(desk, nullptr);
      ask_rest(desk);
      break;
    case Ask::mixture:
      discard(desk);
      break;
    case Ask::broken:
      if (cold_chain_) {
        discard(desk);
        break;
      }
      seen("looked at and sound");
      may_be_outside_ms_ = outside_ms(desk.now_ms) + planned(desk).outside_ms;
      broken_ = warned_ = false;
      close(desk, nullptr);
      ask_rest(desk);
      break;
    case Ask::nothing:
      break;
  }
}

// The place was not as it should be: all of the span counts as outside.
void Place::no(Desk& desk) {
  if (ask_ == Ask::look) {
    desk.emit(proto::Condition{"place not as it should be", "seen by the cook", 0});
    close(desk, nullptr);
    watch_.look(desk.now_ms, false, 0);
    judge_outside(desk);
    return;
  }
  if (ask_ == Ask::undecided) {
    desk.emit(proto::Condition{"too warm by another thermometer", "seen by the cook", 0});
    settle_undecided(desk, false);
    return;
  }
  desk.emit(proto::Condition{"not kept while nothing measured", "seen by the cook", 0});
  settle_gap(desk);
  close(desk, nullptr);
  watch_.gap_was_outside();
  if (!broken_) leave_limit(desk);
  ask_rest(desk);
}

void Place::settle_undecided(Desk& desk, bool cold) {
  undecided_ = false;
  desk.limit_kept(undecided_about(), true);
  close(desk, nullptr);
  watch_.settle(cold);
  judge_outside(desk);
  ask_rest(desk);
}

void Place::settle_gap(Desk& desk) {
  gap_ = false;
  desk.limit_kept(gap_about(), true);
}

// It goes on, and has left its limit for good: report and record begin with that.
void Place::accept(Desk& desk, const std::string& reason) {
  const std::string by = "accepted by the cook: " + reason;
  if (ask_ == Ask::mixture) {
    for (const auto& one : unsettled(desk)) {
      desk.emit(proto::Deviation{one, true, "left as it is", by});
      settle(desk, one);
    }
  } else {
    desk.emit(proto::Deviation{about(), true, outside_text(desk), by});
    may_be_outside_ms_ = outside_ms(desk.now_ms) + planned(desk).outside_ms;
    broken_ = warned_ = false;
  }
  close(desk, "accepted by the cook");
  ask_rest(desk);
}

void Place::discard(Desk& desk) {
  const std::string why = ask_ == Ask::broken ? std::string(about()) + " broken"
                                              : "outside the formula: " + listed(unsettled(desk));
  if (desk.jars.discard(desk, why)) tell(desk, false);
}

void Place::amended(Desk& desk) {
  // One that was accepted, put right and left again is another one, and so is one that got worse.
  std::erase_if(settled_, [&](const auto& one) {
    const auto known = desk.known_short.find(one);
    return !contains(desk.left_limits, one) ||
           (known != desk.known_short.end() && !known->second.accepted);
  });
  const bool left = !unsettled(desk).empty();
  if (left && ask_ < Ask::mixture && pending_ <= Ask::mixture) {
    pending_ = Ask::mixture;
    open(desk);  // the cook is there
  } else if (!left && (ask_ == Ask::mixture || pending_ == Ask::mixture)) {
    if (pending_ == Ask::mixture) pending_ = Ask::nothing;
    if (ask_ == Ask::mixture) close(desk, "an amendment");
    ask_rest(desk);
  }
}

// ---- time ---------------------------------------------------------------------------------------

void Place::line_said(const Desk& desk) { line_ms_ = desk.morning(desk.now_ms + line_after_ms); }

void Place::open_due(Desk& desk) {
  if (pending_ != Ask::nothing && desk.now_ms >= due_ms_) open(desk);
  if (how_ == How::measured) judge_outside(desk);
}

void Place::ask_due(Desk& desk, bool at_end) {
  if (ask_ != Ask::nothing && line_due(desk.now_ms)) {  // nobody has answered since yesterday
    line_said(desk);
    if (!only_asks()) tell(desk, false);  // it may be outside still
    (void)say_again(desk);
  }
  if (ask_ != Ask::nothing || pending_ != Ask::nothing) return;
  const bool daily = how_ == How::seen && (line_due(desk.now_ms) || at_end);
  // A drier that nothing bounds to the cold is asked about when its thermometer is back.
  const bool lost = how_ == How::measured && looked_at_ && !fahrenheit_ && desk.now_ms >= look_ms_;
  if (daily || lost) ask(desk, Ask::look, desk.now_ms);
}

void Place::unwatched(const Desk& desk) {
  look_ms_ = std::max(look_ms_, desk.waking(desk.now_ms + hour_ms));
}

std::optional<std::int64_t> Place::deadline_ms(bool daily) const {
  std::optional<std::int64_t> next;
  const auto sooner = [&](std::int64_t at_ms) { next = std::min(next.value_or(at_ms), at_ms); };
  if (daily || how_ == How::seen || ask_ != Ask::nothing) sooner(line_ms_);
  if (pending_ != Ask::nothing) sooner(due_ms_);
  const auto& sums = watch_.sums();
  if (how_ == How::measured && !broken_ && watch_.last_outside()) {
    sooner(watch_.last_ms() + may_be_outside_ms_ - sums.outside_ms + 1);
  }
  if (quiet() && how_ == How::measured && looked_at_) sooner(look_ms_);
  return next;
}

}  // namespace maslin::batch
