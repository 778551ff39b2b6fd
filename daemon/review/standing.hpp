// What a batch may be called after it was made. The plan says what it may become; what was weighed
// can only take that back. Private to review/.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "proto/entry.hpp"
#include "proto/report.hpp"

namespace maslin::review {

// What became of each critical ratio, in the order of the plan.
std::vector<proto::ReportRatio> ratios(const proto::Plan& plan,
                                       std::span<const proto::Weighing> weighings);

// The first line of the report: one sentence and why. `also`: what else speaks against
// it; `jars`: its jars are listed, each with what to do.
std::string may_be_called(const proto::Plan& plan, std::string_view state,
                          std::span<const proto::ReportIngredient> ingredients,
                          std::span<const proto::ReportRatio> ratios,
                          const std::vector<std::string>& also = {}, bool jars = false);

}  // namespace maslin::review
