// The days of stand.hpp.
#include "daemon/batch/stand.hpp"

#include <algorithm>
#include <utility>

#include "daemon/batch/measured.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {

void Stand::begin(Desk& desk) {
  const auto& operation = planned(desk);
  if (!operation.caution.empty()) desk.cue("caution", operation.caution);
  place_.begin(desk, index(), Place::For::standing, operation.duration_ms);
  desk.emit(proto::PhaseBegan{index(), operation.kind, "", operation.text});
  began_ms_ = desk.now_ms;
  desk.ferment = {};
  desk.ferment.waits = operation.end_ph > 0;
  desk.cue("step",
           operation.text + " " + place_.to_go(desk) +
               (place_.asks_daily()
                    ? " You are asked once a day whether it is " + place_.bounds(desk) + " there."
                    : ""),
           "", 0, Desk::not_asked);
  if (desk.room_mk()) room_changed(desk);
}

void Stand::room_changed(Desk& desk) {
  if (done()) return;
  place_.changed(desk);
  end_when_over(desk);
}

std::optional<proto::Trouble> Stand::refuses_ok(const Desk& desk) const {
  if (place_.asks() || ph_asked_) return std::nullopt;
  return proto::Trouble{
      "the time is not up, " + quantity::span_of_time(place_.left_ms(desk.now_ms)) + " to go", "",
      "wait; stop the batch if it must end here"};
}

void Stand::ok(Desk& desk) {
  if (place_.asks()) {
    place_.ok(desk);
    end_when_over(desk);
  } else if (ph_asked_ && desk.ferment.not_sour) {
    discard(desk);
  } else if (ph_asked_) {
    go_without_ph(desk);
  }
}

std::optional<proto::Trouble> Stand::refuses_no(const Desk& desk) const {
  if (place_.takes_no()) return std::nullopt;
  return Operation::refuses_no(desk);
}

void Stand::no(Desk& desk) { place_.no(desk); }

std::optional<proto::Trouble> Stand::refuses_accept(const Desk& desk) const {
  if (place_.takes_accept()) return std::nullopt;
  return Operation::refuses_accept(desk);
}

void Stand::accept(Desk& desk, const std::string& reason) {
  place_.accept(desk, reason);
  end_when_over(desk);
}

// A pH that was told comes here too: what the question says, and what an ok means, may be new.
void Stand::amended(Desk& desk) {
  place_.amended(desk);
  end_when_over(desk);
  if (done()) return;
  mind_longest(desk);
  if (!ph_asked_ || desk.ferment.ph == asked_with_ph_) return;
  desk.ask_anew();
  ask_ph(desk);
}

// ---- the end ------------------------------------------------------------------------------------

void Stand::end_when_over(Desk& desk) {
  if (done() || !place_.quiet() || desk.gives_up || !place_.time_is_over(desk.now_ms)) return;
  if (!over_ms_) over_ms_ = desk.waking(desk.now_ms);
  if (desk.now_ms < *over_ms_) return;
  if (!desk.ferment.waits || desk.ferment.reached) {
    end(desk);
  } else if (!ph_asked_) {
    ph_asked_ = true;
    desk.ask_anew();
    ask_ph(desk);
  }
}

void Stand::ask_ph(Desk& desk) {
  place_.line_said(desk);
  const auto& ferment = desk.ferment;
  asked_with_ph_ = ferment.ph;
  std::string text =
      (late_ ? "It has stood for " + quantity::span_of_time(desk.now_ms - began_ms_) +
                   ", longer than it may"
             : "Time is up: " + quantity::span_of_time(planned(desk).duration_ms)) +
      ". It is done at a pH of at most " + quantity::plain(planned(desk).end_ph, 2);
  if (!ferment.ph) {
    text +=
        ": measure it with a meter and tell it, maslin ph --help says how. Not there yet: let it "
        "stand on and measure again. No meter: say ok; its pH then stays unknown, and it goes into "
        "the refrigerator.";
  } else if (!ferment.not_sour) {
    text +=
        ", and was at " + last_ph(desk) +
        ". Let it stand on and measure again; or say ok: it goes into the refrigerator, outside "
        "its formula.";
  } else {
    text += ", and was at " + last_ph(desk) + ", which is not sour. Do not taste it. ";
    text += late_ ? "Discard it: say ok."
                  : "Let it stand on and measure again tomorrow; or discard it: say ok.";
  }
  desk.cue("ph_asked", std::move(text));
}

std::string Stand::last_ph(const Desk& desk) const {
  return quantity::plain(*desk.ferment.ph, 2) + " when it was last measured";
}

