// Calibrated or by the class; see the header.
#include "daemon/weighing/scale_budget.hpp"

#include <cmath>
#include <cstdlib>

#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::weighing {

namespace {

double grams(std::int64_t micrograms) { return static_cast<double>(micrograms) / 1e6; }

}  // namespace

NetBudget scale_budget(std::int64_t net_ug, std::int64_t interval_ug, std::int64_t capacity_ug,
                       const std::optional<proto::ScaleCalibration>& calibration) {
  NetBudget budget = uncalibrated_budget(grams(net_ug), grams(interval_ug), grams(capacity_ug));
  if (!calibration) return budget;
  const bool in_reach = std::llabs(net_ug) <= 2 * calibration->heaviest_ug;
  if (in_reach && calibration->loads >= 2) budget.linearity_g = 0;
  if (in_reach || calibration->applied) {
    budget.span_g = std::abs(grams(net_ug)) * calibration->span_uncertainty;
  }
  return budget;
}

NetBudget recorded_budget(const proto::Weighing& weighed, std::int64_t interval_ug,
                          std::int64_t capacity_ug,
                          const std::optional<proto::ScaleCalibration>& calibration) {
  NetBudget budget = scale_budget(weighed.net_ug, interval_ug, capacity_ug, calibration);
  budget.indications = weighed.indications;
  if (weighed.repeatability_dof > 0) {
    budget.repeatability_g = grams(weighed.repeatability_ug);
    budget.repeatability_dof = static_cast<double>(weighed.repeatability_dof);
  }
  budget.drift_g = grams(weighed.drift_ug);
  budget.sticking_g = grams(weighed.sticking_ug);
  return budget;
}

std::string words(const proto::ScaleCalibration& calibration) {
  const double off = calibration.slope - 1.0;
  const auto percent = [](double share) { return quantity::plain(100.0 * share, 3) + " %"; };
  return "calibrated " + quantity::utc_text(calibration.utc_ms).substr(0, 10) + " with " +
         std::to_string(calibration.loads) +
         (calibration.loads == 1 ? " known load" : " known loads") + " up to " +
         quantity::grams(calibration.heaviest_ug) + ": " +
         (calibration.applied ? "shows " + percent(std::abs(off)) +
                                    (off > 0 ? " too much" : " too little") + ", corrected"
                              : std::string("right as far as could be told")) +
         "; nets are known to " + percent(calibration.span_uncertainty);
}

std::int64_t corrected_ug(std::int64_t indication_ug,
                          const std::optional<proto::ScaleCalibration>& calibration) {
  if (!calibration || !calibration->applied) return indication_ug;
  return std::llround(static_cast<double>(indication_ug) / calibration->slope);
}

std::int64_t corrected_interval_ug(std::int64_t interval_ug,
                                   const std::optional<proto::ScaleCalibration>& calibration) {
  if (!calibration || !calibration->applied) return interval_ug;
  // Both neighbours are rounded to whole micrograms, so their distance may be one more.
  return static_cast<std::int64_t>(
             std::ceil(static_cast<double>(interval_ug) / calibration->slope)) +
         1;
}

}  // namespace maslin::weighing
