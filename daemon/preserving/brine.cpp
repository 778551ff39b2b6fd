// Brines and cures; see the header.
#include "daemon/preserving/brine.hpp"

#include <algorithm>
#include <array>
#include <string>

#include "daemon/preserving/curve.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::preserving {
namespace {

using quantity::plain;

// Sodium chloride at 20 °C, percent by mass and kg/m3 (secondary copies of a handbook table); the
// first row is water.
constexpr std::array<Point, 15> densities = {{{0, 998.2},
                                              {1, 1005.3},
                                              {2, 1012.2},
                                              {4, 1026.8},
                                              {6, 1041.3},
                                              {8, 1055.9},
                                              {10, 1070.7},
                                              {12, 1085.7},
                                              {14, 1100.9},
                                              {16, 1116.2},
                                              {18, 1131.9},
                                              {20, 1147.8},
                                              {22, 1164.0},
                                              {24, 1180.4},
                                              {26, 1197.2}}};

constexpr double least_cure_pct = 0.5;
constexpr double most_cure_pct = 10;
// No curing salt has more of it; what is larger was meant as percent.
constexpr double most_fraction = 0.3;

proto::Result<void> check_nitrite(double cure_g, double fraction, double of_g, const char* of) {
  if (!(fraction > 0 && fraction < most_fraction)) {
    return proto::trouble(
        "a share of " + plain(fraction, 4) + " of sodium nitrite is in no curing salt",
        "nitrite-fraction",
        "give the share by its label, as a part of one: 6.25 % is 0.0625; a mix without a label is "
        "not used");
  }
  if (!(cure_g > 0 && of_g > 0)) {
    return proto::trouble("cure and " + std::string(of) + " must weigh something", of,
                          "give grams");
  }
  return {};
}

}  // namespace

tl::unexpected<proto::Trouble> no_brine() {
  return proto::trouble("salt dissolves to " + plain(kSaturatedBrinePct, 3) + " % by mass",
                        "salt-pct", "give percent by mass of the brine, 0 to 26.395");
}

proto::Result<double> salometer_deg(double salt_pct) {
  if (!(salt_pct >= 0 && salt_pct <= kSaturatedBrinePct)) return no_brine();
  return 100 * salt_pct / kSaturatedBrinePct;
}

proto::Result<double> brine_density_kg_m3(double salt_pct) {
  if (!(salt_pct >= 0 && salt_pct <= densities.back().x)) {
    return proto::trouble("the density of brine is known to 26 %", "salt-pct",
                          "give percent by mass, 0 to 26");
  }
  return straight(densities, salt_pct);
}

BrineAmounts brine_more(double wanted_g, double salt_pct) {
  const double salt_g = wanted_g * salt_pct / 100;
  return {salt_g, wanted_g - salt_g};
}

proto::Result<double> cure_salt_g(double meat_g, double water_g, double salt_pct, CureBasis basis) {
  if (!(meat_g > 0) || !(water_g >= 0)) {
    return proto::trouble("meat must weigh something, and water not less than nothing", "meat",
                          "give grams");
  }
  if (!(salt_pct >= least_cure_pct && salt_pct <= most_cure_pct)) {
    return proto::trouble(
        "an equilibrium cure has 0.5 to 10 % of salt, not " + plain(salt_pct, 2) + " %", "salt-pct",
        "give percent of the basis: 2.5, not grams per kilogram");
  }
  return salt_pct / 100 * (meat_g + (basis == CureBasis::meat_and_water ? water_g : 0));
}

const std::vector<NitriteLimit>& nitrite_limits() {
  constexpr std::string_view cfr9 = "9 CFR 424.21(c), 424.22(b), by secondary copies";
  static const std::vector<NitriteLimit> limits = {
      {"comminuted", 156, cfr9},
      {"immersion, massaged or pumped", 200, cfr9},
      {"dry cured", 625, cfr9},
      {"bacon, pumped or massaged", 120, cfr9},
      {"bacon, immersion", 120, cfr9},
      {"bacon, dry cured", 200, cfr9},
      {"home cure", 200, "21 CFR 172.175, by secondary copies"}};
  return limits;
}

const NitriteLimit* nitrite_limit(std::string_view product) {
  const auto& all = nitrite_limits();
  const auto found =
      std::find_if(all.begin(), all.end(), [&](const auto& one) { return one.product == product; });
  return found == all.end() ? nullptr : &*found;
}

proto::Result<double> nitrite_ppm(double cure_g, double fraction, double meat_g) {
  if (const auto good = check_nitrite(cure_g, fraction, meat_g, "meat"); !good) {
    return tl::unexpected(good.error());
  }
  return cure_g * fraction / meat_g * 1e6;
}

proto::Result<double> nitrite_pumped_ppm(double cure_g, double fraction, double pickle_g,
                                         double pump_pct) {
  if (const auto good = check_nitrite(cure_g, fraction, pickle_g, "pickle"); !good) {
    return tl::unexpected(good.error());
  }
  if (!(pump_pct > 0 && pump_pct <= 100)) {
    return proto::trouble("meat does not take " + plain(pump_pct, 1) + " % of pickle", "pump-pct",
                          "give percent of the meat's weight, up to 100");
  }
  return cure_g * fraction * pump_pct / 100 / pickle_g * 1e6;
}

}  // namespace maslin::preserving
