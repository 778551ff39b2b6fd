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
std::int64_t interval_ug(const ScaleDesk& scale) {
  return std::max(scale.interval_ug, scale.pan.interval_ug());
}

}  // namespace

weighing::NetBudget budget_of(std::int64_t net_ug, const ScaleDesk& scale) {
  auto budget =
      weighing::scale_budget(net_ug, interval_ug(scale), scale.capacity_ug, scale.calibration);
  budget.indications = scale.pan.indications();
  // Anything from nothing to all of a slide may have been food.
  budget.drift_g = std::abs(grams(scale.pan.slid_ug())) / std::numbers::sqrt3;
  const double seen_g = scale.pan.detector().repeatability_ug() / ug_per_g;
  if (seen_g > budget.repeatability_g) {
    budget.repeatability_g = seen_g;
    budget.repeatability_dof = static_cast<double>(scale.pan.detector().repeatability_dof());
  }
  return budget;
}

weighing::NetBudget recorded_on(const proto::Weighing& weighing, const ScaleDesk& scale) {
  return weighing::recorded_budget(weighing, interval_ug(scale), scale.capacity_ug,
                                   scale.calibration);
}

void take_uncertainty(proto::Weighing& weighing, const weighing::NetBudget& budget) {
  const auto micrograms = [](double g) { return std::llround(g * ug_per_g); };
  const auto uncertainty = weighing::net_uncertainty(budget);
  weighing.standard_uncertainty_ug = micrograms(uncertainty.standard_g);
  weighing.expanded_uncertainty_ug = micrograms(uncertainty.half95_g);
  weighing.indications = budget.indications;
  weighing.repeatability_ug = micrograms(budget.repeatability_g);
  weighing.repeatability_dof =
      std::isfinite(budget.repeatability_dof) ? std::llround(budget.repeatability_dof) : 0;
  weighing.drift_ug = micrograms(budget.drift_g);
  weighing.sticking_ug = micrograms(budget.sticking_g);
}

std::int64_t sticks_ug(const Desk& desk, std::string_view ingredient) {
  for (const auto& one : desk.start.facts.learned) {
    if (one.what == stuck_in_vessel && one.of == ingredient) return one.value_ug;
  }
  return 0;
}

void learn_sticking(Desk& desk, const std::string& ingredient, std::int64_t stuck_ug) {
  for (auto& one : desk.learned) {
    if (one.what != stuck_in_vessel || one.of != ingredient) continue;
    ++one.times;
    one.value_ug += (stuck_ug - one.value_ug) / one.times;
    return;
  }
  proto::Learned first;
  first.what = stuck_in_vessel;
  first.of = ingredient;
  first.times = 1;
  first.value_ug = stuck_ug;
  desk.learned.push_back(std::move(first));
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
    // The plan's guard knows of no slide and of nothing that sticks.
    if (accepted && (budget.drift_g > 0 || budget.sticking_g > 0))
      judgement = weighing::guarded(chances);
    // Inside the band but not inside its guard: not accepted, whatever the flat prior says.
    if (!accepted && judgement == weighing::Judgement::within)
      judgement = weighing::Judgement::undecided;
  } else {
    // Its band is meant for what lies in the vessel, as it was when the formula was written.
    auto in_vessel = budget;
    in_vessel.sticking_g = 0;
    judgement = weighing::simple(net, lower, upper, in_vessel);
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