// Nothing says that it is acid enough: it is kept cold and used soon, and the record begins with
// that.
void Stand::go_without_ph(Desk& desk) {
  const std::string most = "at most " + quantity::plain(planned(desk).end_ph, 2);
  const bool told = desk.ferment.ph.has_value();
  desk.emit(
      proto::Deviation{ferment_about, true,
                       told ? last_ph(desk) + ", not surely " + most : "not found to be " + most,
                       "into the refrigerator, to be used within days"});
  desk.limit_kept(ferment_about, false);
  desk.jars.begin_lot(desk);
  desk.jars.bar(desk, told ? "its pH was " + last_ph(desk) : "nobody has found its pH low enough");
  end(desk);
}

// What stood warm and is not sour is kept by nothing.
void Stand::discard(Desk& desk) {
  if (!desk.jars.discard(desk, "not sour, its pH was " + last_ph(desk))) return;
  desk.emit(proto::Deviation{ferment_about, true, last_ph(desk) + ", not sour", "discarded"});
  desk.limit_kept(ferment_about, false);
  place_.tell(desk, false);
}

// From its longest time on what is not sour is out of its formula, whatever it turns into.
void Stand::mind_longest(Desk& desk) {
  late_ms_.reset();
  const std::int64_t longest_ms = planned(desk).longest_ms;
  if (late_ || longest_ms == 0 || !desk.ferment.not_sour || !place_.quiet()) return;
  const std::int64_t at_ms = desk.waking(began_ms_ + longest_ms);
  if (desk.now_ms < at_ms) {
    late_ms_ = at_ms;
    return;
  }
  late_ = ph_asked_ = true;
  desk.emit(proto::Deviation{ferment_time_about, true,
                             "not sour after " + quantity::span_of_time(longest_ms),
                             "the cook was told to discard it"});
  desk.limit_kept(ferment_time_about, false);
  desk.jars.begin_lot(desk);
  desk.jars.bar(desk, std::string("outside the formula: ") + ferment_time_about);
  desk.ask_anew();
  ask_ph(desk);
}

void Stand::end(Desk& desk) {
  place_.tell(desk, true);
  desk.emit(proto::Condition{"stand done", place_.evidence(), desk.room_mk().value_or(0)});
  desk.ferment = {};
  desk.voice.answered("ph_asked");
  desk.cue("dwell_done", "Time is up: " + quantity::span_of_time(planned(desk).duration_ms) + ".");
  // Nobody has looked at the scales meanwhile.
  for (auto& scale : desk.scales) scale.pan.begin_unwatched_epoch("not used for days");
  finish();
}

// ---- time ---------------------------------------------------------------------------------------

void Stand::time_passed(Desk& desk) {
  if (done()) return;
  place_.open_due(desk);
  end_when_over(desk);
  if (done()) return;
  mind_longest(desk);
  place_.ask_due(desk, place_.left_ms(desk.now_ms) == 0 && !over_ms_);
  if (!place_.line_due(desk.now_ms)) return;
  if (!place_.quiet()) {
    if (!place_.asks()) place_.line_said(desk);
  } else if (ph_asked_) {
    ask_ph(desk);
  } else {
    say_line(desk);
  }
}

void Stand::unwatched(Desk& desk) { place_.unwatched(desk); }

std::optional<std::int64_t> Stand::deadline_ms() const {
  if (done()) return std::nullopt;
  auto next = place_.deadline_ms(true);
  const auto sooner = [&](std::optional<std::int64_t> at_ms) {
    if (at_ms) next = std::min(next.value_or(*at_ms), *at_ms);
  };
  if (place_.quiet() && !ph_asked_) sooner(over_ms_ ? over_ms_ : place_.over_at_ms());
  if (place_.quiet()) sooner(late_ms_);
  return next;
}

// ---- words --------------------------------------------------------------------------------------

void Stand::say_line(Desk& desk) {
  const std::string so_far = place_.so_far(desk);
  place_.line_said(desk);
  place_.tell(desk, false);
  desk.cue("stands",
           planned(desk).text + " " + place_.to_go(desk) + (so_far.empty() ? "" : " " + so_far));
}

void Stand::say_again(Desk& desk) {
  if (place_.say_again(desk)) return;
  if (ph_asked_) {
    ask_ph(desk);
  } else {
    say_line(desk);
  }
}

void Stand::describe(const Desk& desk, proto::BatchStatus& status) const {
  if (done()) return;
  status.left_ms = place_.left_ms(desk.now_ms);
  status.ready_on = quantity::day_of(desk.now_ms + *status.left_ms + desk.local_less_ms);
  place_.describe(desk, status);
}

}  // namespace maslin::batch
