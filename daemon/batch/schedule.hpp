// The evening on two lines, pan and canner, on one axis of time: what is over, what is now, what is
// foreseen. For the screen alone; nothing is decided by it.
#pragma once

#include "daemon/batch/desk.hpp"
#include "proto/methods.hpp"

namespace maslin::batch {

// Fills in BatchStatus::schedule and slack_ms while `current`, an index of the plan's operations,
// runs. Nothing without a canner, and nothing once the jars only stand.
void describe_schedule(const Desk& desk, int current, proto::BatchStatus& status);

}  // namespace maslin::batch
