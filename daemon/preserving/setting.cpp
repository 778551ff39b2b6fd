// Setting point and probe calibration; see the header.
#include "daemon/preserving/setting.hpp"

#include <array>
#include <cmath>

#include "daemon/preserving/boiling.hpp"
#include "daemon/preserving/curve.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::preserving {
namespace {

constexpr double zero_c_k = 273.15;

// USDA Complete Guide to Home Canning (AIB 539), temperature test for jelly: feet and °F. 4000 and
// 7000 ft from memory.
constexpr std::array<Point, 9> gels = {{{0, 220},
                                        {1000, 218},
                                        {2000, 216},
                                        {3000, 214},
                                        {4000, 212},
                                        {5000, 211},
                                        {6000, 209},
                                        {7000, 207},
                                        {8000, 205}}};
constexpr double rule_k = 8 / 1.8;
constexpr double foot_m = 0.3048;

double celsius(double fahrenheit) { return (fahrenheit - 32) / 1.8; }

// A bath of ice and water that is well stirred (common practice, no source).
constexpr double ice_u_c = 0.05;
// Boiling water a little over its point, or the tip not in it (common practice, no source).
constexpr double boil_u_c = 0.05;
constexpr double most_ice_off_c = 5;
constexpr double most_span_off = 0.05;

}  // namespace

proto::Result<SettingPoint> setting_point(double altitude_m) {
  const double feet = altitude_m / foot_m;
  if (!(feet >= gels.front().x && feet <= gels.back().x)) {
    return proto::trouble("the printed gel temperatures go from the sea to 8000 ft", "altitude",
                          "elsewhere, end by sheet or by weight");
  }
  SettingPoint point;
  point.boiling_c = static_cast<double>(*boiling_point_mk(altitude_m)) / 1000 - zero_c_k;
  point.table_c = celsius(straight(gels, feet));
  point.rule_c = point.boiling_c + rule_k;
  return point;
}

proto::Result<ProbeCalibration> calibrate_probe(double ice_c, double boiling_c, double pressure_pa,
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
  ProbeCalibration found;
  found.ice_c = ice_c;
  found.slope = true_c / span;
  found.boiling_c = true_c;
  // How far the boil moves with the pressure, by a small step of the curve itself.
  const double per_pa = (*saturation_temperature_k(pressure_pa + 10) - *boil_k) / 10;
  found.pressure_u_c = per_pa * pressure_u_pa;
  found.reading_u_c = interval_c / std::sqrt(12.0);
  return found;
}

double ProbeCalibration::standard_uncertainty_c(double true_c) const {
  const double f = true_c / boiling_c;
  const double boil = f * std::hypot(pressure_u_c, boil_u_c);
  const double ice = (1 - f) * ice_u_c;
  return std::sqrt(boil * boil + ice * ice +
                   reading_u_c * reading_u_c * (1 + f * f + (1 - f) * (1 - f)));
}

}  // namespace maslin::preserving
