// What place.hpp says: the bounds, the sums, each question and what ends it.
#include "daemon/batch/limits.hpp"
#include "daemon/batch/place.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {

const char* Place::evidence() const {
  return how_ == How::measured ? "measured"
         : how_ == How::seen   ? "seen by the cook"
         : stands()            ? "by the clock"
                               : "not measured";
}

std::string Place::bounds(const Desk& desk) const {
  return quantity::celsius_bounds(planned(desk).least_mk, planned(desk).most_mk);
}

std::string Place::to_go(const Desk& desk) const {
  const std::int64_t left = left_ms(desk.now_ms);
  return capitalised(quantity::span_of_time(left)) + " to go, until about " +
         quantity::day_of(desk.now_ms + left + desk.local_less_ms) + ".";
}

std::string Place::outside_text(const Desk& desk) const {
  const auto& sums = watch_.sums();
  std::string text = quantity::span_of_time(outside_ms(desk.now_ms)) + " outside " + bounds(desk) +
                     ", " + quantity::span_of_time(planned(desk).outside_ms) + " allowed";
  if (sums.coldest_mk > 0) {
    text += "; between " + quantity::celsius(sums.coldest_mk) + " and " +
            quantity::celsius(sums.warmest_mk);
  }
  return text;
}

std::string Place::so_far(const Desk& desk) const {
  const auto& sums = watch_.sums();
  if (sums.warmest_mk == 0) return {};
  const std::int64_t outside = outside_ms(desk.now_ms);
  return capitalised(quantity::celsius(sums.coldest_mk)) + " to " +
         quantity::celsius(sums.warmest_mk) + " so far" +
         (outside > 0 ? ", " + quantity::span_of_time(outside) + " outside." : ".");
}

std::string Place::what() const {
  switch (ask_) {
    case Ask::gap:
      return "Nobody knows how warm it was for " + quantity::span_of_time(watch_.long_gap_ms()) +
             ".";
    case Ask::broken:
      return std::string(cold_chain_ ? "The cold chain is broken"
                                     : "It was too warm or too cold for too long") +
             ": ";
    case Ask::mixture:
      return "What is in is outside the formula: ";
    case Ask::undecided:
      return "It shows up to " + quantity::celsius(watch_.sums().undecided_warmest_mk) +
             ", and this thermometer may be off by " +
             quantity::plain(static_cast<double>(watch_.bounds().guard_mk) / 1000, 1) + " K.";
    case Ask::look:
    case Ask::nothing:
      break;
  }
  return {};
}

std::string Place::ends_when(const Desk& desk) const {
  switch (ask_) {
    case Ask::look:
      return "Is it " + bounds(desk) + " " + where() +
             "? Look at a thermometer there: yes, say ok; no, say no.";
    case Ask::undecided:
      return "Look at another thermometer there, or hold this one into ice: if it is " +
             bounds(desk) + ", say ok; else say no.";
    case Ask::gap:
      return "If you know that it was " + bounds(desk) + " all the time, say ok; else say no.";
    case Ask::mixture: {
      // Salt can be stirred in; a cure that has gone wrong is not mended in its bag.
      const auto short_of = first_short_ratio(desk);
      const auto* more = short_of ? desk.planned(short_of->ingredient) : nullptr;
      if (more == nullptr || more->counts_as != "salt") return "Discard it: say ok.";
      const std::string grams = quantity::grams(short_of->add_ug);
      return "Weigh " + grams + " more " + more->name +
             ", stir it in until it is gone, and tell it: maslin amend --added \"" + more->name +
             "=" + grams + "\". Or discard it: say ok.";
    }
    case Ask::broken:
      return cold_chain_ ? "Discard it and do not taste it: say ok."
                         : "Look at it and smell it. Mould, slime, soft pieces or a bad smell: "
                           "discard it, maslin stop. If it is sound, say ok.";
    case Ask::nothing:
      break;
  }
  return {};
}

void Place::say_look(Desk& desk) {
  question_ = (how_ == How::measured
                   ? "The thermometer of the place has not answered for " +
                         quantity::span_of_time(desk.now_ms - watch_.last_ms()) + ". "
                   : planned(desk).text + " " + (duration_ms_ > 0 ? to_go(desk) + " " : "")) +
              ends_when(desk);
  desk.cue(how_ == How::measured ? "room_lost" : "room_asked", question_);
}

void Place::tell(Desk& desk, bool over) {
  const auto& sums = watch_.sums();
  const auto* room = desk.thermometer(proto::Role::room);
  proto::Stood stood;
  stood.operation = operation_;
  stood.inside_ms = sums.inside_ms;
  stood.outside_ms = outside_ms(desk.now_ms);
  stood.unmeasured_ms = sums.unmeasured_ms;
  stood.counted_ms = sums.counted_ms;
  stood.longest_gap_ms = sums.longest_gap_ms;
  stood.coldest_mk = sums.coldest_mk;
  stood.warmest_mk = sums.warmest_mk;
  stood.device = how_ == How::measured && room != nullptr ? room->device : -1;
  stood.evidence = evidence();
  stood.done = over;
  if (how_ == How::by_clock) {
    stood.unmeasured_ms = stood.counted_ms =
        stands() ? duration_ms_ - left_ms(desk.now_ms) : desk.now_ms - watch_.last_ms();
  }
  desk.emit(stood);
}

bool Place::say_again(Desk& desk) {
  if (ask_ == Ask::nothing) return false;
  if (ask_ == Ask::look) {
    say_look(desk);
  } else {
    desk.cue(ask_ == Ask::undecided ? "room_asked" : "held", question_);
  }
  return true;
}

void Place::describe(const Desk& desk, proto::BatchStatus& status) const {
  if (how_ == How::by_clock) return;
  const auto& sums = watch_.sums();
  const auto mk = desk.room_mk();
  if (how_ == How::measured && mk) status.room_c = static_cast<double>(*mk - 273'150) / 1000;
  if (!watch_.bounds().any()) return;
  status.inside_ms = sums.inside_ms;
  status.outside_ms = outside_ms(desk.now_ms);
  status.unmeasured_ms = sums.unmeasured_ms;
}

}  // namespace maslin::batch
