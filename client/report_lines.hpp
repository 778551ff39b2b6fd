// Lines that the tolerance report and the safety record have in common.
#pragma once

#include <string>
#include <vector>

#include "proto/report.hpp"

namespace maslin::client {

// "0:03:12  boil lost; begun again"
std::vector<std::string> event_lines(const std::vector<proto::ReportEvent>& from);
// "0:41:10  soluble solids, refractometer: 62.5 ± 1.0 % (...)"
std::vector<std::string> finding_lines(const std::vector<proto::ReportFinding>& from);
// With how each ended, and after how long.
std::vector<std::string> hold_lines(const std::vector<proto::ReportHold>& from);
// "1-3: shelf since 2026-11-26, best before 2027-11-25"
std::vector<std::string> jar_lines(const std::vector<proto::JarGroup>& from);
// "jars", "pieces", "containers"
std::string jars_word(const std::vector<proto::JarGroup>& groups);

}  // namespace maslin::client
