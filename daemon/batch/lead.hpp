// The lead sets the size of the batch: what its weighing makes of the plan. Used by Weigh.
#pragma once

#include <cstdint>
#include <optional>

#include "daemon/batch/desk.hpp"

namespace maslin::batch {

// Why this much of the lead cannot be used, or empty.
std::optional<proto::Trouble> lead_refused(const Desk& desk, std::int64_t net_ug);
// Replaces the desk's plan by the final one; lead_refused must have been asked before.
void make_final(Desk& desk, std::int64_t net_ug);

}  // namespace maslin::batch
