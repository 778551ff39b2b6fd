// From a net mass to its verdict, by the rule that the ingredient's band asks for. Pure; used by
// Weigh.
#pragma once

#include <cstdint>

#include "daemon/batch/desk.hpp"
#include "daemon/weighing/uncertainty.hpp"
#include "proto/entry.hpp"

namespace maslin::batch {

// Of a net that the scale's pan shows now.
weighing::NetBudget budget_of(std::int64_t net_ug, const ScaleDesk& scale);
// Of one that was weighed on it before.
weighing::NetBudget recorded_on(const proto::Weighing& weighing, const ScaleDesk& scale);
// Into the weighing of the record.
void take_uncertainty(proto::Weighing& weighing, const weighing::NetBudget& budget);

// Learned::what of a vessel that came back with something in it.
inline constexpr const char* stuck_in_vessel = "stuck";
// What emptied vessels of this ingredient came back with in batches before, on average; 0: none.
std::int64_t sticks_ug(const Desk& desk, std::string_view ingredient);
void learn_sticking(Desk& desk, const std::string& ingredient, std::int64_t stuck_ug);

// Critical: within inside the acceptance interval of the plan, under or over at 95 %, else
// undecided. Quality: simple acceptance, undecided where the scale could not judge this band at
// all.
proto::Verdict judge(const proto::PlannedIngredient& ingredient, std::int64_t net_ug,
                     const weighing::NetBudget& budget);

}  // namespace maslin::batch
