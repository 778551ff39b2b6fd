// The days of stand.hpp.
#include "daemon/batch/stand.hpp"

#include <algorithm>
#include <string_view>
#include <utility>

#include "daemon/batch/limits.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/probe.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {
namespace {

using preserving::PlaceSpan;

constexpr std::int64_t hour_ms = 3'600'000;
// Asked daily, a cook may miss one day and no more (common practice, no source).
constexpr std::int64_t looked_within_ms = 48 * hour_ms;

// Of a reading against the bound of a cold chain: one-sided, 95 % (JCGM 106). Thousandths.
constexpr std::int64_t one_sided_95 = 1645;

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

void Stand::begin(Desk& desk) {
  const auto& operation = planned(desk);
  if (!operation.caution.empty()) desk.cue("caution", operation.caution);
  duration_ms_ = operation.duration_ms;
  may_be_outside_ms_ = operation.outside_ms;
  cold_chain_ = operation.cold_chain;
  watch_ = preserving::PlaceWatch({operation.least_mk, operation.most_mk, operation.unmeasured_ms,
                                   cold_chain_ ? guard_mk(desk, operation.most_mk) : 0});
  watch_.begin(desk.now_ms);
  if (watch_.bounds().any()) {
    how_ = desk.thermometer(proto::Role::room) != nullptr ? How::measured : How::seen;
  }
  desk.emit(proto::PhaseBegan{index(), operation.kind, "", operation.text});
  line_ms_ = desk.morning(desk.now_ms + line_after_ms);
  look_ms_ = desk.waking(desk.now_ms + operation.unmeasured_ms / 2);
  desk.cue(
      "step",
      operation.text + " " + to_go(desk) +
          (how_ == How::seen ? " You are asked once a day whether it is " + bounds(desk) + " there."
                             : ""),
      "", 0, Desk::not_asked);
  if (desk.room_mk()) room_changed(desk);
}

// What is not closed by a reading yet goes on as it was.
std::int64_t Stand::left_ms(std::int64_t now_ms) const {
  const std::int64_t since_ms = watch_.last_outside() ? 0 : now_ms - watch_.last_ms();
  return std::max<std::int64_t>(0, duration_ms_ - watch_.sums().counted_ms - since_ms);
}

std::int64_t Stand::outside_ms(std::int64_t now_ms) const {
  return watch_.sums().outside_ms + (watch_.last_outside() ? now_ms - watch_.last_ms() : 0);
}

// ---- readings -----------------------------------------------------------------------------------

// Only where it shows so from one reading to the next, or from the first on: a place that warms up
// goes through what lies between.
bool Stand::looks_like_fahrenheit(Desk& desk, std::int64_t mk) {
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

void Stand::room_changed(Desk& desk) {
  const auto mk = desk.room_mk();
  if (done() || how_ != How::measured) return;
  const auto* room = desk.thermometer(proto::Role::room);
  // A thermometer that is gone cannot be set right: the cook is asked how it is there.
  if (fahrenheit_ && room != nullptr && room->lost) {
    fahrenheit_ = false;
    taken_away_in_fahrenheit_ = true;
    desk.release("thermometer", "the device");
  }
  if (!mk || looks_like_fahrenheit(desk, *mk)) return;
  const PlaceSpan span = watch_.feed(desk.now_ms, *mk);
  look_ms_ = desk.waking(desk.now_ms + watch_.bounds().unmeasured_ms / 2);
  if (ask_ == Ask::look) close(desk, nullptr);
  if (pending_ == Ask::look) pending_ = Ask::nothing;
  if (span == PlaceSpan::long_gap) ask_about_gap(desk, watch_.bounds().unmeasured_ms);
  judge_outside(desk);
  judge_undecided(desk);
  end_when_over(desk);
}

// At face value it is cold enough, and for longer than it may be too warm nobody can know it.
void Stand::judge_undecided(Desk& desk) {
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
void Stand::judge_outside(Desk& desk) {
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
  desk.cue("room_warm", std::string("It is not ") + bounds(desk) + " where it stands" +
                            (mk ? ", but " + quantity::celsius(*mk) : std::string()) +
                            ". Put that right within " +
                            quantity::span_of_time(may_be_outside_ms_ - outside) +
                            (cold_chain_ ? ", or it has to be discarded." : "."));
}

void Stand::ask_about_gap(Desk& desk, std::int64_t allowed_ms) {
  desk.emit(proto::Deviation{about(), true,
                             "not measured for " +
                                 quantity::span_of_time(watch_.sums().longest_gap_ms) + ", " +
                                 quantity::span_of_time(allowed_ms) + " allowed",
                             "the cook was asked"});
  gap_ = true;
  desk.limit_kept(gap_about(), false);
  ask(desk, Ask::gap, desk.now_ms);
}

void Stand::leave_limit(Desk& desk) {
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

// ---- questions ----------------------------------------------------------------------------------

void Stand::ask(Desk& desk, Ask what, std::int64_t due_ms) {
  if (what <= ask_ || what <= pending_) return;
  pending_ = what;
  due_ms_ = desk.waking(due_ms);
  if (due_ms_ <= desk.now_ms) open(desk);
}

// An answer settles one question; what had to give way to it is asked now.
void Stand::ask_rest(Desk& desk) {
  if (broken_) ask(desk, Ask::broken, desk.now_ms);
  if (!unsettled(desk).empty()) ask(desk, Ask::mixture, desk.now_ms);
  if (gap_) ask(desk, Ask::gap, desk.now_ms);
  if (undecided_) ask(desk, Ask::undecided, desk.now_ms);
}

// Limits that an amendment has left and the cook has not accepted.
std::vector<std::string> Stand::unsettled(const Desk& desk) const {
  std::vector<std::string> found;
  for (const auto& one : desk.left_limits) {
    if (one != about() && one != gap_about() && one != undecided_about() &&
        !contains(settled_, one))
      found.push_back(one);
  }
  return found;
}

void Stand::open(Desk& desk) {
  if (ask_ != Ask::nothing) close(desk, "a graver question");
  ask_ = pending_;
  pending_ = Ask::nothing;
  line_ms_ = desk.morning(desk.now_ms + line_after_ms);
  desk.ask_anew();
  if (ask_ == Ask::look) {
    say_look(desk);
    return;
  }
  std::string text = what();
  if (ask_ == Ask::broken) text += outside_text(desk) + ".";
  if (ask_ == Ask::mixture) text += listed(unsettled(desk)) + ".";
  question_ = text + " " + ends_when(desk);
  if (only_asks()) {
    desk.cue("room_asked", question_);
    return;
  }
  tell(desk, false);
  desk.hold({"critical limit", text, ends_when(desk), "", 0});
}

void Stand::close(Desk& desk, const char* by) {
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

std::optional<proto::Trouble> Stand::refuses_ok(const Desk& desk) const {
  if (ask_ != Ask::nothing) return std::nullopt;
  return proto::Trouble{
      "the time is not up, " + quantity::span_of_time(left_ms(desk.now_ms)) + " to go", "",
      "wait; stop the batch if it must end here"};
}

void Stand::ok(Desk& desk) {
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
      end_when_over(desk);
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
      end_when_over(desk);
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
      end_when_over(desk);
      break;
    case Ask::nothing:
      break;
  }
}

std::optional<proto::Trouble> Stand::refuses_no(const Desk& desk) const {
  if (only_asks() || ask_ == Ask::gap) return std::nullopt;
  return Operation::refuses_no(desk);
}

// The place was not as it should be: all of the span counts as outside.
void Stand::no(Desk& desk) {
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

void Stand::settle_undecided(Desk& desk, bool cold) {
  undecided_ = false;
  desk.limit_kept(undecided_about(), true);
  close(desk, nullptr);
  watch_.settle(cold);
  judge_outside(desk);
  ask_rest(desk);
  end_when_over(desk);
}

void Stand::settle_gap(Desk& desk) {
  gap_ = false;
  desk.limit_kept(gap_about(), true);
}

std::optional<proto::Trouble> Stand::refuses_accept(const Desk& desk) const {
  if (ask_ == Ask::broken || ask_ == Ask::mixture) return std::nullopt;
  return Operation::refuses_accept(desk);
}

// It goes on, and has left its limit for good: report and record begin with that.
void Stand::accept(Desk& desk, const std::string& reason) {
  const std::string by = "accepted by the cook: " + reason;
  if (ask_ == Ask::mixture) {
    for (auto& one : unsettled(desk)) {
      desk.emit(proto::Deviation{one, true, "left as it is", by});
      settled_.push_back(std::move(one));
    }
  } else {
    desk.emit(proto::Deviation{about(), true, outside_text(desk), by});
    may_be_outside_ms_ = outside_ms(desk.now_ms) + planned(desk).outside_ms;
    broken_ = warned_ = false;
  }
  close(desk, "accepted by the cook");
  ask_rest(desk);
  end_when_over(desk);
}

void Stand::discard(Desk& desk) {
  if (!desk.confirmed_twice("discard",
                            "This ends the batch: all of it is discarded. Say ok again.")) {
    return;
  }
  const std::string why = ask_ == Ask::broken ? std::string(about()) + " broken"
                                              : "outside the formula: " + listed(unsettled(desk));
  if (desk.jars.filled()) {
    std::vector<std::int64_t> all;
    for (std::int64_t jar = 1; jar <= desk.jars.count(); ++jar) all.push_back(jar);
    desk.jars.put(desk, {all, "discarded", why, "Discard them and do not taste them."});
  }
  desk.emit(proto::Condition{"discarded", "seen by the cook", 0});
  tell(desk, false);
  desk.gives_up = "discarded: " + why;
}

void Stand::amended(Desk& desk) {
  // One that was accepted, put right and left again is another one.
  std::erase_if(settled_, [&](const auto& one) { return !contains(desk.left_limits, one); });
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

void Stand::end_when_over(Desk& desk) {
  if (done() || ask_ != Ask::nothing || pending_ != Ask::nothing || fahrenheit_) return;
  const bool over =
      how_ == How::by_clock ? left_ms(desk.now_ms) == 0 : watch_.sums().counted_ms >= duration_ms_;
  if (!over) return;
  if (!over_ms_) over_ms_ = desk.waking(desk.now_ms);
  if (desk.now_ms < *over_ms_) return;
  tell(desk, true);
  desk.emit(proto::Condition{"stand done", evidence(), desk.room_mk().value_or(0)});
  desk.cue("dwell_done", "Time is up: " + quantity::span_of_time(duration_ms_) + ".");
  // Nobody has looked at the scales meanwhile.
  for (auto& scale : desk.scales) scale.pan.begin_unwatched_epoch("not used for days");
  finish();
}

void Stand::time_passed(Desk& desk) {
  if (done()) return;
  if (pending_ != Ask::nothing && desk.now_ms >= due_ms_) open(desk);
  if (how_ == How::measured) judge_outside(desk);
  end_when_over(desk);
  if (ask_ != Ask::nothing && desk.now_ms >= line_ms_) {  // nobody has answered since yesterday
    line_ms_ = desk.morning(desk.now_ms + line_after_ms);
    say_again(desk);
  }
  if (done() || ask_ != Ask::nothing || pending_ != Ask::nothing) return;
  const bool asks = how_ == How::seen && (desk.now_ms >= line_ms_ || left_ms(desk.now_ms) == 0);
  const bool lost = how_ == How::measured && !fahrenheit_ && desk.now_ms >= look_ms_;
  if (asks || lost) {
    ask(desk, Ask::look, desk.now_ms);
  } else if (desk.now_ms >= line_ms_) {
    say_line(desk);
  }
}

void Stand::unwatched(Desk& desk) {
  look_ms_ = std::max(look_ms_, desk.waking(desk.now_ms + hour_ms));
}

std::optional<std::int64_t> Stand::deadline_ms() const {
  if (done()) return std::nullopt;
  std::int64_t next = line_ms_;
  const auto sooner = [&](std::int64_t at_ms) { next = std::min(next, at_ms); };
  if (pending_ != Ask::nothing) sooner(due_ms_);
  const auto& sums = watch_.sums();
  if (how_ == How::measured && !broken_ && watch_.last_outside()) {
    sooner(watch_.last_ms() + may_be_outside_ms_ - sums.outside_ms + 1);
  }
  if (ask_ == Ask::nothing && pending_ == Ask::nothing) {
    if (over_ms_ && !fahrenheit_) sooner(*over_ms_);
    if (!over_ms_ && how_ != How::measured && !watch_.last_outside()) {
      sooner(watch_.last_ms() + duration_ms_ - sums.counted_ms);
    }
    if (how_ == How::measured && !fahrenheit_) sooner(look_ms_);
  }
  return next;
}

}  // namespace maslin::batch
