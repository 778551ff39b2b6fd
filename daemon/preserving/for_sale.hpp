// What two rules for jars that are sold count: the fruit in a jelly, and how far a package may fall
// short of its label. Called by figures/; no batch is judged by it.
#pragma once

#include <string>
#include <string_view>

#include "proto/trouble.hpp"

namespace maslin::preserving {

// Fruit jelly by 21 CFR 150.140, for the fruits to which its (b)(1) gives a factor: the weight of
// the fruit ingredient is juice times soluble solids (percent) times the factor of the fruit, by
// 100; at least 45 parts of it go with 55 parts of sugar (from memory).
struct JellyFruit {
  std::string fruit;  // as the rule names it
  double factor = 0;
  double fruit_g = 0;
  double parts = 0;          // of fruit in 100 of fruit and sugar
  double juice_short_g = 0;  // more of the same juice to come to 45; 0: enough
};
inline constexpr double kLeastFruitParts = 45;
// Any case of letters; what stands in brackets in the rule may be left out. Juice and sugar above
// zero, solids above 0 up to 85 %.
proto::Result<JellyFruit> jelly_fruit(std::string_view fruit, double juice_g, double solids_pct,
                                      double sugar_g);

// The maximum allowable variation of one package of this labelled net weight, in grams: up to 1120
// g. NIST Handbook 133, table 2-5, from memory, one row of it checked.
proto::Result<double> allowable_variation_g(double label_g);

}  // namespace maslin::preserving
