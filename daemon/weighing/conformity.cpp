// Conformity and guards; see the header.
#include "daemon/weighing/conformity.hpp"

#include <algorithm>
#include <cmath>

namespace maslin::weighing {
namespace {
constexpr double kSure = 0.95;
// The 95 % point of the normal distribution.
constexpr double kOneSided95 = 1.6448536269514722;
constexpr double kWorstCook = 2.0;  // own standard deviations on the wrong side
}  // namespace

Conformity conformity(double net_g, double lower_g, double upper_g, const NetBudget& budget) {
  Conformity result;
  result.under = error_cdf(budget, lower_g - net_g);
  // The error is symmetric: 1 - F(x) = F(-x), without cancelling.
  result.over = error_cdf(budget, net_g - upper_g);
  result.within = std::max(0.0, 1.0 - result.under - result.over);
  return result;
}

std::string_view name(Judgement judgement) {
  switch (judgement) {
    case Judgement::within:
      return "within";
    case Judgement::under:
      return "under";
    case Judgement::over:
      return "over";
    case Judgement::undecided:
      return "undecided";
  }
  return "?";
}

Judgement guarded(const Conformity& conformity) {
  if (conformity.within >= kSure) return Judgement::within;
  if (conformity.under >= kSure) return Judgement::under;
  if (conformity.over >= kSure) return Judgement::over;
  return Judgement::undecided;
}

Judgement simple(double net_g, double lower_g, double upper_g, const NetBudget& budget) {
  if (!checkable((upper_g - lower_g) / 2.0, budget)) return Judgement::undecided;
  if (net_g < lower_g) return Judgement::under;
  if (net_g > upper_g) return Judgement::over;
  return Judgement::within;
}

Risks risks(const Conformity& conformity, Judgement judgement) {
  switch (judgement) {
    case Judgement::within:
      return {.consumer = conformity.under + conformity.over, .producer = 0};
    case Judgement::under:
    case Judgement::over:
      return {.consumer = 0, .producer = conformity.within};
    case Judgement::undecided:
      break;
  }
  return {};
}

bool checkable(double tolerance_g, const NetBudget& budget) {
  return tolerance_g >= net_uncertainty(budget).half95_g;
}

bool comfortable(double tolerance_g, const NetBudget& budget) {
  return tolerance_g >= net_uncertainty(budget).half95_g + budget.interval_g;
}

double smallest_checkable_mass_g(double tolerance_pct, const NetBudget& budget) {
  return 100.0 * net_uncertainty(budget).half95_g / tolerance_pct;
}

double critical_guard_g(double standard_g, double mass_g, double spread) {
  if (standard_g <= 0) return 0;
  const double sigma = spread * mass_g;
  // A cook without spread who is off by nothing: only the scale's own error is left.
  if (sigma <= 0) return kOneSided95 * standard_g;
  const double r = standard_g / sigma;
  return standard_g * (kOneSided95 * std::sqrt(1.0 + r * r) + kWorstCook * r);
}

}  // namespace maslin::weighing
