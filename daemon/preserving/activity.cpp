// Water activity; see the header.
#include "daemon/preserving/activity.hpp"

#include <array>
#include <cmath>

#include "daemon/preserving/brine.hpp"
#include "daemon/preserving/curve.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::preserving {
namespace {

constexpr double most_solids_pct = 70;

// Grams a mole.
constexpr double water_mole = 18.01528;
constexpr double sucrose_mole = 342.297;
constexpr double hexose_mole = 180.156;
constexpr double salt_mole = 58.443;

// Norrish, natural logarithm (from memory).
constexpr double sucrose_k = 6.47;
constexpr double hexose_k = 2.25;

// Robinson & Stokes, sodium chloride at 25 °C, moles a kilogram of water (from memory; the last row
// is saturation, 0.753 at 6.144).
constexpr std::array<Point, 12> osmotic = {{{0, 1.0},
                                            {0.1, 0.9324},
                                            {0.3, 0.9215},
                                            {0.5, 0.9209},
                                            {0.7, 0.9257},
                                            {0.9, 0.932},
                                            {1.5, 0.957},
                                            {2.5, 1.013},
                                            {3.5, 1.08},
                                            {4.5, 1.153},
                                            {5.5, 1.231},
                                            {6.144, 1.2815}}};
// exp(-2 M_water m phi): two ions a molecule.
constexpr double per_mole = 2 * water_mole / 1000;

double norrish(double solute_g, double mole, double k, double water_g) {
  const double solute = solute_g / mole;
  const double share = solute / (solute + water_g / water_mole);
  return (1 - share) * std::exp(-k * share * share);
}

double of_molality(double molality) {
  return std::exp(-per_mole * molality * straight(osmotic, molality));
}

}  // namespace

proto::Result<double> brine_activity(double salt_pct) {
  if (!(salt_pct >= 0 && salt_pct <= kSaturatedBrinePct)) return no_brine();
  return of_molality(std::fmin(salt_pct / salt_mole * 1000 / (100 - salt_pct), osmotic.back().x));
}

proto::Result<double> water_activity(const Dissolved& what) {
  const double sugars = what.sucrose_g + what.glucose_g + what.fructose_g;
  for (const double grams : {what.sucrose_g, what.glucose_g, what.fructose_g, what.salt_g}) {
    if (!(grams >= 0)) return proto::trouble("nothing weighs less than nothing", "", "give grams");
  }
  if (!(what.water_g > 0)) {
    return proto::trouble("without water there is no activity of it", "water", "give grams of it");
  }
  const double solids_pct = 100 * sugars / (sugars + what.water_g);
  if (solids_pct > most_solids_pct) {
    return proto::trouble("the sugars are " + quantity::plain(solids_pct, 1) +
                              " % of what they make with the water, and the equation holds to 70 %",
                          "water", "give what is really dissolved, or more water");
  }
  const double salt_pct = 100 * what.salt_g / (what.salt_g + what.water_g);
  const auto brine = brine_activity(salt_pct);
  if (!brine) {
    return proto::trouble("the salt is " + quantity::plain(salt_pct, 1) +
                              " % of what it makes with the water, and " +
                              quantity::plain(kSaturatedBrinePct, 3) + " % is all that dissolves",
                          "salt", "give what is really dissolved, or more water");
  }
  return norrish(what.sucrose_g, sucrose_mole, sucrose_k, what.water_g) *
         norrish(what.glucose_g, hexose_mole, hexose_k, what.water_g) *
         norrish(what.fructose_g, hexose_mole, hexose_k, what.water_g) * *brine;
}

}  // namespace maslin::preserving
