// Air pressure from altitude; see the header.
#include "daemon/quantity/atmosphere.hpp"

#include <cmath>

namespace maslin::quantity {

std::optional<double> standard_pressure_pa(double altitude_m) {
  if (!(altitude_m >= kLowestAltitudeM && altitude_m <= kHighestAltitudeM)) return std::nullopt;
  // US Standard Atmosphere 1976, layer 0 to 11 km: P0, T0, L, and g0 M / R* (R* = 8.31432 J/(mol
  // K), the value that standard uses, not the present one).
  constexpr double kPressurePa = 101325.0;
  constexpr double kTemperatureK = 288.15;
  constexpr double kLapseKPerM = -0.0065;
  constexpr double kExponent = 9.80665 * 0.0289644 / (8.31432 * kLapseKPerM);
  const double temperature = kTemperatureK + kLapseKPerM * altitude_m;
  return kPressurePa * std::pow(kTemperatureK / temperature, kExponent);
}

}  // namespace maslin::quantity
