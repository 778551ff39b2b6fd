// The budget of a net on one scale: by its calibration where it has one, else by its class. plan/
// asks before anything is weighed, batch/ for every weighing.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "daemon/weighing/uncertainty.hpp"
#include "proto/device.hpp"
#include "proto/entry.hpp"

namespace maslin::weighing {

// Up to twice the heaviest load of a calibration its uncertainty stands in for the limits of the
// class. Beyond that, and where a single load showed nothing of the line, those limits count; what
// is divided by the slope has the slope's uncertainty everywhere.
NetBudget scale_budget(std::int64_t net_ug, std::int64_t interval_ug, std::int64_t capacity_ug,
                       const std::optional<proto::ScaleCalibration>& calibration);

// The same as the record has it, with what was seen when it was weighed.
NetBudget recorded_budget(const proto::Weighing& weighed, std::int64_t interval_ug,
                          std::int64_t capacity_ug,
                          const std::optional<proto::ScaleCalibration>& calibration);

// "calibrated 2026-11-25 with 2 known loads up to 1000 g: shows 0.22 % too much, corrected; nets
// are known to 0.05 %"
std::string words(const proto::ScaleCalibration& calibration);

// What lies on the pan for an indication: divided by the slope where that is applied. Micrograms.
std::int64_t corrected_ug(std::int64_t indication_ug,
                          const std::optional<proto::ScaleCalibration>& calibration);
// The step between two corrected indications, rounded up so that two neighbours are within it.
std::int64_t corrected_interval_ug(std::int64_t interval_ug,
                                   const std::optional<proto::ScaleCalibration>& calibration);

}  // namespace maslin::weighing
