// What the batches of one formula do, figure by figure, and which of them did otherwise: limits
// from the moving range, drift by cumulative sums, likeness of neighbours, where nine of ten will
// lie; and all pours of a batch together. Called by `variance`. Private to review/.
#pragma once

#include <span>
#include <vector>

#include "proto/report.hpp"

namespace maslin::review {

// Reports in the order in which the batches were made. Only figures that eight batches or more
// have: fewer say nothing of what is usual.
std::vector<proto::ReviewChart> charts(std::span<const proto::Report* const> reports);

}  // namespace maslin::review
