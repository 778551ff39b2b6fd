// `figure syrup`, `solids`, `water-activity`, `acidity`: what is dissolved and what follows.
#include "daemon/figures/kinds.hpp"
#include "daemon/figures/words.hpp"
#include "daemon/preserving/acidity.hpp"
#include "daemon/preserving/activity.hpp"
#include "daemon/preserving/boiling.hpp"
#include "daemon/preserving/syrup.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::figures {
namespace {

using quantity::plain;

constexpr double kZeroC = 273.15;
constexpr double kStandardPa = 101325;
constexpr const char* kElevation = "Starzak & Peacock, Zuckerindustrie 122 (1997) 380-387";
constexpr const char* kIcumsa =
    "ICUMSA refractive index of sucrose at 20 °C (20 % and from 40 % on from memory)";
constexpr const char* kActivity =
    "Norrish (1966) and Ross (1975), from memory; Robinson & Stokes for salt, from memory";
constexpr const char* kNotAlone = "never the only ground for the shelf: acidity carries the safety";

}  // namespace

proto::Results<Figure> syrup(Asked& asked) {
  const double pct = asked.percent("solids", Sign::not_below_zero);
  const double pascals = asked.given("pressure") ? asked.pressure_pa("pressure") : kStandardPa;
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto elevation = preserving::elevation_k(pct, pascals);
  if (!elevation) return refused(elevation.error());
  const auto activity = preserving::water_activity({.sucrose_g = pct, .water_g = 100 - pct});
  if (!activity) return refused(activity.error());
  const double density = *preserving::syrup_density_kg_m3(pct);
  const double index = *preserving::refractive_index(pct);
  const double boils = *preserving::saturation_temperature_k(pascals) - kZeroC + *elevation;
  Figure figure;
  figure.fields = {{"elevation_k", *elevation},
                   {"boiling_c", boils},
                   {"density_kg_m3", density},
                   {"refractive_index", index},
                   {"water_activity", *activity}};
  figure.value = "syrup of " + plain(pct, 2) + " % boils at " + plain(boils, 2) + " °C, " +
                 plain(*elevation, 2) + " K over water under " + plain(pascals / 100, 1) + " hPa";
  figure.lines = {
      "at 20 °C it weighs " + plain(density, 1) + " kg/m³ and its index is " + plain(index, 5),
      "its water activity is " + plain(*activity, 3) + " at 25 °C; " + kNotAlone};
  figure.accuracy =
      "as pure sucrose: elevation 0.05 K, density 0.1 kg/m³, index 0.0001, activity "
      "0.002; acid, pectin and inverted sugar move a jam by more";
  figure.range = "0 to 70 % of solids, 500 to 1100 hPa";
  figure.source =
      std::string(kElevation) + "; NBS Circular 440 table 114; " + kIcumsa + "; " + kActivity;
  return figure;
}

proto::Results<Figure> solids(Asked& asked) {
  const bool boils = asked.given("boiling") != nullptr;
  const bool refracts = asked.given("refractive-index") != nullptr;
  if (boils == refracts) {
    asked.refuse("one of --boiling and --refractive-index is asked for", "boiling",
                 "give --boiling \"104 C\" --pressure \"1013 hPa\", or --refractive-index 1.4535 "
                 "--temperature \"20 C\"");
    return tl::unexpected(asked.troubles());
  }
  Figure figure;
  if (boils) {
    const double celsius = asked.temperature_c("boiling");
    if (!asked.given("pressure")) {
      asked.refuse("is missing", "pressure", "give the true pressure, \"1013 hPa\"");
    }
    const double pascals = asked.pressure_pa("pressure");
    if (!asked.good()) return tl::unexpected(asked.troubles());
    const auto pct = preserving::solids_of_boiling_pct(celsius + kZeroC, pascals);
    if (!pct) return refused(pct.error());
    figure.fields = {{"solids_pct", *pct}};
    figure.value = plain(*pct, 1) + " % of soluble solids, as sucrose";
    figure.accuracy =
        "half a kelvin of the probe is " +
        plain(*pct - preserving::solids_of_boiling_pct(celsius + kZeroC - 0.5, pascals).value_or(0),
              1) +
        " %; foam reads low, the bottom high";
    figure.range = "water's boil to that of 70 %, 500 to 1100 hPa";
    figure.source = kElevation;
    return figure;
  }
  const double index = asked.number("refractive-index", Sign::above_zero);
  const double celsius = asked.given("temperature") ? asked.temperature_c("temperature") : 20.0;
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto pct = preserving::solids_of_refraction_pct(index, celsius);
  if (!pct) return refused(pct.error());
  const auto at_20 = preserving::solids_of_refraction_pct(index, 20);
  figure.fields = {{"solids_pct", *pct}, {"correction_pct", *pct - *at_20}};
  figure.value = plain(*pct, 2) + " % of soluble solids, as sucrose, of which " +
                 plain(*pct - *at_20, 2) + " % corrects " + plain(celsius, 1) + " °C to 20 °C";
  figure.accuracy = "0.1 %, and a tenth of the correction";
  figure.range = "index 1.33299 to 1.49071, 15 to 30 °C";
  figure.source = std::string(kIcumsa) + "; temperature correction from memory";
  return figure;
}

