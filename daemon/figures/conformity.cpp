// `figure conformity`: how sure a measured value is inside its limits, and the guarded verdict.
#include "daemon/weighing/conformity.hpp"

#include <limits>

#include "daemon/figures/kinds.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::figures {

proto::Results<Figure> conformity(Asked& asked) {
  constexpr double kNone = std::numeric_limits<double>::infinity();
  const double value = asked.mass_g("value");
  const double u = asked.mass_g("uncertainty", Sign::above_zero);
  const auto lower = asked.mass_if_given_g("lower");
  const auto upper = asked.mass_if_given_g("upper");
  if (!lower && !upper) {
    asked.refuse("no limit is given", "lower", "give --lower, --upper or both");
  }
  if (asked.good() && lower && upper && *lower >= *upper) {
    asked.refuse("is not below --upper", "lower", "give the smaller limit as --lower");
  }
  if (!asked.good()) return tl::unexpected(asked.troubles());

  // One normal error and nothing else.
  const weighing::NetBudget normal{.indications = 1, .repeatability_g = u};
  const weighing::Conformity found =
      weighing::conformity(value, lower.value_or(-kNone), upper.value_or(kNone), normal);
  const weighing::Judgement verdict = weighing::guarded(found);
  const weighing::Risks risks = weighing::risks(found, verdict);
  const auto percent = [](double share) { return quantity::plain(100.0 * share, 2) + " %"; };

  Figure figure;
  figure.fields = {{"probability", found.within},
                   {"verdict", std::string(name(verdict))},
                   {"under", found.under},
                   {"over", found.over},
                   {"consumer_risk", risks.consumer},
                   {"producer_risk", risks.producer}};
  figure.value = std::string(name(verdict)) + ": inside its limits with " + percent(found.within) +
                 ", under with " + percent(found.under) + ", over with " + percent(found.over);
  figure.accuracy = verdict == weighing::Judgement::within
                        ? "accepted wrongly with " + percent(risks.consumer)
                    : verdict == weighing::Judgement::undecided
                        ? "no side has 95 %, so none is called"
                        : "refused wrongly with " + percent(risks.producer);
  figure.range = "a normal error of this standard uncertainty, nothing known of the value before";
  figure.source = "JCGM 106:2012 7.2 to 7.4; a side is called at 95 % or more";
  return figure;
}

}  // namespace maslin::figures
