// The words of spoons.hpp.
#include "daemon/plan/spoons.hpp"

#include <cmath>

#include "daemon/quantity/kitchen.hpp"

namespace maslin::plan {
namespace {

// Within so much of the formula's amount its own words are the clearest.
constexpr double as_written = 0.01;

const quantity::Amount one_cup{{1, 1}, quantity::Measure::cup};

}  // namespace

void add_spoons(const formula::Formula& formula, const std::vector<Line>& lines, double factor,
                proto::Plan& plan) {
  plan.cups = name(formula.cups);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const auto& ingredient = *lines[i].ingredient;
    auto& planned = plan.ingredients[i];
    if (const auto cup = formula::mass_of(ingredient, one_cup, formula.cups)) planned.cup_ug = *cup;
    const bool by_mass = kind(ingredient.amount.measure) == quantity::MeasureKind::mass;
    const auto nominal = static_cast<double>(planned.nominal_ug);
    const bool moved =
        std::abs(static_cast<double>(planned.aim_ug) - nominal) > as_written * nominal;
    if (planned.cup_ug > 0 && (by_mass || moved)) {
      planned.kitchen = quantity::kitchen_text(
          one_cup, static_cast<double>(planned.aim_ug) / static_cast<double>(planned.cup_ug),
          formula.cups);
    } else if (!by_mass) {
      planned.kitchen = quantity::kitchen_text(ingredient.amount, factor, formula.cups);
    }
    if (!planned.kitchen.empty()) planned.form = ingredient.form;
  }
}

}  // namespace maslin::plan
