// The order of the evening, backwards from the jars: the canner comes first, and the pan waits for
// it. Puts in the steps that no formula writes and says how long each takes. Internal to plan/.
#pragma once

#include "daemon/formula/formula.hpp"
#include "proto/facts.hpp"
#include "proto/plan.hpp"

namespace maslin::plan {

// The operations of the formula must be there, and what fit_kitchen fills in.
void arrange_evening(const proto::Facts& facts, proto::Plan& plan);

}  // namespace maslin::plan
