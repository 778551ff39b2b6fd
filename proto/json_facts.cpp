// JSON of what methods take and give: plans, devices, settings, reports, reviews.
#include "proto/json_entry.hpp"
#include "proto/methods.hpp"
#include "proto/report.hpp"

namespace maslin::proto {

NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(DeviceState, description, role, condition, last,
                                                age_ms)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(ReportIngredient, name, amount, aim_g, lower_g,
                                                upper_g, weighed_g, standard_uncertainty_g,
                                                expanded_uncertainty_g, deviation_g, verdict, how,
                                                critical)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(ReportHold, reason, what, from_ms, lasted_ms,
                                                ended_by)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(ReportTemperature, device, phase, readings, least_c,
                                                mean_c, greatest_c)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(ReportEvent, from_ms, what, detail)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(Report, batch, formula, state, may_be_called,
                                                started_utc, factor, provisional, ingredients,
                                                holds, temperatures, conditions, deviations, epochs,
                                                cautions, remarks, chain)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(ReviewRow, ingredient, count, mean_deviation_g,
                                                spread_g, mean_deviation_pct, worst_g, share_within)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(Review, formula, batches, rows)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(Hello, program, version, wire)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(FormulaCheck, text, file)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(FormulaChecked, name, good, troubles)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(PluginState, name, condition, why, restarts)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(DeviceList, devices, plugins)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(Assign, role, device)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(BatchWord, batch, text)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(BatchStatus, batch, formula, state, phase,
                                                ingredient, aim_g, lower_g, upper_g, net_g, at_rest,
                                                pan_c, left_ms, next, last_cue, hold,
                                                hold_ends_when, hold_pan, since_ms, at_ms)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(BatchSummary, batch, formula, state, started_utc)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(BatchList, batches)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(ReviewRequest, formula)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(Lines, batch, lines, next_line)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(LinesRequest, batch, from_line)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(Verified, batch, answer, detail, exit_code, entries,
                                                readings)

Result<Settings> merged(const Settings& known, std::string_view text) {
  const auto changes = parse(text);
  if (!changes) return tl::unexpected<Trouble>(changes.error());
  nlohmann::json all = known;
  for (const auto& [key, value] : changes->items()) {
    if (!all.contains(key)) {
      return trouble("there is no setting '" + key + "'", key,
                     "maslin settings shows what there is");
    }
    all[key] = value;
  }
  return read_value<Settings>(all);
}

MASLIN_JSON(Trouble)
MASLIN_JSON(Troubles)
MASLIN_JSON(Plan)
MASLIN_JSON(PlanRequest)
MASLIN_JSON(Settings)
MASLIN_JSON(LeasedDevice)
MASLIN_JSON(DeviceState)
MASLIN_JSON(Report)
MASLIN_JSON(Review)
MASLIN_JSON(Hello)
MASLIN_JSON(FormulaCheck)
MASLIN_JSON(FormulaChecked)
MASLIN_JSON(DeviceList)
MASLIN_JSON(Assign)
MASLIN_JSON(BatchWord)
MASLIN_JSON(BatchStatus)
MASLIN_JSON(BatchList)
MASLIN_JSON(ReviewRequest)
MASLIN_JSON(Lines)
MASLIN_JSON(LinesRequest)
MASLIN_JSON(Verified)

}  // namespace maslin::proto
