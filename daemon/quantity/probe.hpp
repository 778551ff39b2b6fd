// Reading a thermometer through its calibration: the line through ice and boil. batch/ corrects
// every temperature with it, review/ what it shows of them. Pure, integers.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "proto/device.hpp"

namespace maslin::quantity {

// What it really is where a thermometer with this calibration shows so much; the same where there
// is none. Millikelvin, rounded half away from zero.
std::int64_t corrected_mk(std::int64_t shown_mk,
                          const std::optional<proto::ProbeCalibration>& calibration);
// Standard uncertainty of that, along the line between ice and boil. Never calibrated: that of a
// probe which may be off by 1 K either way (common practice, no source).
std::int64_t probe_u_mk(std::int64_t true_mk,
                        const std::optional<proto::ProbeCalibration>& calibration);
// "calibrated 2026-11-25 in ice and at the boil of 99.6 °C by altitude: shows 0.3 K too much at the
// boil, corrected; known to 0.5 K (95 %)"
std::string words(const proto::ProbeCalibration& calibration);

}  // namespace maslin::quantity
