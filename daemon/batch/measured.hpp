// What the cook reads off an instrument that is not plugged in: soluble solids by a refractometer,
// the equilibrium pH of a jar, also days after the batch. Asked by the engine.
#pragma once

#include <optional>

#include "daemon/batch/desk.hpp"
#include "proto/entry.hpp"
#include "proto/trouble.hpp"

namespace maslin::batch {

// What Desk::left_limits calls a ferment of which nobody has found that it is acid enough, and one
// that was not sour when its longest time was over.
inline constexpr const char* ferment_about = "pH at the end of the ferment";
inline constexpr const char* ferment_time_about = "time of the ferment";

// Why it cannot be judged: no such quantity, a method that is not good enough for the value, a
// sample at the wrong time or temperature. at_ms: when it is told.
std::optional<proto::Trouble> measured_refused(const Desk& desk, const proto::Measured& measured,
                                               std::int64_t at_ms);
// Judges it against the plan's limit with its uncertainty; a pH over the limit bars every jar. A
// later and better one never takes that back: a batch that differs from jar to jar is for a process
// authority. One too near to the limit bars them until a meter in the same jar decides.
// measured_refused must have been asked before.
void take_measured(Desk& desk, const proto::Measured& measured);

}  // namespace maslin::batch
