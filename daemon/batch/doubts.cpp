// The judgements of doubts.hpp. All bounds that name no source are common practice, no source: they
// only ask for the eye.
#include "daemon/batch/doubts.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "daemon/batch/words.hpp"
#include "daemon/preserving/probe.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/probe.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {
namespace {

constexpr std::int64_t zero_mk = 273'150;
// Nothing heats or cools so fast between two readings.
constexpr std::int64_t jump_mk = 3000;
constexpr std::int64_t stuck_ms = 10'000;
// One wild reading, or a few, are a bad contact and no unit.
constexpr std::int64_t hot_ms = 10'000;
constexpr std::int64_t back_ms = 10'000;
constexpr std::int64_t back_over_boil_mk = 3000;
constexpr std::int64_t sea_boil_mk = 99'974 + zero_mk;
// A kitchen of 10 to 35 °C in degrees of Fahrenheit. Water as hot as that cools by more than this
// in so long.
constexpr std::int64_t kitchen_from_mk = 50'000 + zero_mk;
constexpr std::int64_t kitchen_to_mk = 95'000 + zero_mk;
constexpr std::int64_t under_boil_mk = 10'000;  // and no simmer at any altitude
// What has become so much warmer stands over the heat.
constexpr std::int64_t warmed_mk = 3000;
constexpr std::int64_t still_mk = 300;
constexpr std::int64_t still_ms = 150'000;
constexpr std::int64_t smoothed_over = 16;  // readings, so that noise is no movement
// Below this it is no kitchen in degrees of Fahrenheit.
constexpr std::int64_t celsius_again_mk = 45'000 + zero_mk;
// No syrup for a jar and no water in a canner is so hot.
constexpr std::int64_t hottest_pan_mk = 150'000 + zero_mk;
constexpr std::int64_t hottest_canner_mk = 115'000 + zero_mk;
// The weather's standard deviation about the boiling point of an altitude, and how much hotter than
// that it boils under a canner's depth of water (practice).
constexpr double weather_u_mk = 250;
constexpr std::int64_t depth_mk = 800;

}  // namespace

bool Doubts::doubts(std::uint16_t device) const {
  const auto found = known_.find(device);
  return found != known_.end() && (found->second.power_on || found->second.fahrenheit);
}

// True once it has been over the limit for long enough. Believed again where it comes back at once
// and stays; degrees of Fahrenheit that cool down come by way of all between, and stay in doubt.
bool Doubts::too_hot(const Desk& desk, Known& known, std::int64_t limit_mk, std::int64_t shown_mk) {
  if (shown_mk > limit_mk) {
    if (!known.hot_since_ms) known.hot_since_ms = desk.now_ms;
    known.back_since_ms.reset();
    return desk.now_ms - *known.hot_since_ms >= hot_ms;
  }
  const bool was_hot = known.hot_since_ms.has_value();
  known.hot_since_ms.reset();
  const std::int64_t boil_mk =
      desk.plan.boiling_point_mk > 0 ? desk.plan.boiling_point_mk : sea_boil_mk;
  if (shown_mk > boil_mk + back_over_boil_mk) {
    known.back_since_ms.reset();
  } else if (was_hot && known.fahrenheit) {
    known.back_since_ms = desk.now_ms;
  } else if (known.back_since_ms && desk.now_ms - *known.back_since_ms >= back_ms) {
    known.back_since_ms.reset();
    known.fahrenheit = known.said = false;
  }
  return false;
}

