// The account of one pan. Everything is decided from rest to rest; what happens between two rests
// only matters where an indication jumps to exactly zero.
#include "daemon/weighing/pan.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/readings.hpp"

namespace maslin::weighing {
namespace {

constexpr std::int64_t told_after_ms = 1000;
constexpr std::size_t most_rests = 8;  // that are kept of one ingredient
constexpr int steps_of_slide = 3;
constexpr std::int64_t slow_step_ms = 4000;
constexpr std::int64_t slow_steps_ms = 30'000;
constexpr std::int64_t rough_tare_ug = 1'000'000;

}  // namespace

std::string_view name(How how) {
  switch (how) {
    case How::poured:
      return "poured into the vessel";
    case How::scooped:
      return "scooped into the vessel";
    case How::from_vessel:
      return "taken from its vessel";
    case How::filled_off_scale:
      return "vessel filled off the scale";
    case How::nothing_yet:
      break;
  }
  return "nothing yet";
}

Pan::Pan(Scale scale)
    : scale_(scale),
      interval_ug_(scale.interval_ug),
      detector_(scale.interval_ug, scale.lag_ms),
      moves_(scale.interval_ug, scale.lag_ms) {}

// Half a gram at least: fine scales wander by more than two of their intervals.
std::int64_t Pan::tolerance_ug() const {
  return std::max<std::int64_t>(2 * interval_ug(), 500'000);
}

void Pan::begin_unwatched_epoch(std::string_view why) {
  begin_epoch(why, false);
  moves_.begin_epoch(last_ms_);
}

void Pan::begin_epoch(std::string_view why, bool watched) {
  ++epoch_;
  why_ = why;
  const bool tared = base_ug_.has_value() && !away_;
  const bool in_pour =
      tared && (how_ != How::nothing_yet || std::abs(last_ug_ - *base_ug_) > 2 * interval_ug());
  // Something had come that was not at rest yet.
  const bool untared = !base_ug_ && !away_ && empty_ug_ && gross_ug(last_ug_) > tolerance_ug();
  needs_lift_ = needs_lift_ || in_pour || ((tared || untared) && !watched);
  if (empty_ug_ && plateau_ug_) last_gross_ug_ = away_ ? gross_before_ug_ : gross_ug(*plateau_ug_);
  jump_gross_ug_.reset();
  on_ug_.reset();
  if (tared) base_ug_.reset();  // taken anew from the next rest, or when the vessel has been lifted
  if (lighter_than_zero_) away_ = true;
  empty_ug_.reset();
  plateau_ug_.reset();
  seen_ = false;
  detector_.restart();
}

// The net has changed by more than noise: it is under way from now on.
void Pan::note_change(std::int64_t change_ug) {
  if (how_ == How::nothing_yet) {
    taking_ = change_ug < 0 && !mixed_;  // what leaves a mixed bowl is no ingredient
    how_ = taking_ ? How::from_vessel : How::poured;
  }
  if (taking_ && change_ug > tolerance_ug()) {  // the end of the display's lag was no taking
    taking_ = false;
    how_ = How::poured;
  }
  if (!taking_) content_ = true;
  ++rests_;
}

// What only a finished move can tell: how it came in, what went out again, what only lay there.
void Pan::note_move(const Move& move) {
  switch (move.what) {
    case Moved::added:
      ++portions_;
      if (moves_.in_one_go(move.to_ug)) ++scoops_;
      break;
    case Moved::taken:
      taken_out_ = taken_out_ || how_ == How::poured;
      break;
    case Moved::lighter:
      ++trips_;
      break;
    case Moved::disturbed:
      if (move.mends == 0) break;
      lain_on_ = true;
      --portions_;
      taken_out_ = false;
      if (how_ == How::poured && plateau_ug_ && base_ug_ &&
          std::abs(*plateau_ug_ - *base_ug_) <= tolerance_ug()) {
        how_ = How::nothing_yet;
        rests_ = 0;
      }
      break;
    default:
      break;
  }
}

How Pan::how() const {
  return how_ == How::poured && portions_ > 1 && scoops_ == portions_ ? How::scooped : how_;
}

std::string Pan::how_text() const {
  std::string text(name(how()));
  const int times = how_ == How::from_vessel ? trips_ : portions_;  // a hand's press is no portion
  if (times > 1) text += ", " + std::to_string(times) + " times";
  if (taken_out_) text += ", some taken out again";
  if (lain_on_) text += ", something lay on the pan meanwhile";
  if (slid_ug_ != 0) {
    text += ", a slide of " + quantity::grams(std::abs(slid_ug_)) + " not counted";
  }
  return text;
}

void Pan::begin_ingredient(std::int64_t planned_ug) {
  before_.reset();
  if (base_ug_ && !away_ && !needs_lift_) {
    before_ = Account{epoch_,  *base_ug_, base_gross_ug_, planned_ug_, tare_reading_, mixed_,
                      taking_, how_,      rests_,         portions_,   scoops_,       slid_ug_};
  }
  rests_ug_.clear();
  emptied_ug_.reset();
  if (how_ != How::nothing_yet && how_ != How::from_vessel && !mixed_) emptied_ug_ = base_gross_ug_;
  portions_ = scoops_ = trips_ = 0;
  slid_ug_ = 0;
  taken_out_ = lain_on_ = false;
  planned_ug_ = planned_ug;
  coarsest_ug_ = interval_ug_;
  how_ = How::nothing_yet;
  rests_ = 0;
  indications_ = 2;
  taking_ = false;
  needs_lift_ = false;
  held_net_ug_.reset();
  fresh_ = false;
  const bool loaded =
      plateau_ug_ && !away_ && (!empty_ug_ || gross_ug(*plateau_ug_) > tolerance_ug());
  mixed_ = loaded;
  base_ug_.reset();
  base_gross_ug_.reset();
  if (loaded) take_tare(detector_.level_ug(), tare_reading_);
}

void Pan::came_before(std::int64_t net_ug) {
  if (!base_ug_) return;
  *base_ug_ -= net_ug;
  if (base_gross_ug_) *base_gross_ug_ -= net_ug;
  note_change(net_ug);
}

bool Pan::go_back() {
  if (!before_ || before_->epoch != epoch_ || away_ || needs_lift_) return false;
  const Account account = *before_;
  before_.reset();
  base_ug_ = account.base_ug;
  base_gross_ug_ = account.base_gross_ug;
  planned_ug_ = account.planned_ug;
  tare_reading_ = account.tare_reading;
  mixed_ = account.mixed;
  taking_ = account.taking;
  slid_ug_ = account.slid_ug;
  rests_ = std::max(0, account.rests - 1);
  portions_ = std::max(0, account.portions - 1);
  scoops_ = std::min(account.scoops, portions_);
  lain_on_ = true;
  how_ = plateau_ug_ && std::abs(*plateau_ug_ - *base_ug_) > tolerance_ug() ? account.how
                                                                            : How::nothing_yet;
  return true;
}

void Pan::take_tare(std::int64_t level_ug, std::uint64_t reading) {
  base_ug_ = level_ug;
  slid_ug_ = 0;
  base_gross_ug_.reset();
  if (empty_ug_) base_gross_ug_ = gross_ug(level_ug);
  tare_reading_ = reading;
}

void Pan::declare_empty() {
  if (!plateau_ug_) return;
  empty_ug_ = *plateau_ug_;
  away_ = true;
  held_net_ug_.reset();
}

PanChange Pan::feed(const proto::Reading& reading, std::int64_t mass_ug) {
  PanChange change;
  if (!reading.usable()) {
    take_unusable(reading, change);
    return change;
  }
  unusable_since_ms_ = -1;
  unusable_said_ = false;
  const bool moving = (reading.state & proto::state::moving) != 0;
  if (seen_ && (reading.unit != unit_ || reading.exponent != exponent_)) {
    begin_epoch("unit changed", true);
    auto one = reading;
    one.digits = 1;
    coarsest_ug_ = interval_ug();
    interval_ug_ = std::max(scale_.interval_ug, quantity::micrograms(one).value_or(0));
    detector_.restart(interval_ug_);
    moves_.begin_epoch(reading.at_ms, interval_ug_);
    change.new_epoch = true;
  }
  change.move = moves_.feed(reading.at_ms, mass_ug, moving);
  if (moves_.suspects_zero()) return change;  // the next reading tells what it was
  if (change.move) note_move(*change.move);
  if (moves_.zeroed() && plateau_ug_ && !away_) {
    begin_epoch("zeroed with a load on", true);
    jump_gross_ug_ = last_gross_ug_;
    change.new_epoch = true;
  }
  unit_ = reading.unit;
  exponent_ = reading.exponent;
  seen_ = true;
  last_ug_ = mass_ug;
  last_ms_ = reading.at_ms;
  if (lighter_than_zero_ && empty_ug_ && std::abs(mass_ug - *empty_ug_) <= tolerance_ug()) {
    lighter_than_zero_ = false;
  }
  change.settling = detector_.feed(reading.at_ms, mass_ug, moving);
  if (change.settling == Settling::at_rest) settle(detector_.level_ug(), reading.number, change);
  if (change.move && change.move->what == Moved::on) on_ug_ = change.move->to_ug;
  if (detector_.at_rest()) on_ug_.reset();
  if (on_ug_ && moves_.moving() && !needs_lift_ && empty_ug_ && (away_ || !base_ug_)) {
    // Poured into before the display was at rest: the tare is good to a gram.
    settle_from_empty(*on_ug_, reading.number, change);
    plateau_ug_ = *on_ug_;
    coarsest_ug_ = std::max(coarsest_ug_, rough_tare_ug);
    on_ug_.reset();
  }
  if (detector_.at_rest()) plateau_ug_ = detector_.level_ug();
  if (change.settling == Settling::departed) {
    slide_ = {};
    if (how_ != How::nothing_yet && rests_ug_.size() < most_rests && base_ug_ && plateau_ug_ &&
        !away_ && !needs_lift_) {
      rests_ug_.push_back(taking_ ? *base_ug_ - *plateau_ug_ : *plateau_ug_ - *base_ug_);
    }
  }
  if (change.settling == Settling::reopened) follow_slide(reading.at_ms, change);
  if (change.settling == Settling::quiet) quiet_ug_ = detector_.level_ug();
  if (change.settling == Settling::quiet && base_ug_ && !away_ && !needs_lift_ &&
      how_ == How::nothing_yet) {
    const std::int64_t crept = *plateau_ug_ - *base_ug_;
    if (std::abs(crept) > interval_ug()) {
      note_change(crept);  // a pinch, too small to be seen as a departure
    } else {
      take_tare(*plateau_ug_, tare_reading_);  // the end of the display's lag, after a first rest
    }
  }
  return change;
}

// Readings without a value are no weighing; what lasts for a second is told once.
void Pan::take_unusable(const proto::Reading& reading, PanChange& change) {
  detector_.restart();  // what comes after it is a rest of its own
  if ((reading.state & proto::state::under) != 0) {
    lighter_than_zero_ = true;
    moves_.under_zero(reading.at_ms);
    change.under_zero = true;
    return;
  }
  if (unusable_since_ms_ < 0) unusable_since_ms_ = reading.at_ms;
  if (unusable_said_ || reading.at_ms - unusable_since_ms_ < told_after_ms) return;
  unusable_said_ = true;
  change.over = (reading.state & proto::state::over) != 0;
  change.fault = !change.over;
}

// After a jump to zero that was taken for a new zero: the same gross comes back in one step, so the
// vessel had only been off, faster than the scale's filter.
bool Pan::was_removed_instead(std::int64_t level_ug) {
  if (!jump_gross_ug_ || !plateau_ug_ || needs_lift_ || !moves_.in_one_go(level_ug)) return false;
  const bool removed = std::abs(level_ug - *plateau_ug_ - *jump_gross_ug_) <= tolerance_ug();
  if (removed) {
    empty_ug_ = *plateau_ug_;
    gross_before_ug_ = *jump_gross_ug_;
    away_ = true;
  }
  jump_gross_ug_.reset();
  return removed;
}

void Pan::settle(std::int64_t level_ug, std::uint64_t reading, PanChange& change) {
  if (was_removed_instead(level_ug)) {
    settle_from_empty(level_ug, reading, change);
    return;
  }
  if (!empty_ug_) {
    settle_unknown_epoch(level_ug, change);
    if (!empty_ug_ || change.lifted) return;
  }
  if (level_ug < *empty_ug_ - tolerance_ug()) {
    // Nothing weighs less than nothing: the zero had been set with a vessel on, and now it is off.
    const std::int64_t shift = *empty_ug_ - level_ug;
    gross_before_ug_ = plateau_ug_.value_or(*empty_ug_) - level_ug;
    if (base_ug_ && !base_gross_ug_)
      base_gross_ug_ = *base_ug_ - level_ug;
    else if (base_gross_ug_)
      *base_gross_ug_ += shift;
    empty_ug_ = level_ug;
  }
  const std::int64_t gross = gross_ug(level_ug);
  if (gross <= tolerance_ug()) {
    if (!away_ && plateau_ug_ && gross_ug(*plateau_ug_) > tolerance_ug()) {
      gross_before_ug_ = gross_ug(*plateau_ug_);
      if (!needs_lift_ && base_ug_) held_net_ug_ = net_ug();
      change.lifted = true;
    }
    away_ = true;
    return;
  }
  if (away_ || !base_ug_) {
    settle_from_empty(level_ug, reading, change);
    return;
  }
  if (std::abs(level_ug - *base_ug_) > 2 * interval_ug()) note_change(level_ug - *base_ug_);
}

// The pan was empty or bare of a tare, and now something rests on it.
void Pan::settle_from_empty(std::int64_t level_ug, std::uint64_t reading, PanChange& change) {
  const std::int64_t gross = gross_ug(level_ug);
  const bool was_away = away_;
  away_ = false;
  if (!base_gross_ug_) {
    needs_lift_ = false;
    take_tare(level_ug, reading);
    fresh_ = was_away;
    // The bowl that was lifted is back as it was: what is in it is in it still.
    content_ = content_ && std::abs(gross - gross_before_ug_) <= tolerance_ug();
    mixed_ = content_;
    change.vessel_on = true;
    return;
  }
  change.back = true;
  const std::int64_t moved = gross - gross_before_ug_;
  const std::int64_t net = gross - *base_gross_ug_;
  const bool touched = how_ != How::nothing_yet;
  if (needs_lift_ && net < -tolerance_ug()) {
    // Lighter than the tare: another vessel. What was in the first one is not known any more.
    needs_lift_ = false;
    how_ = How::nothing_yet;
    rests_ = 0;
    take_tare(level_ug, reading);
    fresh_ = true;
    mixed_ = false;
    change.back = false;
    change.vessel_on = true;
    return;
  }
  base_ug_ = level_ug - net;
  slid_ug_ = 0;  // the vessel was off: its gross says what is in, whatever slid
  held_net_ug_.reset();
  if (needs_lift_) {
    needs_lift_ = false;
    indications_ = 4;  // tare and gross, each against its own empty pan
    change.resolved = true;
    if (std::abs(net) > tolerance_ug()) note_change(net);
    return;
  }
  if (std::abs(moved) <= tolerance_ug()) return;  // the same vessel, unchanged
  if (!touched && !fresh_) {
    // Lifted between two ingredients and back different: emptied, or another vessel. A new tare.
    const std::int64_t stuck_ug = gross - emptied_ug_.value_or(gross);
    if (stuck_ug > interval_ug() && 10 * stuck_ug <= gross_before_ug_ - *emptied_ug_) {
      change.stuck_ug = stuck_ug;
    }
    take_tare(level_ug, reading);
    mixed_ = content_ = false;
    fresh_ = true;
    change.back = false;
    change.vessel_on = true;
  } else if (!touched && net < 0) {
    note_change(net);
  } else if (!touched && planned_ug_ > 0 &&
             (net * 10 < planned_ug_ * 3 || net * 2 > planned_ug_ * 3)) {
    take_tare(level_ug, reading);  // too far from the amount asked for: another vessel
    change.back = false;
    change.vessel_on = true;
  } else if (!touched) {
    how_ = How::filled_off_scale;
    ++rests_;
  } else {
    ++rests_;
  }
}

// A new zero, and nobody has seen the pan empty under it. The step when the vessel is lifted, or
// when it comes back, is its whole gross whatever the zero is.
void Pan::settle_unknown_epoch(std::int64_t level_ug, PanChange& change) {
  if (lighter_than_zero_) away_ = true;  // nothing is lighter than the empty pan
  if (away_) {
    // The pan was empty when it was last seen. What it shows is its zero, unless that is a load.
    empty_ug_ = level_ug > tolerance_ug() ? 0 : level_ug;
    lighter_than_zero_ = false;
    return;
  }
  if (!plateau_ug_) {
    if (!needs_lift_) {
      if (!base_gross_ug_) {
        // First sight of this scale: an indication near zero is an empty pan until it proves
        // otherwise.
        empty_ug_ = level_ug <= tolerance_ug() ? level_ug : 0;
      } else {
        base_ug_ = level_ug;  // between two weighings: a new starting indication
        empty_ug_ = level_ug - *base_gross_ug_;
      }
    }
    return;
  }
  const std::int64_t step = level_ug - *plateau_ug_;
  const std::int64_t least =
      std::max(base_gross_ug_.value_or(0) - tolerance_ug(), 2 * tolerance_ug());
  if (-step >= least) {  // lifted: all of it is gone
    empty_ug_ = level_ug;
    gross_before_ug_ = -step;
    away_ = true;
    change.lifted = true;
    if (needs_lift_ && base_gross_ug_) {
      held_net_ug_ = gross_before_ug_ - *base_gross_ug_;
      if (taking_) held_net_ug_ = -*held_net_ug_;
    }
  }
}

// A quiet level that creeps on and on in one direction, a step every four seconds or slower, is
// steam, heat or the table, or a trickle so thin that nothing can be told of it: no food, and the
// tare goes along.
void Pan::follow_slide(std::int64_t at_ms, PanChange& change) {
  const std::int64_t level_ug = detector_.level_ug();
  const int direction = level_ug > slide_.from_ug ? 1 : -1;
  const bool goes_on = slide_.steps * direction > 0 && at_ms - slide_.seen_ms >= slow_step_ms &&
                       at_ms - slide_.seen_ms <= slow_steps_ms;
  if (!goes_on) slide_ = {quiet_ug_, at_ms, 0};
  slide_.steps += direction;
  slide_.seen_ms = at_ms;
  if (std::abs(slide_.steps) < steps_of_slide || !base_ug_ || away_ || needs_lift_) return;
  change.slides = std::abs(slide_.steps) == steps_of_slide;
  // With something in already it may be a trickle of the same: only a lift tells.
  if (std::abs(slide_.from_ug - *base_ug_) > steps_of_slide * interval_ug())
    slid_ug_ += level_ug - slide_.from_ug;
  *base_ug_ += level_ug - slide_.from_ug;
  slide_.from_ug = level_ug;
  if (std::abs(level_ug - *base_ug_) <= interval_ug()) {
    how_ = How::nothing_yet;
    rests_ = 0;
    slid_ug_ = 0;  // nothing of it was in
  }
}

std::optional<std::int64_t> Pan::net_ug() const {
  if (away_) return held_net_ug_;
  if (needs_lift_ || !base_ug_ || !plateau_ug_) return std::nullopt;
  const std::int64_t change = *plateau_ug_ - *base_ug_;
  return taking_ ? -change : change;
}

std::optional<std::int64_t> Pan::change_ug() const {
  const auto net = net_ug();
  if (net && taking_) return -*net;
  return net;
}

std::optional<std::int64_t> Pan::live_net_ug() const {
  if (away_ || needs_lift_ || !base_ug_ || !seen_) return std::nullopt;
  const std::int64_t change = last_ug_ - *base_ug_;
  return taking_ ? -change : change;
}

}  // namespace maslin::weighing
