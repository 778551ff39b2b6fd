// Platinum thermometers; see the header.
#include "daemon/quantity/platinum.hpp"

#include <cmath>

namespace maslin::quantity {
namespace {

// IEC 60751, ohms of a thermometer of 100 ohm at 0 °C.
constexpr double r0 = 100;
constexpr double a = 3.9083e-3;
constexpr double b = -5.775e-7;
constexpr double c = -4.183e-12;

double ohm_of(double t) {
  const double cold = t < 0 ? c * (t - 100) * t * t * t : 0;
  return r0 * (1 + a * t + b * t * t + cold);
}

}  // namespace

std::optional<double> platinum_ohm(double celsius) {
  if (!(celsius >= kColdestPlatinumC && celsius <= kHottestPlatinumC)) return std::nullopt;
  return ohm_of(celsius);
}

std::optional<double> platinum_c(double ohm) {
  if (!(ohm >= ohm_of(kColdestPlatinumC) && ohm <= ohm_of(kHottestPlatinumC))) return std::nullopt;
  // It rises and bends little: halving is sure, and quick enough for one question.
  double low = kColdestPlatinumC;
  double high = kHottestPlatinumC;
  while (high - low > 1e-10) {
    const double middle = (low + high) / 2;
    (ohm_of(middle) < ohm ? low : high) = middle;
  }
  return (low + high) / 2;
}

double platinum_class_a_c(double celsius) { return 0.15 + 0.002 * std::abs(celsius); }
double platinum_class_b_c(double celsius) { return 0.3 + 0.005 * std::abs(celsius); }

}  // namespace maslin::quantity
