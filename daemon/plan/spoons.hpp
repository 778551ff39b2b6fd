// What is weighed, in cups, spoons and pieces as well: what a cook reads first. Internal to plan/.
#pragma once

#include <vector>

#include "daemon/formula/formula.hpp"
#include "daemon/plan/limits.hpp"
#include "proto/plan.hpp"

namespace maslin::plan {

// Fills `kitchen` and `cup_ug` of every ingredient, whose aims are final by now; lines as the
// ingredients.
void add_spoons(const formula::Formula& formula, const std::vector<Line>& lines, double factor,
                proto::Plan& plan);

}  // namespace maslin::plan
