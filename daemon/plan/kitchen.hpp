// What stands in the kitchen against what is planned: the bottle, the package, the pan, the jars
// and the canner. Internal to plan/.
#pragma once

#include <cstdint>
#include <vector>

#include "daemon/formula/formula.hpp"
#include "daemon/plan/plan.hpp"
#include "proto/facts.hpp"
#include "proto/plan.hpp"
#include "proto/trouble.hpp"

namespace maslin::plan {

// What the present package of pectin makes of an amount in packages; empty where the table stands.
std::optional<std::int64_t> by_package(const formula::Ingredient& ingredient,
                                       const proto::Facts& facts);

// How many jars the yield fills, in words: "4 jars of 250 mL and one part-filled".
std::string jars_text(const formula::Formula& formula, const proto::Facts& facts, double factor);

// What the pan may hold, in kilograms: a quarter of it where the batch foams. Empty where nobody
// has told of the pan.
std::optional<double> pan_room_kg(const formula::Formula& formula, const proto::Facts& facts);

// Fills in jars, yield and what is short for it, and refuses what these things cannot do. The
// operations of the plan must be there.
proto::Troubles fit_kitchen(const formula::Formula& formula, const Equipment& equipment,
                            proto::Plan& plan);

}  // namespace maslin::plan
