// Ice, boil and the line through both; see the header.
#include "daemon/preserving/probe.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "daemon/preserving/boiling.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::preserving {
namespace {

constexpr double zero_c_k = 273.15;
constexpr std::int64_t zero_mk = 273'150;

// A bath of ice and water that is well stirred (common practice, no source).
constexpr double ice_u_c = 0.05;
// Boiling water a little over its point, or the tip not in it (common practice, no source).
constexpr double boil_u_c = 0.05;
constexpr double most_ice_off_c = 5;
constexpr double most_span_off = 0.05;
// About 500 m of altitude, and six times what the weather does (common practice, no source).
constexpr std::int64_t right_in_ice_mk = 1000;
constexpr std::int64_t most_boil_off_mk = 1500;

constexpr std::int64_t still_ms = 40'000;
constexpr std::int64_t still_span_mk = 500;
constexpr std::int64_t still_halves_mk = 60;
constexpr std::size_t still_readings = 5;
// No closer together are readings kept, so that 40 s of them have room.
constexpr std::int64_t apart_ms = 200;

// Degrees of Fahrenheit taken for Celsius.
bool is_fahrenheit_of(std::int64_t shown_mk, std::int64_t true_mk) {
  const double true_c = static_cast<double>(true_mk - zero_mk) / 1000;
  const double shown = static_cast<double>(shown_mk - zero_mk) / 1000;
  return std::abs(shown - (true_c * 1.8 + 32)) < 5;
}

}  // namespace

proto::Result<ProbeLine> calibrate_probe(double ice_c, double boiling_c, double pressure_pa,
                                         double pressure_u_pa, double interval_c) {
  const auto boil_k = saturation_temperature_k(pressure_pa);
  if (!boil_k) return tl::unexpected(boil_k.error());
  const double true_c = *boil_k - zero_c_k;
  if (std::abs(ice_c) > most_ice_off_c) {
    return proto::trouble("no probe is off by " + quantity::plain(ice_c, 1) + " K in ice", "ice",
                          "stir crushed ice with a little water, wait a minute, read °C");
  }
  const double span = boiling_c - ice_c;
  if (!(std::abs(span - true_c) <= most_span_off * true_c)) {
    return proto::trouble("from ice to the boil it shows " + quantity::plain(span, 1) +
                              " K, and here that is " + quantity::plain(true_c, 1) + " K",
                          "boiling", "boil water hard, hold the tip in it, read °C");
  }
  ProbeLine found;
  found.ice_c = ice_c;
  found.slope = true_c / span;
  found.boiling_c = true_c;
  // How far the boil moves with the pressure, by a small step of the curve itself.
  const double per_pa = (*saturation_temperature_k(pressure_pa + 10) - *boil_k) / 10;
  found.pressure_u_c = per_pa * pressure_u_pa;
  found.reading_u_c = interval_c / std::sqrt(12.0);
  return found;
}

double ProbeLine::standard_uncertainty_c(double true_c) const {
  const double f = true_c / boiling_c;
  const double boil = f * std::hypot(pressure_u_c, boil_u_c);
  const double ice = (1 - f) * ice_u_c;
  return std::sqrt(boil * boil + ice * ice +
                   reading_u_c * reading_u_c * (1 + f * f + (1 - f) * (1 - f)));
}

std::optional<proto::Trouble> no_ice(std::int64_t shown_mk) {
  if (shown_mk == kPowerOnMk) {
    return proto::Trouble{"85.0 °C is what a sensor shows that has measured nothing yet", "ice",
                          "look at its wire, unplug it and plug it in again"};
  }
  if (is_fahrenheit_of(shown_mk, zero_mk)) {
    return proto::Trouble{
        "it shows " + quantity::celsius(shown_mk) + " in ice: those are degrees of Fahrenheit",
        "ice", "switch the thermometer to °C, then say it again"};
  }
  if (std::abs(shown_mk - zero_mk) > static_cast<std::int64_t>(most_ice_off_c * 1000)) {
    return proto::Trouble{"it shows " + quantity::celsius(shown_mk) + ", and that is no ice", "ice",
                          "stir crushed ice with a little water, hold the tip in the middle of it, "
                          "wait a minute"};
  }
  return std::nullopt;
}

