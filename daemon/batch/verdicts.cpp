// The two rules of verdicts.hpp.
#include "daemon/batch/verdicts.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "daemon/weighing/conformity.hpp"
#include "daemon/weighing/scale_budget.hpp"

namespace maslin::batch {
namespace {

constexpr double ug_per_g = 1e6;
double grams(std::int64_t ug) { return static_cast<double>(ug) / ug_per_g; }

}  // namespace

weighing::NetBudget budget_of(std::int64_t net_ug, const ScaleDesk& scale, int indications,
                              double repeatability_ug) {
  auto budget = weighing::scale_budget(net_ug, std::max(scale.interval_ug, scale.pan.interval_ug()),
                                       scale.capacity_ug, scale.calibration);
  budget.indications = indications;
  // Anything from nothing to all of a slide may have been food.
  budget.drift_g = std::abs(grams(scale.pan.slid_ug())) / std::numbers::sqrt3;
  budget.repeatability_g = std::max(budget.repeatability_g, repeatability_ug / ug_per_g);
  return budget;
}

proto::Verdict judge(const proto::PlannedIngredient& ingredient, std::int64_t net_ug,
                     const weighing::NetBudget& budget) {
  const double net = grams(net_ug);
  const double lower = grams(ingredient.lower_ug);
  const double upper = grams(ingredient.upper_ug);
  const auto chances = weighing::conformity(net, lower, upper, budget);
  weighing::Judgement judgement;
  if (ingredient.critical) {
    const bool accepted =
        net_ug >= ingredient.accept_lower_ug && net_ug <= ingredient.accept_upper_ug;
    judgement = accepted ? weighing::Judgement::within : weighing::guarded(chances);
    // The plan's guard knows of no slide.
    if (accepted && budget.drift_g > 0) judgement = weighing::guarded(chances);
    // Inside the band but not inside its guard: not accepted, whatever the flat prior says.
    if (!accepted && judgement == weighing::Judgement::within)
      judgement = weighing::Judgement::undecided;
  } else {
    judgement = weighing::simple(net, lower, upper, budget);
  }
  return {ingredient.name,
          std::string(weighing::name(judgement)),
          net_ug,
          ingredient.aim_ug,
          ingredient.lower_ug,
          ingredient.upper_ug,
          chances.within,
          ingredient.critical,
          ingredient.critical ? "guarded" : "simple"};
}

}  // namespace maslin::batch
