// Field lists of the structs that stand inside entries; private to proto/json_*.cpp.
#pragma once

#include "proto/json_detail.hpp"

namespace maslin::proto {

NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(Reading, number, at_ms, digits, device, state,
                                                exponent, unit, quantity)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(DeviceDescription, id, plugin, label, serial, port,
                                                quantity, interval_ug, capacity_ug, period_ms,
                                                ambiguous)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(LeasedDevice, role, description)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(Settings, altitude_m, usual_spread, scale_lag_s,
                                                reaction_s, cue_delay_s)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(PlannedIngredient, name, amount, counts_as, basis,
                                                lead, critical, nominal_ug, aim_ug, lower_ug,
                                                upper_ug, accept_lower_ug, accept_upper_ug, check,
                                                role, reason)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(PlannedRatio, of, per, least, limit_ppm, of_names,
                                                per_names)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(PlannedOperation, kind, text, ingredients, until,
                                                target_mk, duration_ms, longest_ms, caution)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(Caution, at, text, evidence)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(Plan, formula, formula_sha256, status, source,
                                                keeping, may_be_called, factor, largest_multiple,
                                                provisional, lead, jars, ingredients, ratios,
                                                operations, cautions, notes, altitude_m,
                                                boiling_point_mk)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(PlanRequest, text, file, have, jars, factor,
                                                keeping)

}  // namespace maslin::proto
