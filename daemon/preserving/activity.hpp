// Water activity of what is dissolved, at 25 °C: how much of the water is left to microbes. Never
// the only ground for the shelf: 65 % of sugar is near 0.865, and acidity carries the safety.
#pragma once

#include "proto/trouble.hpp"

namespace maslin::preserving {

// Grams, all dissolved in the water.
struct Dissolved {
  double sucrose_g = 0;
  double glucose_g = 0;
  double fructose_g = 0;
  double salt_g = 0;
  double water_g = 0;
};

// Ross (1975, from memory): the product of what each would make alone in all the water. Sugars
// after Norrish (1966), aw = Xw exp(-K Xs^2), K 6.47 of sucrose and 2.25 of glucose and fructose
// (from memory); salt as brine_activity(). Within 0.005 of a model up to 70 % of sucrose. An error
// without water and beyond 70 % of solids or saturated salt.
proto::Result<double> water_activity(const Dissolved& what);

// Sodium chloride alone, percent by mass, 0 to 26.395 (saturated): exp(-0.0360306 m phi) with the
// osmotic coefficients of Robinson & Stokes (from memory; they agree with Pitzer within 0.003).
proto::Result<double> brine_activity(double salt_pct);

}  // namespace maslin::preserving
