// `figure weighing`: the net of two indications with its budget.
#include <cmath>
#include <limits>

#include "daemon/figures/kinds.hpp"
#include "daemon/figures/words.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/weighing/buoyancy.hpp"
#include "daemon/weighing/coverage.hpp"
#include "daemon/weighing/uncertainty.hpp"

namespace maslin::figures {
namespace {

using weighing::Component;

Record record(const Component& line, double variance) {
  return {{"name", std::string(line.name)},
          {"standard_uncertainty_g", line.standard_g},
          {"dof", line.dof},
          {"share_pct", variance > 0 ? 100.0 * line.standard_g * line.standard_g / variance : 0.0}};
}

// "0.1 g" or "0.1 g:9" into the budget.
void read_repeatability(Asked& asked, weighing::NetBudget& budget) {
  const auto text = asked.text_if_given("repeatability");
  if (!text) {
    budget.repeatability_g = weighing::kUsualRepeatability * budget.interval_g;
    return;
  }
  if (const auto both = halves(*text, ':')) {
    budget.repeatability_g = asked.mass_of("repeatability", both->first, Sign::not_below_zero);
    budget.repeatability_dof = asked.dof_of("repeatability", both->second);
  } else {
    budget.repeatability_g = asked.mass_of("repeatability", *text, Sign::not_below_zero);
  }
}

}  // namespace

proto::Results<Figure> weighing(Asked& asked) {
  const double tare = asked.mass_g("tare");
  const double gross = asked.mass_g("gross");
  weighing::NetBudget budget{.interval_g = asked.mass_g("interval", Sign::above_zero)};
  read_repeatability(asked, budget);
  const auto density = asked.density_if_given_kg_m3("density");
  const auto of_class = scale_class(asked);
  const double capacity = asked.mass_if_given_g("capacity", Sign::above_zero).value_or(0);
  if (!asked.good()) return tl::unexpected(asked.troubles());

  Figure figure;
  if (of_class) {
    const double e = weighing::verification_interval_g(*of_class, budget.interval_g, capacity);
    budget.linearity_g = weighing::permissible_error_g(*of_class, gross - tare, e);
    const double most = weighing::most_intervals(*of_class) * e;
    if (most > 0 && gross > most) {
      figure.beyond = "a scale of class " + std::string(name(*of_class)) +
                      " with this interval ends at " + quantity::plain(most, 3) + " g";
    }
  }
  if (gross <= tare) figure.beyond = "the gross is not above the tare";

  const double mass = (gross - tare) * (density ? weighing::mass_per_indication(*density) : 1.0);
  const auto lines = weighing::components(budget);
  const weighing::Combined combined = weighing::combine(lines);
  const weighing::NetUncertainty net = weighing::net_uncertainty(budget);
  // The convolution knows no degrees of freedom: it is widened as Student's t widens the normal.
  const double expanded = net.half95_g * combined.coverage_factor /
                          weighing::coverage_factor(0.95, std::numeric_limits<double>::infinity());

  std::vector<Record> components;
  const double variance = combined.standard * combined.standard;
  for (const Component& line : lines) {
    components.push_back(record(line, variance));
    figure.lines.push_back(std::string(line.name) + ": " + two_figures(line.standard_g) + " g");
  }
  figure.fields = {{"mass_g", mass},
                   {"standard_uncertainty_g", combined.standard},
                   {"expanded_uncertainty_g", expanded},
                   {"effective_dof", combined.dof},
                   {"coverage_factor", combined.standard > 0 ? expanded / combined.standard : 0.0},
                   {"components", components}};
  figure.value = to_places_of(mass, expanded) + " g ± " + two_figures(expanded) + " g" +
                 (density ? ", true mass" : ", as weighed in air");
  figure.accuracy = "95 % of such weighings lie within the ±; standard uncertainty " +
                    two_figures(combined.standard) + " g, degrees of freedom " +
                    degrees_of_freedom(combined.dof);
  figure.range = std::string("two indications at rest, one after the other, on a scale that ") +
                 (of_class ? "keeps the limits of its class" : "has no error of its own") +
                 (density ? ", in air of 1.2 kg/m³ (near sea level)" : "");
  figure.source =
      "JCGM 100:2008 (GUM) 4.3 and G.4; errors convolved rather than multiplied by a factor";
  if (!asked.given("repeatability")) {
    figure.source += "; repeatability of a tenth of the interval: common practice, no source";
  }
  if (of_class) figure.source += "; OIML R 76-1:2006 table 6, in service twice (from memory)";
  if (density) figure.source += "; OIML D 28 reference air and weights";
  return figure;
}

}  // namespace maslin::figures
