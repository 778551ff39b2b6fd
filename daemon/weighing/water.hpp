// Measured water as a known mass: what a litre of it shows on a scale in air. For calibrating where
// there is no weight.
#pragma once

#include "daemon/weighing/calibration.hpp"

namespace maslin::weighing {

// The range of the formula below.
inline constexpr double kColdestWaterC = 0.0;
inline constexpr double kWarmestWaterC = 40.0;

// Density of air-free water at 101 325 Pa, kg/m3: M. Tanaka et al., Metrologia 38 (2001) 301, eq. 1
// (coefficients from memory, checked against tests/reference/data/water_density.csv). 0 to 40 °C.
double water_density_kg_m3(double celsius);

struct Water {
  double volume_ml = 0;
  double standard_ml = 0;  // standard uncertainty of the volume: flask, jug, reading the mark
  double celsius = 20;
  double standard_celsius = 0.5;
};

// What a scale without error shows for this water, buoyancy counted in (`buoyancy`): 997.156 g for
// a litre at 20 °C.
KnownMass known_mass(const Water& water);

}  // namespace maslin::weighing
