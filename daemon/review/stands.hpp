// What stood for days, and the nitrite that went in: parts of the report. Internal to review/.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "proto/entry.hpp"
#include "proto/report.hpp"

namespace maslin::review {

// One row for each operation in which something stood, with the newest that was told of it.
std::vector<proto::ReportStand> stands(std::span<const proto::Entry> entries);

// By the weighed masses and the label; empty without curing salt, or where a mass is missing.
std::optional<proto::ReportNitrite> nitrite(const proto::Plan& plan,
                                            std::span<const proto::ReportRatio> ratios);

}  // namespace maslin::review
