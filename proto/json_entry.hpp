// Field lists of the structs that stand inside entries; private to proto/json_*.cpp.
#pragma once

#include "proto/json_detail.hpp"

namespace maslin::proto {

MASLIN_FIELDS(Reading, number, at_ms, digits, device, state, exponent, unit, quantity)
MASLIN_FIELDS(DeviceDescription, id, plugin, label, serial, port, quantity, interval_ug,
              capacity_ug, period_ms, ambiguous)
MASLIN_FIELDS(ScaleCalibration, utc_ms, interval_ug, slope, applied, span_uncertainty, heaviest_ug,
              loads, before_utc_ms, slope_before, span_uncertainty_before)
MASLIN_FIELDS(ProbeCalibration, utc_ms, ice_mk, boil_mk, boil_true_mk, boil_by, ice_u_mk, boil_u_mk,
              before_utc_ms, before_off_mk)
MASLIN_FIELDS(LeasedDevice, role, description, calibration, probe)
MASLIN_FIELDS(Settings, altitude_m, usual_spread, scale_lag_s, reaction_s, cue_delay_s,
              waking_from_min, waking_to_min, units, quiet, quiet_from_min, quiet_to_min)
MASLIN_FIELDS(Learned, what, of, value_ms, spread_ms, times, by, vessel_ug, value_ug)
MASLIN_FIELDS(Lot, of, lot)
MASLIN_FIELDS(Facts, vinegar_pct, nitrite_pct, pectin, pectin_package_g, pectin_date, jar_kind,
              jar_ml, jar_cm, jars, lids, vessel_g, pan_cm, pan_l, pan_metal, canner_l, canner_cm,
              canner_high_cm, canner_jars, canner_min, canner_kw, cook, lots, learned)
MASLIN_FIELDS(PlannedIngredient, name, amount, counts_as, basis, lead, critical, unsafe_under,
              unsafe_over, nominal_ug, aim_ug, lower_ug, upper_ug, accept_lower_ug, accept_upper_ug,
              check, role, reason, kitchen, form, cup_ug, solids_ppm)
MASLIN_FIELDS(PlannedRatio, of, per, least, limit_ppm, of_names, per_names, share_ppm, of_ppm)
MASLIN_FIELDS(PlannedOperation, kind, text, ingredients, until, target_mk, duration_ms, longest_ms,
              caution, target_ug, by_eye, restarts, expect_ms, left_ppm, water_ppm, every_ms,
              least_mk, most_mk, outside_ms, unmeasured_ms, cold_chain, hung, end_ph)
MASLIN_FIELDS(Caution, at, text, evidence)
MASLIN_FIELDS(Plan, formula, formula_sha256, status, source, keeping, may_be_called, factor,
              largest_multiple, provisional, lead, units, cups, jars, ingredients, ratios,
              operations, cautions, notes, altitude_m, boiling_point_mk, limited_by, asks, pots,
              jar_ml, yield_ml, litre_ug, canner_loads, sterilise_ms, canner_ms, longest_boil_ms,
              most_ph, good_ms, nitrite_pct, nitrite_most_ppm, nitrite_for, nitrite_source)
MASLIN_FIELDS(PlanRequest, text, file, have, jars, factor, keeping, units, parent)

}  // namespace maslin::proto
