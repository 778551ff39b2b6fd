// Choosing the scale for an ingredient; see the header.
#include "daemon/plan/scales.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/quantity/decimal.hpp"
#include "daemon/weighing/conformity.hpp"
#include "daemon/weighing/scale_budget.hpp"

namespace maslin::plan {
namespace {

using quantity::grams;

double in_grams(std::int64_t micrograms) { return static_cast<double>(micrograms) / 1e6; }

// OIML R 76-1:2006 table 3, class III: the least load is 20 e; e as in weighing/uncertainty.
std::int64_t least_load_ug(const proto::DeviceDescription& scale) {
  return 20 * std::max(scale.interval_ug, scale.capacity_ug / 10'000);
}

// Why this scale cannot judge that band; empty where it can.
std::string obstacle(const proto::LeasedDevice& scale, std::int64_t mass_ug, std::int64_t band_ug,
                     const weighing::NetBudget& budget) {
  const auto& description = scale.description;
  const std::string which = "the " + std::string(proto::name(scale.role)) + " scale";
  if (description.capacity_ug > 0 && mass_ug > description.capacity_ug) {
    return "more than " + which + " carries, " + grams(description.capacity_ug);
  }
  if (mass_ug < least_load_ug(description)) {
    return "too fine for " + which + ", whose least load is " + grams(least_load_ug(description));
  }
  if (!weighing::checkable(in_grams(band_ug), budget)) {
    const double half = weighing::net_uncertainty(budget).half95_g;
    const double pct = 100 * in_grams(band_ug) / in_grams(mass_ug);
    return "a band of ± " + grams(band_ug) + " is too narrow for " + which + ", which is good to " +
           quantity::plain(half, 2) + " g and can judge it from " +
           grams(quantity::multiple_above(
               std::llround(1e6 * weighing::smallest_checkable_mass_g(pct, budget)), 1'000'000)) +
           " on";
  }
  return {};
}

}  // namespace

Judge choose_scale(const std::vector<proto::LeasedDevice>& scales, std::int64_t mass_ug,
                   std::int64_t below_ug, std::int64_t above_ug) {
  Judge best;
  bool best_comfortable = false;
  std::string reasons;
  const std::int64_t band_ug = (below_ug + above_ug) / 2;  // as weighing::simple() judges it
  for (const proto::Role role : {proto::Role::bench, proto::Role::fine}) {
    for (const proto::LeasedDevice& scale : scales) {
      const auto& description = scale.description;
      if (scale.role != role || description.quantity != proto::Quantity::mass) continue;
      if (description.interval_ug <= 0) {
        reasons += (reasons.empty() ? "" : "; ") + std::string("the interval of the ") +
                   std::string(proto::name(role)) + " scale is not known";
        continue;
      }
      const weighing::NetBudget budget = weighing::scale_budget(
          mass_ug, description.interval_ug, description.capacity_ug, scale.calibration);
      const std::string why_not = obstacle(scale, mass_ug, band_ug, budget);
      if (!why_not.empty()) {
        reasons += (reasons.empty() ? "" : "; ") + why_not;
        continue;
      }
      const bool comfortable = weighing::comfortable(in_grams(band_ug), budget);
      if (best.role != proto::Role::none && (best_comfortable || !comfortable)) continue;
      best = {
          role, description.interval_ug, budget, weighing::net_uncertainty(budget).standard_g, {}};
      best_comfortable = comfortable;
    }
  }
  if (best.role == proto::Role::none) best.reason = reasons.empty() ? "no scale at hand" : reasons;
  return best;
}

}  // namespace maslin::plan
