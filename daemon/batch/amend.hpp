// Facts that the cook puts right later: what was recorded first stays, and weighings, verdicts,
// limits and jars are derived again beside it. Used by the engine, during a batch and weeks after.
//
// What can be said safely is only ever tightened by what the cook tells: where a told mass would
// keep a critical limit better than the one that was weighed, the weighed one goes on counting.
// Only two weighings that change places loosen anything, for a scale has measured both.
#pragma once

#include <optional>
#include <string>

#include "daemon/batch/brine.hpp"
#include "daemon/batch/desk.hpp"
#include "proto/trouble.hpp"

namespace maslin::batch {

// The ingredient of this name, or the only one whose name holds it; nullptr where there is none.
const proto::PlannedIngredient* amended_ingredient(const Desk& desk, const std::string& name);
// The same among the vinegars; "" is the only one.
const proto::PlannedIngredient* amended_vinegar(const Desk& desk, const std::string& name);

std::optional<proto::Trouble> amendment_refused(const Desk& desk,
                                                const proto::Amendment& amendment);
// amendment_refused() has been asked before. Fills Desk::advice.
void amend(Desk& desk, proto::Amendment amendment);

}  // namespace maslin::batch
