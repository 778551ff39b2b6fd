// Rows of stands.hpp.
#include "daemon/review/stands.hpp"

#include <algorithm>
#include <map>

#include "daemon/quantity/decimal.hpp"
#include "daemon/review/record.hpp"

namespace maslin::review {
namespace {

constexpr const char* measured = "measured";
constexpr const char* seen = "seen by the cook";

std::optional<double> celsius(std::int64_t mk) {
  if (mk == 0) return std::nullopt;
  return static_cast<double>(mk - 273'150) / 1000;
}

proto::ReportStand begun(const proto::PlannedOperation& planned) {
  proto::ReportStand row;
  row.phase = planned.text;
  row.bounds = quantity::celsius_bounds(planned.least_mk, planned.most_mk);
  row.time_ms = planned.duration_ms;
  row.outside_most_ms = planned.outside_ms;
  row.gap_most_ms = planned.unmeasured_ms;
  row.evidence = row.bounds.empty() ? "by the clock" : planned.by_eye ? seen : measured;
  // A drier is not asked about, and tells by itself how it was.
  if (planned.kind == "dry" && !planned.cold_chain) row.evidence = "not measured";
  return row;
}

void take(proto::ReportStand& row, const proto::Stood& stood, const proto::Start* start) {
  row.counted_ms = stood.counted_ms;
  row.inside_ms = stood.inside_ms;
  row.outside_ms = stood.outside_ms;
  row.unmeasured_ms = stood.unmeasured_ms;
  row.longest_gap_ms = stood.longest_gap_ms;
  row.coldest_c = celsius(stood.coldest_mk);
  row.warmest_c = celsius(stood.warmest_mk);
  row.evidence = stood.evidence;
  row.done = stood.done;
  if (stood.device >= 0) row.device = device_name(start, stood.device);
}

// What the cook has said of spans in which nothing measured.
bool tells_of_place(const proto::Condition& condition) {
  return condition.what == "place as it should be" ||
         condition.what == "cold enough by another thermometer" ||
         condition.what == "kept while nothing measured";
}

}  // namespace

std::vector<proto::ReportStand> stands(std::span<const proto::Entry> entries) {
  const proto::Start* start = start_of(entries);
  if (start == nullptr) return {};
  const proto::Plan* plan = &start->plan;
  std::map<int, proto::ReportStand> rows;
  proto::ReportStand* running = nullptr;
  bool told = false;
  for (const proto::Entry& entry : entries) {
    if (const auto* made = as<proto::PlanFinal>(entry)) plan = &made->plan;
    if (const auto* phase = as<proto::PhaseBegan>(entry)) {
      running = nullptr;
      told = false;
      const auto index = static_cast<std::size_t>(phase->operation);
      if ((phase->kind != "stand" && phase->kind != "dry") || index >= plan->operations.size())
        continue;
      running =
          &rows.insert_or_assign(phase->operation, begun(plan->operations[index])).first->second;
    }
    if (running == nullptr) continue;
    if (const auto* stood = as<proto::Stood>(entry)) take(*running, *stood, start);
    const auto* condition = as<proto::Condition>(entry);
    told = told || (condition != nullptr && tells_of_place(*condition));
    if (told && running->evidence == measured) {
      running->evidence = running->coldest_c ? std::string(measured) + ", and " + seen : seen;
    }
    if (as<proto::Restart>(entry) != nullptr) ++running->restarts;
  }
  std::vector<proto::ReportStand> all;
  all.reserve(rows.size());
  for (auto& [operation, row] : rows) all.push_back(std::move(row));
  return all;
}

std::optional<proto::ReportNitrite> nitrite(const proto::Plan& plan,
                                            std::span<const proto::ReportRatio> ratios) {
  if (plan.nitrite_most_ppm <= 0) return std::nullopt;
  const auto ratio = std::find_if(ratios.begin(), ratios.end(), [](const auto& one) {
    return one.of == "curing salt" && !one.least && one.achieved;
  });
  if (ratio == ratios.end()) return std::nullopt;
  proto::ReportNitrite found;
  const double ppm_of_all = plan.nitrite_pct / 100 * 1e6;
  found.ppm = *ratio->achieved * ppm_of_all;
  found.expanded_uncertainty_ppm = ratio->expanded_uncertainty.value_or(0) * ppm_of_all;
  found.most_ppm = plan.nitrite_most_ppm;
  found.product = plan.nitrite_for;
  found.source = plan.nitrite_source;
  found.label_pct = plan.nitrite_pct;
  found.verdict = ratio->verdict;
  return found;
}

}  // namespace maslin::review
