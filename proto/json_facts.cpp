// JSON of what methods take and give: plans, devices, settings, reports, reviews.
#include "proto/cues.hpp"
#include "proto/json_entry.hpp"
#include "proto/methods.hpp"
#include "proto/report.hpp"

namespace maslin::proto {

MASLIN_FIELDS(DeviceState, description, role, condition, last, age_ms, calibration, probe)
MASLIN_FIELDS(ReportIngredient, name, amount, aim_g, lower_g, upper_g, weighed_g,
              standard_uncertainty_g, expanded_uncertainty_g, deviation_g, verdict, how, amended,
              critical)
MASLIN_FIELDS(ReportRatio, of, per, least, share, limit, achieved, expanded_uncertainty, verdict)
MASLIN_FIELDS(ReportHold, reason, what, from_ms, lasted_ms, ended_by)
MASLIN_FIELDS(ReportTemperature, device, phase, readings, least_c, mean_c, greatest_c)
MASLIN_FIELDS(ReportStand, phase, bounds, time_ms, counted_ms, inside_ms, outside_ms,
              outside_most_ms, unmeasured_ms, longest_gap_ms, gap_most_ms, coldest_c, warmest_c,
              device, evidence, restarts, done)
MASLIN_FIELDS(ReportNitrite, ppm, expanded_uncertainty_ppm, most_ppm, product, source, label_pct,
              verdict)
MASLIN_FIELDS(ReportEvent, from_ms, what, detail)
MASLIN_FIELDS(ReportFinding, what, by, verdict, value, expanded_uncertainty, limit, detail, jar,
              from_ms)
MASLIN_FIELDS(JarGroup, batch, formula, jars, part_filled, size, where, since_utc, until_utc,
              until_means, basis, past, todo, holds, whom, why, unit)
MASLIN_FIELDS(Report, batch, formula, state, may_be_called, parent, remade, started_utc, factor,
              provisional, altitude_m, jar_ml, vinegar_pct, bath_ms, ingredients, ratios, holds,
              temperatures, stands, nitrite, conditions, findings, deviations, amendments, jars,
              outcomes, set, heat, pieces, boiled_ms, epochs, cautions, remarks, chain)
MASLIN_FIELDS(SafetyLimit, what, limit, found, how, device, verdict, at_utc)
MASLIN_FIELDS(SafetyDevice, role, id, interval, calibration)
MASLIN_FIELDS(SafetyRecord, batch, product, state, may_be_called, source, formula_sha256, keeping,
              cook, started_utc, started_local, ended_utc, altitude_m, engine_revision, limits,
              devices, deviations, holds, amendments, jars, chain)
MASLIN_FIELDS(WhyComponent, what, basis, standard_uncertainty_g, share_pct)
MASLIN_FIELDS(Why, batch, ingredient, verdict, accepted, how, aim_g, lower_g, upper_g, weighed_g,
              standard_uncertainty_g, expanded_uncertainty_g, coverage_factor, effective_dof,
              student_factor, components, rule, probability_within, consumer_risk, producer_risk,
              ways_out, story)
MASLIN_FIELDS(JarTask, batch, text, due_utc, late)
MASLIN_FIELDS(JarList, todo, jars)
MASLIN_FIELDS(ReviewRow, ingredient, count, mean_deviation_g, spread_g, mean_deviation_pct, worst_g,
              share_within)
MASLIN_FIELDS(ReviewOutcome, what, how, count)
MASLIN_FIELDS(ReviewOutside, batch, value)
MASLIN_FIELDS(ReviewChart, figure, unit, decimals, count, mean, lower, upper, step_mean, step_upper,
              autocorrelation, nine_of_ten_lower, nine_of_ten_upper, outside, drift, drift_since,
              lines, expected)
MASLIN_FIELDS(Review, formula, batches, rows, outcomes, went_with, charts)
MASLIN_FIELDS(Hello, program, version, wire)
MASLIN_FIELDS(FormulaCheck, text, file)
MASLIN_FIELDS(FormulaChecked, name, good, troubles)
MASLIN_FIELDS(PluginState, name, condition, why, restarts)
MASLIN_FIELDS(DeviceList, devices, plugins)
MASLIN_FIELDS(Assign, role, device)
MASLIN_FIELDS(CalibrateRequest, role, what, known_g, known_ml, celsius, within, pressure_hpa)
MASLIN_FIELDS(CalibrationLoad, known_g, standard_uncertainty_g, shown_g)
MASLIN_FIELDS(CalibrationStatus, device, role, state, loads, ice_shown_c, boil_shown_c, slope,
              offset_g, span_uncertainty, chi_squared, dof, refusal, kept, probe, lines, next)
MASLIN_FIELDS(BatchWord, batch, text)
MASLIN_FIELDS(RateRequest, batch, set, heat, pieces, text)
MASLIN_FIELDS(JarRequest, batch, what, amount, count, part_filled, jars, where, text)
MASLIN_FIELDS(AmendRequest, batch, what, of, with, amount, count, figure, text)
MASLIN_FIELDS(MeasureRequest, batch, what, with, value, interval, temperature_c, low_buffer,
              low_shown, high_buffer, high_shown, hours, jar, text)
MASLIN_FIELDS(JarListRequest, batch, lot, all, names)
MASLIN_FIELDS(ScheduledSpan, line, text, from_ms, to_ms, state)
MASLIN_FIELDS(ToWeight, net_g, begin_g, target_g, lost_pct, water_pct, weigh_ins, weighed_ms,
              ready_ms, ready_from_ms, ready_to_ms)
MASLIN_FIELDS(BatchStatus, batch, formula, state, phase, ingredient, aim_g, lower_g, upper_g, net_g,
              at_rest, verdict, pan_c, canner_c, room_c, inside_ms, outside_ms, unmeasured_ms,
              ready_on, left_ms, next, last_cue, offer, hold, hold_ends_when, hold_pan,
              may_be_called, by_measure, caution, advice, notes, schedule, slack_ms, boil_from_s,
              boil_to_s, since_ms, at_ms, to_weight)
MASLIN_FIELDS(BatchSummary, batch, formula, state, started_utc, parent, remade)
MASLIN_FIELDS(BatchList, batches)
MASLIN_FIELDS(ReviewRequest, formula)
MASLIN_FIELDS(Lines, batch, lines, next_line)
MASLIN_FIELDS(WhyRequest, batch, ingredient)
MASLIN_FIELDS(LinesRequest, batch, from_line)
MASLIN_FIELDS(Verified, batch, answer, detail, exit_code, entries, readings)

std::string json_string(std::string_view text) { return dump(nlohmann::json(std::string(text))); }

std::string cue_catalogue_json() {
  auto all = nlohmann::json::array();
  for (const auto& kind : cue_catalogue()) {
    all.push_back({{"id", kind.id},
                   {"urgency", kind.urgency},
                   {"tone", kind.tone},
                   {"unanswered", unanswered_text(kind)},
                   {"means", kind.means}});
  }
  return dump(all);
}

namespace {

// `known` with the fields of `text` in their place; `a` and `todo` speak of what it is.
template <class T>
Result<T> merged_into(const T& known, std::string_view text, const std::string& a,
                      const std::string& todo) {
  const auto changes = parse(text);
  if (!changes) return tl::unexpected<Trouble>(changes.error());
  if (!changes->is_object()) return trouble(a + "s are one JSON object", "", todo);
  nlohmann::json all = known;
  for (const auto& [key, value] : changes->items()) {
    if (!all.contains(key)) return trouble("there is no " + a + " '" + key + "'", key, todo);
    all[key] = value;
  }
  return read_value<T>(all);
}

constexpr const char* facts_todo = "maslin facts lists what there is";

}  // namespace

Result<Settings> merged(const Settings& known, std::string_view text) {
  return merged_into(known, text, "setting", "maslind(8), SETTINGS lists what there is");
}
// A lot stands in for that of the same thing, an empty one forgets it; the others stay. No list at
// all (null) forgets them all, and so it does what was learned.
Result<Facts> merged(const Facts& known, std::string_view text) {
  Facts base = known;
  auto stated = parse(text);
  const auto stands = [&](const char* name) {
    return stated && stated->is_object() && stated->contains(name);
  };
  const auto forgotten = [&](const char* name, auto& list) {
    if (!stands(name) || !stated->at(name).is_null()) return;
    list.clear();
    stated->erase(name);
  };
  forgotten("lots", base.lots);
  forgotten("learned", base.learned);
  const bool lots = stands("lots");
  auto facts = merged_into(base, stated ? dump(*stated) : std::string(text), "fact", facts_todo);
  if (!facts || !lots) return facts;
  for (const auto& lot : facts->lots) {
    std::erase_if(base.lots, [&](const auto& other) { return other.of == lot.of; });
    if (!lot.lot.empty()) base.lots.push_back(lot);
  }
  facts->lots = std::move(base.lots);
  return facts;
}

MASLIN_JSON(Trouble)
MASLIN_JSON(Troubles)
MASLIN_JSON(Plan)
MASLIN_JSON(PlanRequest)
MASLIN_JSON(Settings)
MASLIN_JSON(Facts)
MASLIN_JSON(LeasedDevice)
MASLIN_JSON(ScaleCalibration)
MASLIN_JSON(ProbeCalibration)
MASLIN_JSON(DeviceState)
MASLIN_JSON(Report)
MASLIN_JSON(SafetyRecord)
MASLIN_JSON(Why)
MASLIN_JSON(WhyRequest)
MASLIN_JSON(Review)
MASLIN_JSON(Hello)
MASLIN_JSON(FormulaCheck)
MASLIN_JSON(FormulaChecked)
MASLIN_JSON(DeviceList)
MASLIN_JSON(Assign)
MASLIN_JSON(CalibrateRequest)
MASLIN_JSON(CalibrationStatus)
MASLIN_JSON(BatchWord)
MASLIN_JSON(RateRequest)
MASLIN_JSON(JarRequest)
MASLIN_JSON(AmendRequest)
MASLIN_JSON(MeasureRequest)
MASLIN_JSON(JarListRequest)
MASLIN_JSON(JarList)
MASLIN_JSON(BatchStatus)
MASLIN_JSON(BatchList)
MASLIN_JSON(ReviewRequest)
MASLIN_JSON(Lines)
MASLIN_JSON(LinesRequest)
MASLIN_JSON(Verified)

}  // namespace maslin::proto
