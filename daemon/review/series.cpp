// The figures of batches; see the header.
#include "daemon/review/series.hpp"

#include <algorithm>

namespace maslin::review {
namespace {

constexpr double minute_ms = 60'000;

// One for each name that some report has, in the order in which they come.
template <class Row, class Name, class Make>
void for_each_name(std::span<const proto::Report* const> reports,
                   std::vector<Row> proto::Report::*rows, Name name_of, Make make) {
  std::vector<std::string> names;
  for (const auto* report : reports) {
    for (const Row& row : report->*rows) {
      const std::string name = name_of(row);
      if (name.empty() || std::find(names.begin(), names.end(), name) != names.end()) continue;
      names.push_back(name);
      make(name, row);
    }
  }
}

std::string name_of(const proto::ReportRatio& ratio) { return ratio.of + " per " + ratio.per; }

// Masses and volumes follow the size of the batch and compare nothing.
std::string name_of(const proto::ReportFinding& finding) {
  const bool compares = finding.what == "soluble solids" || finding.what == "equilibrium pH";
  return compares ? finding.what + ", " + finding.by : std::string();
}

std::optional<Value> poured(const proto::Report& report, const std::string& name) {
  for (const auto& one : report.ingredients) {
    if (one.name != name || !one.deviation_g || one.aim_g <= 0) continue;
    return Value{100 * *one.deviation_g / one.aim_g,
                 100 * one.expanded_uncertainty_g.value_or(0) / one.aim_g};
  }
  return std::nullopt;
}

std::optional<Value> achieved(const proto::Report& report, const std::string& name) {
  for (const auto& one : report.ratios) {
    if (one.achieved && name_of(one) == name) {
      return Value{*one.achieved, one.expanded_uncertainty.value_or(0)};
    }
  }
  return std::nullopt;
}

// The last one: what came before was measured on the way.
std::optional<Value> found(const proto::Report& report, const std::string& name) {
  std::optional<Value> last;
  for (const auto& one : report.findings) {
    if (name_of(one) == name) last = Value{one.value, one.expanded_uncertainty};
  }
  return last;
}

}  // namespace

std::vector<BatchFigure> batch_figures(std::span<const proto::Report* const> reports) {
  using Is = BatchFigure::Is;
  std::vector<BatchFigure> all = {
      {"time at the boil", "min", 1, Is::found, std::nullopt,
       [](const proto::Report& report) -> std::optional<Value> {
         if (!report.boiled_ms) return std::nullopt;
         return Value{static_cast<double>(*report.boiled_ms) / minute_ms, 0};
       }},
      {"size of the batch", "times the formula", 1, Is::chosen, std::nullopt,
       [](const proto::Report& report) -> std::optional<Value> {
         return Value{report.factor, 0};
       }}};
  for_each_name(
      reports, &proto::Report::ingredients, [](const auto& row) { return row.name; },
      [&](const std::string& name, const auto&) {
        all.push_back(
            {name, "% off its aim", 1, Is::poured, std::nullopt,
             [name](const proto::Report& report) { return review::poured(report, name); }});
      });
  for_each_name(
      reports, &proto::Report::ratios, [](const auto& row) { return name_of(row); },
      [&](const std::string& name, const proto::ReportRatio& row) {
        all.push_back({name, "g per g", row.limit < 0.01 ? 5 : 3, Is::found, row.least,
                       [name](const proto::Report& report) { return achieved(report, name); }});
      });
  for_each_name(
      reports, &proto::Report::findings, [](const auto& row) { return name_of(row); },
      [&](const std::string& name, const proto::ReportFinding& row) {
        const bool ph = row.what == "equilibrium pH";
        all.push_back(
            {name, ph ? "" : "%", ph ? 2 : 1, Is::found, std::nullopt,
             [name](const proto::Report& report) { return review::found(report, name); }});
      });
  return all;
}

}  // namespace maslin::review
