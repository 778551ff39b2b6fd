// The parts of making a plan that a plan for what is in already is made of too. Internal to plan/.
#pragma once

#include <span>
#include <vector>

#include "daemon/plan/enlarge.hpp"
#include "daemon/plan/limits.hpp"
#include "daemon/plan/plan.hpp"
#include "daemon/plan/size.hpp"

namespace maslin::plan {

// Every ingredient at that size, with the scale that judges it.
std::vector<Line> lines_of(const formula::Formula& formula, const Size& size,
                           const Equipment& equipment);

// `weighed`: the lead has been weighed, it is no longer judged against anything but itself.
// holdings: what is in already, or none.
proto::Results<proto::Plan> build(const formula::Formula& formula,
                                  const proto::PlanRequest& request, const Equipment& equipment,
                                  const Size& size, bool weighed,
                                  std::span<const Holding> holdings);

// What is in of it already, before the limits are set: where nothing more comes, it is what it
// weighs.
void take_in(Line& line, std::span<const Holding> holdings);
// And after: where nothing more comes the formula's amount and band at this size are shown, and
// what is to come is aimed at where the holdings want it, inside what is accepted.
void keep_in(const std::vector<Line>& lines, std::span<const Holding> holdings, proto::Plan& plan);

}  // namespace maslin::plan
