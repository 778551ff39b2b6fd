// Air pressure from altitude. preserving/ finds the boiling point with it.
#pragma once

#include <optional>

namespace maslin::quantity {

// Altitudes that the pressure is given for: from the lowest dry land to below the highest summit.
inline constexpr double kLowestAltitudeM = -430.0;
inline constexpr double kHighestAltitudeM = 8800.0;

// Pressure in pascals at a geopotential altitude in metres, US Standard Atmosphere 1976, the layer
// up to 11 km. An altitude above the sea may be used as it stands: at 2,400 m the two differ by one
// metre, 0.003 K of boiling point. Empty outside the range above and for NaN.
std::optional<double> standard_pressure_pa(double altitude_m);

}  // namespace maslin::quantity
