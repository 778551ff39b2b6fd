// The account of one pan. Everything is decided from rest to rest; what happens between two rests
// only matters where an indication jumps to exactly zero.
#include "daemon/weighing/pan.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace maslin::weighing {
namespace {

constexpr std::int64_t told_after_ms = 1000;

}  // namespace

std::string_view name(How how) {
  switch (how) {
    case How::poured:
      return "poured into the vessel";
    case How::from_vessel:
      return "taken from its vessel";
    case How::filled_off_scale:
      return "vessel filled off the scale";
    case How::nothing_yet:
      break;
  }
  return "nothing yet";
}

Pan::Pan(Scale scale) : scale_(scale), detector_(scale.interval_ug, scale.lag_ms) {}

// Half a gram at least: fine scales wander by more than two of their intervals.
std::int64_t Pan::tolerance_ug() const {
  return std::max<std::int64_t>(2 * scale_.interval_ug, 500'000);
}

void Pan::begin_unwatched_epoch(std::string_view why) { begin_epoch(why, false); }

void Pan::begin_epoch(std::string_view why, bool watched) {
  ++epoch_;
  why_ = why;
  const bool tared = base_ug_.has_value() && !away_;
  const bool in_pour = tared && (how_ != How::nothing_yet ||
                                 std::abs(last_ug_ - *base_ug_) > 2 * scale_.interval_ug);
  needs_lift_ = needs_lift_ || in_pour || (tared && !watched);
  jump_gross_ug_.reset();
  if (watched && empty_ug_ && plateau_ug_) jump_gross_ug_ = gross_ug(*plateau_ug_);
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
  if (!taking_) content_ = true;
  ++rests_;
}

void Pan::begin_ingredient(std::int64_t planned_ug) {
  planned_ug_ = planned_ug;
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

void Pan::take_tare(std::int64_t level_ug, std::uint64_t reading) {
  base_ug_ = level_ug;
  base_gross_ug_.reset();
  if (empty_ug_) base_gross_ug_ = gross_ug(level_ug);
  tare_reading_ = reading;
}

// A step to exactly zero with no reading between is a new zero, or a very fast lift: the next rest
// tells.
bool Pan::jumped_to_zero(const proto::Reading& reading, std::int64_t mass_ug) const {
  return seen_ && reading.digits == 0 && mass_ug == 0 && std::abs(last_ug_) > tolerance_ug() &&
         detector_.at_rest() && plateau_ug_ &&
         std::abs(last_ug_ - *plateau_ug_) <= 2 * scale_.interval_ug && !away_;
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
  if (seen_ && (reading.unit != unit_ || reading.exponent != exponent_)) {
    begin_epoch("unit changed", true);
    change.new_epoch = true;
  } else if (jumped_to_zero(reading, mass_ug)) {
    begin_epoch("zeroed with a load on", true);
    change.new_epoch = true;
  }
  unit_ = reading.unit;
  exponent_ = reading.exponent;
  seen_ = true;
  last_ug_ = mass_ug;
  if (lighter_than_zero_ && empty_ug_ && std::abs(mass_ug - *empty_ug_) <= tolerance_ug()) {
    lighter_than_zero_ = false;
  }
  change.settling =
      detector_.feed(reading.at_ms, mass_ug, (reading.state & proto::state::moving) != 0);
  if (change.settling == Settling::at_rest) settle(detector_.level_ug(), reading.number, change);
  if (detector_.at_rest()) plateau_ug_ = detector_.level_ug();
  if (change.settling == Settling::quiet && base_ug_ && !away_ && !needs_lift_ &&
      how_ == How::nothing_yet) {
    const std::int64_t crept = *plateau_ug_ - *base_ug_;
    if (std::abs(crept) > scale_.interval_ug) {
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
  if (!jump_gross_ug_ || !plateau_ug_ || needs_lift_) return false;
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
  if (std::abs(level_ug - *base_ug_) > 2 * scale_.interval_ug) note_change(level_ug - *base_ug_);
}

// The pan was empty or bare of a tare, and now something rests on it.
void Pan::settle_from_empty(std::int64_t level_ug, std::uint64_t reading, PanChange& change) {
  const std::int64_t gross = gross_ug(level_ug);
  const bool was_away = away_;
  away_ = false;
  if (!base_gross_ug_) {
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
  const std::int64_t least = base_gross_ug_.value_or(0) - tolerance_ug();
  if (-step >= least) {  // lifted: all of it is gone
    empty_ug_ = level_ug;
    gross_before_ug_ = -step;
    away_ = true;
    change.lifted = true;
    if (needs_lift_ && base_gross_ug_) {
      held_net_ug_ = gross_before_ug_ - *base_gross_ug_;
      if (taking_) held_net_ug_ = -*held_net_ug_;
    }
  } else if (step >= least) {  // it had been off all the time, and is back
    empty_ug_ = *plateau_ug_;
    away_ = true;
    gross_before_ug_ = step;
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