proto::Results<Figure> water_activity(Asked& asked) {
  const auto mass = [&](const char* option) {
    return asked.mass_if_given_g(option, Sign::not_below_zero).value_or(0);
  };
  const preserving::Dissolved what{mass("sucrose"), mass("glucose"), mass("fructose"), mass("salt"),
                                   asked.mass_g("water", Sign::above_zero)};
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto activity = preserving::water_activity(what);
  if (!activity) return refused(activity.error());
  Figure figure;
  figure.fields = {{"water_activity", *activity}};
  figure.value = "water activity " + plain(*activity, 3) + " at 25 °C; " + kNotAlone;
  figure.accuracy = "0.005 for one solute, 0.01 for a mixture";
  figure.range = "sugars to 70 % of what they make with the water, salt to 26.395 %, all dissolved";
  figure.source = kActivity;
  return figure;
}

proto::Results<Figure> acidity(Asked& asked) {
  const double pct = asked.strength_pct("strength");
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto acid = preserving::acetic_acid(pct);
  if (!acid) return refused(acid.error());
  Figure figure;
  figure.fields = {{"mol_l", acid->mol_l}, {"ph", acid->ph}};
  figure.value = plain(acid->mol_l, 3) + " mol/L, pH " + plain(acid->ph, 2) +
                 " of plain acetic acid in water; it says nothing of the food in it";
  figure.accuracy = "pH 0.1, for information only";
  figure.range = "0.5 to 10 % as labels state it, grams in 100 mL; 50 grain are 5 %";
  figure.source = "dissociation of acetic acid at 25 °C, pKa 4.756, from memory";
  return figure;
}

proto::Results<Figure> ph(Asked& asked) {
  preserving::PhReading reading;
  reading.ph = asked.number("ph", Sign::above_zero);
  reading.hours_after = asked.number("hours", Sign::not_below_zero);
  reading.temperature_c = asked.temperature_c("temperature");
  reading.resolution = asked.number("resolution", Sign::above_zero);
  const auto buffer = [&](const char* option, double& is, double& shown) {
    const auto text = asked.text_if_given(option);
    const auto both = text ? halves(*text, '=') : std::nullopt;
    if (text && !both) {
      asked.refuse("is no buffer and what was shown", option, "write 4.01=4.03");
      return;
    }
    if (!both) return;
    is = asked.number_of(option, both->first, Sign::above_zero);
    shown = asked.number_of(option, both->second, Sign::above_zero);
  };
  buffer("low", reading.low_buffer, reading.low_shown);
  buffer("high", reading.high_buffer, reading.high_shown);
  const double limit =
      asked.given("limit") ? asked.number("limit", Sign::above_zero) : preserving::kAcidifiedPh;
  if (asked.good() && limit > preserving::kAcidifiedPh) {
    asked.refuse("no acidified food may lie over 4.6 (21 CFR 114.3)", "limit",
                 "give the limit of the formula, 4.6 or less");
  }
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto found = preserving::judge_ph(reading, limit);
  if (!found) return refused(found.error());
  const bool within = found->verdict == preserving::PhVerdict::within;
  const bool over = found->verdict == preserving::PhVerdict::over;
  Figure figure;
  figure.fields = {{"ph", found->corrected},
                   {"standard_uncertainty", found->standard_uncertainty},
                   {"limit", limit},
                   {"verdict", std::string(within ? "within"
                                           : over ? "over"
                                                  : "undecided")}};
  figure.value = "pH " + plain(found->corrected, 2) + " by the two buffers, limit " +
                 plain(limit, 2) + ": " +
                 (within ? "within"
                  : over ? "OVER: not for the shelf"
                         : "undecided: too near to it");
  figure.lines = {"it says nothing of a formula that was not tested, and nothing of the next jar"};
  figure.accuracy = "standard uncertainty " + plain(found->standard_uncertainty, 3) +
                    "; called only at 95 %; buffer and sample good to 0.02 and 0.03: common "
                    "practice, no source";
  figure.range =
      "a mixed jar a day or more after the process, 15 to 30 °C, a meter right in two "
      "buffers to 0.2";
  figure.source = "21 CFR 114.3: finished equilibrium pH of 4.6 or below";
  return figure;
}

}  // namespace maslin::figures
