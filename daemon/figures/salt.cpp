// `figure brine`, `cure`, `nitrite`, `drying`.
#include <string>

#include "daemon/figures/kinds.hpp"
#include "daemon/figures/words.hpp"
#include "daemon/preserving/activity.hpp"
#include "daemon/preserving/brine.hpp"
#include "daemon/preserving/drying.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::figures {
namespace {

using quantity::plain;

// Without its unit a number is grams, and kilograms are as usual for meat.
double meat_g(Asked& asked) {
  constexpr double least_g = 50;
  const double meat = asked.mass_g("meat", Sign::above_zero);
  if (asked.good() && meat < least_g) {
    asked.refuse(plain(meat, 3) + " g is too little meat for a cure", "meat",
                 "write its unit: \"1.2 kg\"");
  }
  return meat;
}

constexpr const char* kCureCaution =
    "curing salt is not table salt: weigh it on a scale that can judge it, and keep to the tested "
    "formula";

}  // namespace

proto::Results<Figure> brine(Asked& asked) {
  const double pct = asked.percent("salt-pct", Sign::not_below_zero);
  const auto short_g = asked.mass_if_given_g("short", Sign::above_zero);
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto density = preserving::brine_density_kg_m3(pct);
  if (!density) return refused(density.error());
  const double degrees = *preserving::salometer_deg(pct);
  const double activity = *preserving::brine_activity(pct);
  Figure figure;
  figure.fields = {
      {"water_activity", activity}, {"density_kg_m3", *density}, {"salometer_deg", degrees}};
  figure.value = plain(pct, 2) + " % of salt by mass of the brine: " + plain(degrees, 1) +
                 "° of the salometer, " + plain(*density, 1) + " kg/m³ at 20 °C, water activity " +
                 plain(activity, 3) + " at 25 °C";
  const double per_litre_g = 1000 * pct / (100 - pct);
  figure.lines = {plain(per_litre_g, 1) + " g of salt to 1000 g of water"};
  if (short_g) {
    const auto more = preserving::brine_more(*short_g, pct);
    figure.fields.push_back({"more_salt_g", more.salt_g});
    figure.fields.push_back({"more_water_g", more.water_g});
    figure.lines.push_back("for " + plain(*short_g, 1) + " g more of it: " + plain(more.salt_g, 2) +
                           " g of salt and " + plain(more.water_g, 1) +
                           " g of water, never water alone");
  }
  figure.accuracy = "density 0.2 kg/m³, activity 0.001";
  figure.range =
      "0 to 26 % of sodium chloride by mass; 100 g to a litre of water are 9.09 %, not 10";
  figure.source =
      "salometer by definition, 60 °F; density by copies of a handbook table; Robinson "
      "& Stokes, from memory";
  return figure;
}

proto::Results<Figure> cure(Asked& asked) {
  const double meat = meat_g(asked);
  const auto water = asked.mass_if_given_g("water", Sign::not_below_zero);
  const double pct = asked.percent("salt-pct");
  const std::string basis = asked.text_if_given("basis").value_or("");
  if (asked.good() && basis != "meat" && basis != "meat-and-water") {
    asked.refuse("the basis is meat or meat-and-water", "basis",
                 "write the one that the formula means: they differ by the salt of the water");
  }
  const bool wet = basis == "meat-and-water";
  if (asked.good() && wet && !water) {
    asked.refuse("is missing", "water", "give the water's mass, or --basis meat");
  }
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto salt = preserving::cure_salt_g(
      meat, water.value_or(0), pct,
      wet ? preserving::CureBasis::meat_and_water : preserving::CureBasis::meat);
  if (!salt) return refused(salt.error());
  Figure figure;
  figure.fields = {{"salt_g", *salt}};
  figure.value = plain(*salt, 2) + " g of salt, " + plain(pct, 2) + " % of " +
                 (wet ? "meat and water" : "the meat alone");
  if (!wet && water) {
    figure.lines.push_back("the " + plain(*water, 1) +
                           " g of water are NOT counted, by --basis meat; a formula that counts "
                           "them means meat-and-water");
  }
  figure.lines.push_back(
      "keep it cold for all of its time, and follow a tested formula: salt alone makes "
      "nothing safe");
  figure.accuracy = "arithmetic; salt that a curing mix brings counts into it";
  figure.range = "0.5 to 10 %, at equilibrium: long enough for the salt to be everywhere";
  figure.source = "mass balance";
  return figure;
}

proto::Results<Figure> nitrite(Asked& asked) {
  const double cure = asked.mass_g("cure", Sign::above_zero);
  const double fraction = asked.share("nitrite-fraction", 100);
  const double meat = meat_g(asked);
  const std::string product = asked.text_if_given("product").value_or("");
  const bool pumped = asked.given("pump-pct") != nullptr;
  const double pump = pumped ? asked.percent("pump-pct") : 0;
  const auto pickle = asked.mass_if_given_g("pickle", Sign::above_zero);
  if (pumped != pickle.has_value()) {
    asked.refuse("--pump-pct and --pickle go together", "pump-pct",
                 "give how much of its own weight the meat takes, and the pickle's mass");
  }
  const auto* limit = preserving::nitrite_limit(product);
  if (asked.given("product") && limit == nullptr) {
    std::string names;
    for (const auto& one : preserving::nitrite_limits()) {
      names += (names.empty() ? "\"" : ", \"") + std::string(one.product) + "\"";
    }
    asked.refuse("\"" + proto::excerpt(product, 60) + "\" has no limit here", "product",
                 "write one of " + names);
  }
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto ppm = pumped ? preserving::nitrite_pumped_ppm(cure, fraction, *pickle, pump)
                          : preserving::nitrite_ppm(cure, fraction, meat);
  if (!ppm) return refused(ppm.error());
  const bool within = *ppm <= limit->most_ppm;
  Figure figure;
  figure.fields = {{"ingoing_ppm", *ppm}, {"limit_ppm", limit->most_ppm}, {"within", within}};
  figure.value = plain(*ppm, 1) + " ppm of sodium nitrite go in; at most " +
                 plain(limit->most_ppm, 0) + " ppm may: " + (within ? "within" : "OVER the limit");
  figure.lines = {kCureCaution};
  figure.accuracy =
      "as good as the two weighings and the label; 156.25, as a handbook's example has "
      "it, is over the 156 of the rule by its rounding";
  figure.range = "of the green weight of the meat, the whole mix used";
  figure.source = limit->source;
  return figure;
}

proto::Results<Figure> drying(Asked& asked) {
  const double mass = asked.mass_g("mass", Sign::above_zero);
  const double water = asked.percent("water-pct");
  const double target = asked.percent("target-pct", Sign::not_below_zero);
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto left = preserving::dried_g(mass, water, target);
  if (!left) return refused(left.error());
  Figure figure;
  const double loss = 100 * (1 - *left / mass);
  figure.fields = {{"mass_g", *left}, {"loss_pct", loss}};
  figure.value = plain(*left, 1) + " g are left, " + plain(loss, 1) + " % less, when " +
                 plain(target, 1) + " % of it is water";
  figure.accuracy =
      "as good as the water content that it begins with: produce varies by some percent";
  figure.range = "nothing but water leaves; what is eaten or trimmed is taken off the mass first";
  figure.source = "mass balance, wet basis";
  return figure;
}

}  // namespace maslin::figures