std::optional<std::int64_t> Doubts::heard(Desk& desk, const Thermometer& thermometer,
                                          std::int64_t shown_mk) {
  const bool pan = thermometer.role == proto::Role::pan;
  if (!pan && thermometer.role != proto::Role::canner) return shown_mk;
  Known& known = known_[thermometer.device];
  const std::int64_t limit_mk = pan ? hottest_pan_mk : hottest_canner_mk;
  const bool hot = too_hot(desk, known, limit_mk, shown_mk);
  if (shown_mk > limit_mk && !hot && !known.power_on && !known.fahrenheit) return std::nullopt;
  known.lowest_mk = known.last_mk ? std::min(known.lowest_mk, shown_mk) : shown_mk;
  known.heated = known.heated || (pan ? desk.pan_on_heat : desk.canner.lit()) ||
                 shown_mk > known.lowest_mk + warmed_mk;
  known.smooth_mk =
      known.last_mk ? known.smooth_mk + (shown_mk - known.smooth_mk) / smoothed_over : shown_mk;
  if (!known.last_mk || std::abs(known.smooth_mk - known.still_mk) > still_mk) {
    known.still_mk = known.smooth_mk;
    known.still_since_ms = desk.now_ms;
  }
  // Whoever has measured comes to 85.0 °C by way of 84.
  if (shown_mk != preserving::kPowerOnMk) {
    known.jumped_ms = 0;
    known.power_on = false;
  } else if (!known.last_mk || std::abs(shown_mk - *known.last_mk) > jump_mk) {
    known.jumped_ms = std::max<std::int64_t>(desk.now_ms, 1);
  }
  known.last_mk = shown_mk;
  const bool stuck = known.jumped_ms > 0 && desk.now_ms - known.jumped_ms >= stuck_ms;
  const bool warm_kitchen =
      !known.heated && shown_mk >= kitchen_from_mk && shown_mk <= kitchen_to_mk &&
      (desk.plan.boiling_point_mk == 0 || shown_mk < desk.plan.boiling_point_mk - under_boil_mk) &&
      desk.now_ms - known.still_since_ms >= still_ms;
  if (shown_mk < celsius_again_mk) known.fahrenheit = known.said = false;
  known.power_on = known.power_on || stuck;
  known.fahrenheit = known.fahrenheit || hot || (warm_kitchen && !stuck);
  if (!known.power_on && !known.fahrenheit) return shown_mk;
  if (!known.said) doubt(desk, thermometer, known, shown_mk);
  return std::nullopt;
}

void Doubts::doubt(Desk& desk, const Thermometer& thermometer, Known& known,
                   std::int64_t shown_mk) {
  known.said = true;
  const std::string whose = std::string(proto::name(thermometer.role)) + "'s thermometer";
  desk.emit(proto::Condition{
      whose + (known.power_on ? " measures nothing" : " seems to send degrees of Fahrenheit"),
      "measured", shown_mk});
  desk.cue("advice",
           "The " + whose + " shows " + quantity::celsius(shown_mk) +
               (known.power_on ? " and came there at once: that is what a sensor shows which has "
                                 "measured nothing. Look at its wire."
                               : ", which cannot be: it seems to send degrees of Fahrenheit. "
                                 "Switch it to °C.") +
               " Until then it is not used: go by the eye, and say ok.");
}

bool contradicts_boil(Desk& desk, proto::Role role, std::int64_t level_mk) {
  const std::int64_t boil_mk = desk.plan.boiling_point_mk;
  const auto* thermometer = desk.thermometer(role);
  if (boil_mk <= 0 || thermometer == nullptr) return false;
  if (role == proto::Role::pan && desk.pan_contradicted) return true;
  const auto& calibration = thermometer->calibration;
  const bool pan = role == proto::Role::pan;
  const double u_mk =
      std::hypot(static_cast<double>(quantity::probe_u_mk(level_mk, calibration)), weather_u_mk);
  const std::int64_t off_mk = level_mk - boil_mk;
  const std::int64_t known_mk = std::llround(2 * u_mk);
  if (off_mk >= -known_mk && (pan || off_mk <= known_mk + depth_mk)) return false;
  desk.pan_contradicted = desk.pan_contradicted || pan;
  const std::string pot = pan ? "pan" : "canner";
  const std::string altitude =
      desk.plan.altitude_m ? quantity::plain(*desk.plan.altitude_m, 0) + " m" : "this altitude";
  const std::string shown = quantity::celsius(level_mk);
  desk.emit(proto::Deviation{pot + "'s thermometer", false,
                             "boils at " + shown + ", and water boils at " +
                                 quantity::celsius(boil_mk) + " at " + altitude,
                             "told the cook: calibrate it, check the altitude"});
  std::string text = "The " + pot + " boils at " + shown +
                     " by its thermometer, and water boils at " + quantity::celsius(boil_mk) +
                     " at " + altitude + ". ";
  if (calibration) {
    text += "The thermometer was calibrated on " +
            quantity::utc_text(calibration->utc_ms).substr(0, 10) +
            ": it has changed, or the altitude is wrong.";
  } else {
    text += "The thermometer was never calibrated: it is off, or the altitude is wrong.";
  }
  if (pan) text += " Or it does not stand in what boils.";
  if (!pan && off_mk < 0)
    text += " Higher up the time is longer: check the altitude before you go by it.";
  desk.cue("advice", std::move(text));
  return true;
}

}  // namespace maslin::batch
