// Salt in water, and salt and nitrite in meat: strengths, densities, and what a cure asks for.
#pragma once

#include <string_view>
#include <vector>

#include "proto/trouble.hpp"

namespace maslin::preserving {

// Saturated at 60 °F, 100 degrees of the salometer by definition.
inline constexpr double kSaturatedBrinePct = 26.395;
// The error of every function here for a brine that cannot be.
tl::unexpected<proto::Trouble> no_brine();

// Degrees of the salometer: percent by mass over 26.395 times a hundred (by definition, 60 °F).
proto::Result<double> salometer_deg(double salt_pct);
// kg/m3 at 20 °C, 0 to 26 %; from copies of handbook tables, to 0.2 kg/m3.
proto::Result<double> brine_density_kg_m3(double salt_pct);
// Salt and water that bring a brine that is short up to `wanted_g` in its own proportion; never
// water alone.
struct BrineAmounts {
  double salt_g = 0;
  double water_g = 0;
};
BrineAmounts brine_more(double wanted_g, double salt_pct);

enum class CureBasis { meat, meat_and_water };
// Salt of an equilibrium cure: so many percent of the basis. 0.5 to 10 %; water_g is only counted
// where the basis has it.
proto::Result<double> cure_salt_g(double meat_g, double water_g, double salt_pct, CureBasis basis);

// What the rule calls a product, and the most sodium nitrite that may go in, ppm of green weight.
struct NitriteLimit {
  std::string_view product;
  double most_ppm = 0;
  std::string_view source;
};
// 9 CFR 424.21(c), 424.22(b) and 21 CFR 172.175, as quoted in secondary copies.
const std::vector<NitriteLimit>& nitrite_limits();
const NitriteLimit* nitrite_limit(std::string_view product);  // nullptr where there is none

// Ingoing nitrite in ppm of the green weight. `fraction`: of sodium nitrite in the curing salt, a
// share of one (0.0625), never percent: an error from 0.3 on. Rubbed in or mixed: all of the cure
// goes into the meat. Pumped: the cure is in a pickle of pickle_g, of which the meat takes pump_pct
// percent of its own weight.
proto::Result<double> nitrite_ppm(double cure_g, double fraction, double meat_g);
proto::Result<double> nitrite_pumped_ppm(double cure_g, double fraction, double pickle_g,
                                         double pump_pct);

}  // namespace maslin::preserving
