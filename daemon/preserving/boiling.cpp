// Boiling point of water; see the header.
#include "daemon/preserving/boiling.hpp"

#include <array>
#include <cmath>

#include "daemon/quantity/atmosphere.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::preserving {

namespace {

// IAPWS R7-97(2012), Table 34.
constexpr std::array<double, 11> n{0,
                                   1167.0521452767,
                                   -724213.16703206,
                                   -17.073846940092,
                                   12020.82470247,
                                   -3232555.0322333,
                                   14.91510861353,
                                   -4823.2657361591,
                                   405113.40542057,
                                   -0.23855557567849,
                                   650.17534844798};

}  // namespace

proto::Result<double> saturation_pressure_pa(double temperature_k) {
  if (!(temperature_k >= 273.15 && temperature_k <= 647.096)) {
    return proto::trouble(
        "water has no boiling pressure at " + quantity::plain(temperature_k, 2) + " K", {},
        "give a temperature from 0 °C to 373.9 °C");
  }
  // Equation 30, in MPa.
  const double t = temperature_k + n[9] / (temperature_k - n[10]);
  const double a = t * t + n[1] * t + n[2];
  const double b = n[3] * t * t + n[4] * t + n[5];
  const double c = n[6] * t * t + n[7] * t + n[8];
  const double x = 2.0 * c / (-b + std::sqrt(b * b - 4.0 * a * c));
  return x * x * x * x * 1e6;
}

proto::Result<double> saturation_temperature_k(double pressure_pa) {
  if (!(pressure_pa >= 611.213 && pressure_pa <= 22.064e6)) {
    return proto::trouble("the pressure " + quantity::plain(pressure_pa, 0) +
                              " Pa is outside what boiling is known for",
                          {}, "give a pressure from 611.213 Pa to 22.064 MPa");
  }
  // Equations 29a, 31: p in MPa.
  const double b = std::sqrt(std::sqrt(pressure_pa * 1e-6));
  const double e = b * b + n[3] * b + n[6];
  const double f = n[1] * b * b + n[4] * b + n[7];
  const double g = n[2] * b * b + n[5] * b + n[8];
  const double d = 2.0 * g / (-f - std::sqrt(f * f - 4.0 * e * g));
  const double t = n[10] + d;
  return (t - std::sqrt(t * t - 4.0 * (n[9] + n[10] * d))) / 2.0;
}

proto::Result<std::int64_t> boiling_point_mk(double altitude_m) {
  const auto pressure = quantity::standard_pressure_pa(altitude_m);
  if (!pressure) {
    return proto::trouble(
        "no kitchen stands at an altitude of " + quantity::plain(altitude_m, 0) + " m", {},
        "give the altitude in metres, from -430 to 8800");
  }
  const auto kelvin = saturation_temperature_k(*pressure);
  if (!kelvin) return tl::unexpected(kelvin.error());
  return std::llround(*kelvin * 1000.0);
}

}  // namespace maslin::preserving
