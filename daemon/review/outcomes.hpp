// How batches turned out, and which figures went with which outcome. Private to review/.
#pragma once

#include <span>
#include <vector>

#include "proto/report.hpp"

namespace maslin::review {

// How often each word of a rating was given, by the newest rating of each batch.
std::vector<proto::ReviewOutcome> outcomes(std::span<const proto::Report* const> reports);

// In plain words, with the number of batches beside every figure and no word of a cause; over
// reports of one formula. Empty with fewer than three that were rated.
std::vector<std::string> went_with(std::span<const proto::Report* const> reports);

}  // namespace maslin::review
