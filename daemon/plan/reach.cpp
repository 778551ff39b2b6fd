// The trials of reach.hpp.
#include "daemon/plan/reach.hpp"

#include <cmath>

#include "daemon/plan/build.hpp"
#include "daemon/plan/limits.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::plan {
namespace {

using formula::Formula;

// A batch is tried in such steps, a scale with such intervals, coarse to fine.
constexpr double larger_by = 1.05;
constexpr std::int64_t intervals_ug[] = {1'000'000, 500'000, 200'000, 100'000,
                                         50'000,    20'000,  10'000};
// Scales of this kind have about so many steps (common practice, no source).
constexpr std::int64_t steps_of_a_scale = 5000;

bool holds(const Formula& formula, const Size& size, const Equipment& equipment) {
  const auto lines = lines_of(formula, size, equipment);
  std::vector<proto::PlannedIngredient> planned;
  for (const auto& line : lines) {
    proto::PlannedIngredient one;
    one.name = line.ingredient->name;
    one.nominal_ug = one.aim_ug = line.nominal_ug;
    planned.push_back(std::move(one));
  }
  return set_limits(formula, lines, equipment.settings.usual_spread, planned).empty();
}

}  // namespace

std::string what_reaches(const Formula& formula, const Size& size, const Equipment& equipment) {
  std::string text;
  const auto* lead = formula.lead();
  for (double times = larger_by; lead != nullptr && size.factor * times <= formula.largest_multiple;
       times *= larger_by) {
    Size tried = size;
    tried.factor *= times;
    tried.lead_ug = std::llround(static_cast<double>(size.lead_ug) * times);
    if (!holds(formula, tried, equipment)) continue;
    const auto mass_ug = static_cast<double>(lead->mass_ug) * tried.factor;
    text = "make a batch of at least " +
           quantity::grams(quantity::multiple_above(std::llround(mass_ug), 10'000'000)) + " of " +
           lead->name;
    break;
  }
  const auto does = [&](const proto::DeviceDescription& scale) {
    auto better = equipment;
    std::erase_if(better.scales, [](const auto& one) { return one.role == proto::Role::fine; });
    better.scales.push_back({proto::Role::fine, scale, std::nullopt, std::nullopt});
    return holds(formula, size, better);
  };
  const std::string before = text.empty() ? "" : text + ", or ";
  for (const auto& scale : equipment.idle_scales) {
    if (does(scale)) {
      return before + "use the scale " + scale.label + ", which has no role: maslin assign fine " +
             scale.id;
    }
  }
  for (const std::int64_t interval_ug : intervals_ug) {
    proto::DeviceDescription scale;
    scale.quantity = proto::Quantity::mass;
    scale.interval_ug = interval_ug;
    scale.capacity_ug = steps_of_a_scale * interval_ug;
    if (does(scale)) {
      return before + "use a scale with steps of " + quantity::grams(interval_ug) +
             " or less: maslin assign fine ID";
    }
  }
  return text;
}

}  // namespace maslin::plan
