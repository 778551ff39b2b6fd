// The line through ice and boil; see the header.
#include "daemon/quantity/probe.hpp"

#include <cmath>
#include <cstdlib>

#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::quantity {
namespace {

constexpr std::int64_t zero_mk = 273'150;
// 1 K either way, a rectangle.
constexpr std::int64_t uncalibrated_u_mk = 577;

}  // namespace

std::int64_t corrected_mk(std::int64_t shown_mk,
                          const std::optional<proto::ProbeCalibration>& calibration) {
  if (!calibration || calibration->boil_mk <= calibration->ice_mk) return shown_mk;
  const std::int64_t span = calibration->boil_mk - calibration->ice_mk;
  const std::int64_t above =
      (shown_mk - calibration->ice_mk) * (calibration->boil_true_mk - zero_mk);
  const std::int64_t half = above < 0 ? -span / 2 : span / 2;
  return zero_mk + (above + half) / span;
}

std::int64_t probe_u_mk(std::int64_t true_mk,
                        const std::optional<proto::ProbeCalibration>& calibration) {
  if (!calibration || calibration->boil_true_mk <= zero_mk) return uncalibrated_u_mk;
  const double f = static_cast<double>(true_mk - zero_mk) /
                   static_cast<double>(calibration->boil_true_mk - zero_mk);
  return std::llround(std::abs(1 - f) * static_cast<double>(calibration->ice_u_mk) +
                      std::abs(f) * static_cast<double>(calibration->boil_u_mk));
}

std::string words(const proto::ProbeCalibration& calibration) {
  const double off = static_cast<double>(calibration.boil_mk - calibration.boil_true_mk) / 1000;
  return "calibrated " + utc_text(calibration.utc_ms).substr(0, 10) +
         " in ice and at the boil of " + celsius(calibration.boil_true_mk) + " by " +
         calibration.boil_by + ": shows " + plain(std::abs(off), 2) + " K too " +
         (off < 0 ? "little" : "much") + " at the boil, corrected; known there to " +
         plain(2 * static_cast<double>(calibration.boil_u_mk) / 1000, 2) + " K (95 %)";
}

}  // namespace maslin::quantity
