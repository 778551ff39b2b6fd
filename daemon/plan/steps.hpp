// Operations and cautions of a plan. Internal to plan/.
#pragma once

#include <optional>

#include "daemon/formula/formula.hpp"
#include "proto/plan.hpp"
#include "proto/trouble.hpp"

namespace maslin::plan {

// Fills in operations, cautions and, of the heat, notes: what is left out for this keeping, the
// local temperatures, the row of the bath. plan.altitude_m and plan.boiling_point_mk are set
// before.
proto::Troubles add_steps(const formula::Formula& formula, formula::Keeping keeping,
                          proto::Plan& plan);

}  // namespace maslin::plan
