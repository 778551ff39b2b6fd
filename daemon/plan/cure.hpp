// What a cure asks of a plan: a curing salt whose label is known, no more nitrite than may go in,
// salt between the limits of a cure. Internal to plan/.
#pragma once

#include "daemon/formula/formula.hpp"
#include "proto/facts.hpp"
#include "proto/plan.hpp"
#include "proto/trouble.hpp"

namespace maslin::plan {

// The formula with one ratio more: curing salt per meat at most, so that the sodium nitrite of this
// mix stays below the limit of its kind of product. As it is where there is no curing salt, or
// where check_cure() refuses the plan.
formula::Formula with_nitrite(formula::Formula formula, const proto::Facts& facts);

// Refuses what is no cure, and tells what goes in. The plan's ingredients are known by then.
void check_cure(const formula::Formula& formula, const proto::Facts& facts, proto::Plan& plan,
                proto::Troubles& troubles);

}  // namespace maslin::plan
