// Least, mean and greatest temperature of each thermometer in each operation. Private to review/.
#pragma once

#include <span>
#include <vector>

#include "proto/entry.hpp"
#include "proto/report.hpp"

namespace maslin::review {

std::vector<proto::ReportTemperature> temperatures(std::span<const proto::Entry> entries,
                                                   std::span<const proto::Reading> readings);

}  // namespace maslin::review
