// Air buoyancy: what a load weighs in air against its mass. Recipe grams were weighed in air too,
// so verdicts know nothing of this; calibration with water and true masses do.
#pragma once

namespace maslin::weighing {

// Reference conditions of a scale's indication, OIML D 28: air of 1.2 kg/m3, weights of 8000 kg/m3.
inline constexpr double kAirKgM3 = 1.2;
inline constexpr double kWeightsKgM3 = 8000.0;

// The mass of a load of that density for an indication of 1, and the other way round the indication
// for a mass: divide by it. density above that of air.
inline double mass_per_indication(double density_kg_m3, double air_kg_m3 = kAirKgM3) {
  return (1.0 - air_kg_m3 / kWeightsKgM3) / (1.0 - air_kg_m3 / density_kg_m3);
}

}  // namespace maslin::weighing
