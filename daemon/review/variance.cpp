// The variance over batches.
#include <algorithm>
#include <cmath>

#include "daemon/review/charts.hpp"
#include "daemon/review/outcomes.hpp"
#include "daemon/review/review.hpp"

namespace maslin::review {
namespace {

struct Sample {
  double deviation_g = 0;
  double deviation_pct = 0;
  bool within = false;
};

// The mean first and the squares of what is left of it: taken the other way round they would lose
// the small spread of large amounts.
proto::ReviewRow row_of(const std::string& ingredient, const std::vector<Sample>& samples) {
  proto::ReviewRow row;
  row.ingredient = ingredient;
  row.count = static_cast<std::int64_t>(samples.size());
  const auto count = static_cast<double>(samples.size());
  std::int64_t within = 0;
  for (const Sample& sample : samples) {
    row.mean_deviation_g += sample.deviation_g / count;
    row.mean_deviation_pct += sample.deviation_pct / count;
    if (std::abs(sample.deviation_g) > std::abs(row.worst_g)) row.worst_g = sample.deviation_g;
    if (sample.within) ++within;
  }
  row.share_within = static_cast<double>(within) / count;
  if (samples.size() > 1) {
    double squares = 0;
    for (const Sample& sample : samples) {
      squares +=
          (sample.deviation_g - row.mean_deviation_g) * (sample.deviation_g - row.mean_deviation_g);
    }
    row.spread_g = std::sqrt(squares / (count - 1));
  }
  return row;
}

}  // namespace

proto::Review review(std::span<const proto::Report> reports, std::string_view formula) {
  proto::Review review;
  review.formula = std::string(formula);
  std::vector<std::pair<std::string, std::vector<Sample>>> samples;  // by first appearance
  std::vector<const proto::Report*> looked_at;
  for (const proto::Report& report : reports) {
    if (!formula.empty() && report.formula != formula) continue;
    looked_at.push_back(&report);
    bool counted = false;
    for (const proto::ReportIngredient& ingredient : report.ingredients) {
      if (!ingredient.deviation_g) continue;  // by measure: there is no figure to compare
      counted = true;
      auto found = std::find_if(samples.begin(), samples.end(),
                                [&](const auto& known) { return known.first == ingredient.name; });
      if (found == samples.end()) found = samples.insert(samples.end(), {ingredient.name, {}});
      const double aim = ingredient.aim_g;
      found->second.push_back({*ingredient.deviation_g,
                               aim > 0 ? 100.0 * *ingredient.deviation_g / aim : 0.0,
                               ingredient.verdict == "within"});
    }
    if (counted) ++review.batches;
  }
  for (const auto& [ingredient, of] : samples) review.rows.push_back(row_of(ingredient, of));
  review.outcomes = outcomes(looked_at);
  // Batches of two formulas differ in everything.
  if (!formula.empty()) {
    review.went_with = went_with(looked_at);
    review.charts = charts(looked_at);
  }
  return review;
}

}  // namespace maslin::review
