// From a net mass to its verdict, by the rule that the ingredient's band asks for. Pure; used by
// Weigh.
#pragma once

#include <cstdint>

#include "daemon/batch/desk.hpp"
#include "daemon/weighing/uncertainty.hpp"
#include "proto/entry.hpp"

namespace maslin::batch {

weighing::NetBudget budget_of(std::int64_t net_ug, const ScaleDesk& scale, int indications,
                              double repeatability_ug);

// Critical: within inside the acceptance interval of the plan, under or over at 95 %, else
// undecided. Quality: simple acceptance, undecided where the scale could not judge this band at
// all.
proto::Verdict judge(const proto::PlannedIngredient& ingredient, std::int64_t net_ug,
                     const weighing::NetBudget& budget);

}  // namespace maslin::batch
