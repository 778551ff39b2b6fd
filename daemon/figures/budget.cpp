// `figure budget`: components of an uncertainty to one, with its coverage factor.
#include "daemon/figures/kinds.hpp"
#include "daemon/figures/words.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/weighing/coverage.hpp"

namespace maslin::figures {

proto::Results<Figure> budget(Asked& asked) {
  std::vector<weighing::Component> lines;
  for (const std::string& text : asked.texts("component")) {
    weighing::Component line;
    if (const auto both = halves(text, ':')) {
      line.standard_g = asked.mass_of("component", both->first, Sign::not_below_zero);
      line.dof = asked.dof_of("component", both->second);
    } else {
      line.standard_g = asked.mass_of("component", text, Sign::not_below_zero);
    }
    lines.push_back(line);
  }
  const double confidence = asked.share_if_given("confidence", 1.0).value_or(0.95);
  if (!asked.good()) return tl::unexpected(asked.troubles());

  const weighing::Combined combined = weighing::combine(lines, confidence);
  Figure figure;
  figure.fields = {{"combined", combined.standard},
                   {"effective_dof", combined.dof},
                   {"coverage_factor", combined.coverage_factor},
                   {"expanded", combined.expanded}};
  figure.value = "± " + two_figures(combined.expanded) + ", " +
                 quantity::plain(combined.coverage_factor, 3) +
                 " times the combined standard uncertainty " + two_figures(combined.standard);
  figure.accuracy = "about " + quantity::plain(100.0 * confidence, 3) +
                    " % of such results lie within it; degrees of freedom " +
                    degrees_of_freedom(combined.dof);
  figure.range =
      "components that are independent and in the unit of the result, none rectangular "
      "and larger than all others";
  figure.source =
      "JCGM 100:2008 (GUM) 5.1.2, G.4.1 (Welch-Satterthwaite, cut to a whole number) "
      "and G.3 (Student's t)";
  return figure;
}

}  // namespace maslin::figures
