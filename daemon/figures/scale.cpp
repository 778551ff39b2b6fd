// `figure scale`: the calibration of a scale with loads of known mass, or of measured water.
#include <algorithm>
#include <cmath>

#include "daemon/figures/kinds.hpp"
#include "daemon/figures/words.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/weighing/calibration.hpp"
#include "daemon/weighing/uncertainty.hpp"
#include "daemon/weighing/water.hpp"

namespace maslin::figures {
namespace {

// The place of the last digit of an indication as it was typed: "500.4" -> 0.1, "1003" -> 1.
double last_place(std::string_view text) {
  const std::size_t digits = std::min(text.find_first_not_of("+-0123456789."), text.size());
  const std::size_t point = text.substr(0, digits).find('.');
  if (point == std::string_view::npos) return 1.0;
  return std::pow(10.0, -static_cast<double>(digits - point - 1));
}

// KNOWN or KNOWN:UNCERTAINTY, in grams, or in millilitres of water at so many degrees.
weighing::KnownMass known(Asked& asked, std::string_view text,
                          const std::optional<double>& water_c) {
  const auto both = halves(text, ':');
  const auto read = [&](std::string_view part) {
    return water_c ? asked.volume_of_ml("load", part, Sign::not_below_zero)
                   : asked.mass_of("load", part, Sign::not_below_zero);
  };
  const double amount = read(both ? both->first : text);
  const double uncertainty = both ? read(both->second) : 0;
  if (!water_c) return {amount, uncertainty};
  return weighing::known_mass(
      {.volume_ml = amount, .standard_ml = uncertainty, .celsius = *water_c});
}

void read_loads(Asked& asked, const std::optional<double>& water_c,
                weighing::CalibrationLoads& loads, double& finest) {
  double zero = 0;
  for (const std::string& text : asked.texts("load")) {
    const auto both = halves(text, '=');
    if (!both) {
      asked.refuse("\"" + proto::excerpt(text, 60) + "\" has no known mass and indication", "load",
                   "write KNOWN=INDICATED, such as 1000=1003 or 1000:0.3=1003");
      continue;
    }
    const weighing::KnownMass mass = known(asked, both->first, water_c);
    const double shown = asked.mass_of("load", both->second);
    const double in_kilograms = both->second.ends_with("kg") ? 1000.0 : 1.0;
    const double place = in_kilograms * last_place(both->second);
    finest = finest > 0 ? std::min(finest, place) : place;
    if (mass.mass_g == 0) {
      zero = shown;
      continue;
    }
    loads.loads.push_back(
        {.masses = {weighing::index_of(loads.masses, mass)}, .indication_g = shown});
  }
  for (weighing::KnownLoad& load : loads.loads) load.before_g = zero;
  loads.zero_after_g = zero;
}

}  // namespace

proto::Results<Figure> scale(Asked& asked) {
  weighing::CalibrationLoads loads;
  const auto water_c =
      asked.celsius_if_given("water", weighing::kColdestWaterC, weighing::kWarmestWaterC);
  double finest = 0;
  read_loads(asked, water_c, loads, finest);
  loads.interval_g = asked.mass_if_given_g("interval", Sign::above_zero).value_or(finest);
  loads.repeatability_g = asked.mass_if_given_g("repeatability", Sign::not_below_zero)
                              .value_or(weighing::kUsualRepeatability * loads.interval_g);
  loads.scale_class = scale_class(asked).value_or(weighing::ScaleClass::medium);
  loads.capacity_g = asked.mass_if_given_g("capacity", Sign::above_zero).value_or(0);
  loads.used_to_g = asked.mass_if_given_g("used-to", Sign::above_zero).value_or(0);
  if (asked.good() && (loads.loads.empty() || loads.loads.size() > 7)) {
    asked.refuse("one to seven loads above zero are needed, and their zero where it is not 0",
                 "load", "write KNOWN=INDICATED for each, and 0=INDICATED for the empty pan");
  }
  if (!asked.good()) return tl::unexpected(asked.troubles());

  const weighing::Calibration found = weighing::calibrate(loads);
  const bool accepted = found.refusal == weighing::Refusal::none;
  double heaviest = 0;
  bool exact = true;
  for (const weighing::KnownMass& mass : loads.masses) {
    heaviest = std::max(heaviest, mass.mass_g);
    exact = exact && mass.standard_g == 0;
  }
  const double u = weighing::line_uncertainty_g(found, heaviest);
  const std::string ppm = quantity::plain(1e6 * (found.slope - 1.0), 0);

  Figure figure;
  figure.fields = {{"offset_g", found.offset_g},
                   {"slope", found.slope},
                   {"standard_uncertainty_g", u},
                   {"accepted", accepted},
                   {"offset_uncertainty_g", found.u_offset_g},
                   {"slope_uncertainty", found.u_slope},
                   {"chi_squared", found.chi_squared},
                   {"dof", static_cast<double>(found.dof)},
                   {"applied", found.apply},
                   {"refused_for", std::string(accepted ? "" : name(found.refusal))}};
  figure.value = accepted ? std::string("accepted: ") : "refused: " + words(found.refusal) + ". ";
  figure.value += "the scale shows " + quantity::plain(found.slope, 6) + " of a mass (" + ppm +
                  " parts in a million), " + to_places_of(found.offset_g, loads.interval_g / 10) +
                  " g at zero";
  if (accepted) {
    figure.value += found.apply ? "; divide nets by it" : "; no difference from 1 that shows";
  }
  figure.accuracy = "standard uncertainty " + two_figures(u) + " g at " +
                    quantity::plain(heaviest, 1) + " g, of every net " +
                    quantity::plain(1e6 * found.u_slope, 0) + " parts in a million" +
                    (exact ? "; the known masses were taken as exact" : "");
  figure.range = "loads up to " + quantity::plain(2.0 * heaviest, 0) +
                 " g, at rest on the middle of the pan, interval " +
                 quantity::plain(loads.interval_g, 4) + " g" +
                 (asked.given("interval") ? "" : " by the digits");
  figure.source =
      "generalised least squares with a common zero; refused by a chi-squared test at "
      "1 % and the class limits of OIML R 76-1:2006 table 6; a slope off by 2 %: common "
      "practice, no source";
  if (water_c)
    figure.source += "; water after Tanaka et al., Metrologia 38 (2001), in air of 1.2 kg/m³";
  return figure;
}

}  // namespace maslin::figures