std::optional<proto::Trouble> no_boil(std::int64_t shown_mk, std::int64_t true_mk) {
  const std::string here = ", and water boils at " + quantity::celsius(true_mk) + " here";
  if (shown_mk == kPowerOnMk) {
    return proto::Trouble{"85.0 °C is what a sensor shows that has measured nothing yet", "boiling",
                          "look at its wire, unplug it and plug it in again"};
  }
  if (is_fahrenheit_of(shown_mk, true_mk)) {
    return proto::Trouble{
        "it shows " + quantity::celsius(shown_mk) + here + ": those are degrees of Fahrenheit",
        "boiling", "switch the thermometer to °C, then say it again"};
  }
  const double off = static_cast<double>(std::abs(shown_mk - true_mk)) / 1000;
  if (off > most_span_off * static_cast<double>(true_mk - zero_mk) / 1000) {
    return proto::Trouble{
        "it shows " + quantity::celsius(shown_mk) + here, "boiling",
        "boil plain water hard, hold the tip in it and off the bottom; if it does "
        "boil, the thermometer is broken or the altitude wrong"};
  }
  return std::nullopt;
}

std::optional<proto::Trouble> no_altitude(std::int64_t ice_mk, std::int64_t boil_mk,
                                          std::int64_t true_mk) {
  if (std::abs(ice_mk - zero_mk) > right_in_ice_mk) return std::nullopt;
  if (std::abs(boil_mk - true_mk) <= most_boil_off_mk) return std::nullopt;
  return proto::Trouble{"it is right in ice, but shows " + quantity::celsius(boil_mk) +
                            " at the boil, and by the altitude water boils at " +
                            quantity::celsius(true_mk) + ": the altitude seems wrong",
                        "altitude",
                        "set it right, maslin settings --altitude \"METRES m\", or give the true "
                        "pressure with the boil: "
                        "--pressure \"987 hPa\""};
}

void StillProbe::feed(std::int64_t at_ms, std::int64_t shown_mk, std::int64_t step_mk) {
  step_mk_ = step_mk;
  if (count_ > 0) {
    const Sample& last = samples_[(next_ + capacity - 1) % capacity];
    if (at_ms - last.at_ms < apart_ms) return;
    const std::int64_t change = std::abs(shown_mk - last.mk);
    if (change > 0 && (least_change_mk_ == 0 || change < least_change_mk_))
      least_change_mk_ = change;
  }
  samples_[next_] = {at_ms, shown_mk};
  next_ = (next_ + 1) % capacity;
  count_ = std::min(count_ + 1, capacity);
}

std::int64_t StillProbe::interval_mk() const { return std::max(step_mk_, least_change_mk_); }

std::optional<std::int64_t> StillProbe::level_mk() const {
  if (count_ < still_readings) return std::nullopt;
  const std::int64_t newest_ms = samples_[(next_ + capacity - 1) % capacity].at_ms;
  std::int64_t least = INT64_MAX, greatest = INT64_MIN;
  double early = 0, late = 0;
  std::int64_t early_n = 0, late_n = 0;
  bool filled = false;
  for (std::size_t i = 0; i < count_ && !filled; ++i) {
    const Sample& one = samples_[(next_ + capacity - 1 - i) % capacity];
    const std::int64_t age = newest_ms - one.at_ms;
    filled = age >= still_ms;
    least = std::min(least, one.mk);
    greatest = std::max(greatest, one.mk);
    (age < still_ms / 2 ? late : early) += static_cast<double>(one.mk);
    ++(age < still_ms / 2 ? late_n : early_n);
  }
  if (!filled || early_n + late_n < static_cast<std::int64_t>(still_readings)) return std::nullopt;
  const double halves = early / static_cast<double>(early_n) - late / static_cast<double>(late_n);
  if (greatest - least > still_span_mk || std::abs(halves) > still_halves_mk) return std::nullopt;
  return std::llround((early + late) / static_cast<double>(early_n + late_n));
}

}  // namespace maslin::preserving
