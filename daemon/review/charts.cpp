// Charts over batches; see the header.
#include "daemon/review/charts.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "daemon/quantity/decimal.hpp"
#include "daemon/review/chart.hpp"
#include "daemon/review/series.hpp"
#include "daemon/review/tolerance.hpp"

namespace maslin::review {
namespace {

constexpr std::size_t least_batches = 8;  // common practice, no source
constexpr double coverage = 0.9;
constexpr double confidence = 0.95;
// Cumulative sums, in standard deviations: e-Handbook 6.3.2.3 has half of one as the usual
// allowance and 4 or 5 as the decision; the larger one calls falsely once in some 465 batches.
constexpr double allowance = 0.5;
constexpr double decision = 5;
// Two-sided 95 % band of a correlogram about nothing (e-Handbook 1.3.3.1).
constexpr double alike_times_root_n = 1.96;

struct Row {
  std::vector<const proto::Report*> reports;
  std::vector<double> values;
  std::vector<double> doubts;
};

Row row_of(const BatchFigure& figure, std::span<const proto::Report* const> reports) {
  Row row;
  for (const auto* report : reports) {
    const auto has = figure.of(*report);
    if (!has) continue;
    row.reports.push_back(report);
    row.values.push_back(has->value);
    row.doubts.push_back(has->expanded_uncertainty);
  }
  return row;
}

std::string text(double value, std::int64_t decimals) {
  const std::string plain = quantity::plain(value, static_cast<int>(decimals));
  return plain == "-0" ? "0" : plain;
}
std::string with_sign(double value, std::int64_t decimals) {
  const std::string plain = text(value, decimals);
  return value > 0 && plain != "0" ? "+" + plain : plain;
}

// "sugar 3.1 % over", "time at the boil 9.2 min"
std::string value_text(const proto::ReviewChart& chart, bool poured, double value) {
  if (poured) {
    return chart.figure + " " + text(std::abs(value), chart.decimals) + " % " +
           (value < 0 ? "under" : "over") + " its aim";
  }
  return chart.figure + " " + text(value, chart.decimals) +
         (chart.unit.empty() ? "" : " " + chart.unit);
}

// "-1.2 to +1.4 %"
std::string between(const proto::ReviewChart& chart, bool poured, double lower, double upper) {
  if (poured) {
    return with_sign(lower, chart.decimals) + " to " + with_sign(upper, chart.decimals) + " %";
  }
  return text(lower, chart.decimals) + " to " + text(upper, chart.decimals) +
         (chart.unit.empty() ? "" : " " + chart.unit);
}

void tell_outside(proto::ReviewChart& chart, bool poured, bool common_level) {
  if (!common_level) {
    chart.lines.push_back(chart.figure + ": these batches have no common level, " +
                          std::to_string(chart.outside.size()) + " of " +
                          std::to_string(chart.count) + " lie outside " +
                          between(chart, poured, chart.lower, chart.upper) + ".");
    return;
  }
  for (const auto& one : chart.outside) {
    chart.lines.push_back(
        one.batch + ": " + value_text(chart, poured, one.value) + ", outside the limits of " +
        between(chart, poured, chart.lower, chart.upper) + " that the others give.");
  }
}

// Since when it lies higher or lower; what is outside by itself is left out, or one bad pour would
// look like a drift.
void find_drift(proto::ReviewChart& chart, const Individuals& found, const Row& row, bool poured) {
  std::vector<double> kept;
  std::vector<const proto::Report*> of;
  for (std::size_t i = 0; i < row.values.size(); ++i) {
    const auto& outside = found.outside;
    if (found.common_level && std::binary_search(outside.begin(), outside.end(), i)) continue;
    kept.push_back(row.values[i]);
    of.push_back(row.reports[i]);
  }
  if (found.sigma <= 0) return;
  const auto run = drift(kept, found.mean, allowance * found.sigma, decision * found.sigma);
  if (!run || run->since == 0) return;
  chart.drift = run->higher ? "higher" : "lower";
  chart.drift_since = of[run->since]->batch;
  const auto mean = [&](std::size_t from, std::size_t to) {
    double sum = 0;
    for (std::size_t i = from; i < to; ++i) sum += kept[i];
    return sum / static_cast<double>(to - from);
  };
  const auto shown = [&](double value) {
    if (poured) return with_sign(value, chart.decimals) + " %";
    return text(value, chart.decimals) + (chart.unit.empty() ? "" : " " + chart.unit);
  };
  chart.lines.push_back(chart.figure + " has lain " + chart.drift + " since " + chart.drift_since +
                        ": " + shown(mean(run->since, kept.size())) + " in the mean of " +
                        std::to_string(kept.size() - run->since) + " batches, " +
                        shown(mean(0, run->since)) + " before.");
}

// Only where the batches are of one level: what drifts says nothing of the next ten.
void find_nine_of_ten(proto::ReviewChart& chart, const Individuals& found,
                      const BatchFigure& figure, bool poured) {
  const auto count = static_cast<std::size_t>(chart.count) - found.outside.size();
  const std::string nine = chart.figure + ": nine batches of ten ";
  if (!figure.at_least) {
    const double reach = two_sided_factor(count, coverage, confidence) * found.spread;
    const double lower = poured ? found.mean - reach : std::max(0.0, found.mean - reach);
    chart.nine_of_ten_lower = lower;
    chart.nine_of_ten_upper = found.mean + reach;
    chart.expected = nine + "from " + between(chart, poured, lower, found.mean + reach) + ".";
    return;
  }
  const double reach = one_sided_factor(count, coverage, confidence) * found.spread;
  auto& end = *figure.at_least ? chart.nine_of_ten_lower : chart.nine_of_ten_upper;
  end = *figure.at_least ? std::max(0.0, found.mean - reach) : found.mean + reach;
  chart.expected = nine + (*figure.at_least ? "at least " : "at most ") +
                   text(*end, chart.decimals) + " " + chart.unit + ".";
}

proto::ReviewChart chart_of(const BatchFigure& figure, const Row& row) {
  const bool poured = figure.is == BatchFigure::Is::poured;
  const Individuals found = individuals(row.values, row.doubts);
  proto::ReviewChart chart;
  chart.figure = figure.name;
  chart.unit = figure.unit;
  chart.decimals = figure.decimals;
  chart.count = static_cast<std::int64_t>(row.values.size());
  chart.mean = found.mean;
  // What cannot be less than nothing is not given such a limit.
  chart.lower = poured ? found.lower : std::max(0.0, found.lower);
  chart.upper = found.upper;
  chart.step_mean = found.step_mean;
  chart.step_upper = found.step_upper;
  chart.autocorrelation = found.autocorrelation;
  const double rare = stand_out_factor(row.values.size()) * found.sigma;
  for (const std::size_t i : found.outside) {
    const double off = std::abs(row.values[i] - found.mean) - row.doubts[i];
    if (found.common_level && off <= rare) continue;
    chart.outside.push_back({row.reports[i]->batch, row.values[i]});
  }
  tell_outside(chart, poured, found.common_level);
  find_drift(chart, found, row, poured);
  const double alike = alike_times_root_n / std::sqrt(static_cast<double>(row.values.size()));
  // A drift makes neighbours alike too, and has been told.
  const bool settled = found.common_level && chart.drift.empty();
  const bool neighbours = found.autocorrelation > alike;
  if (settled && neighbours) {
    chart.lines.push_back(figure.name + ": batches one after the other are alike (correlation " +
                          text(found.autocorrelation, 2) +
                          "), so these limits are narrower than they should be.");
  }
  if (settled && !neighbours && found.sigma > 0) {
    find_nine_of_ten(chart, found, figure, poured);
  }
  return chart;
}

// All pours of each batch, each in standard deviations of its own ingredient, so that a pinch and a
// kilogram count alike: is there a batch in which they all lie to one side, or far apart.
struct Evenings {
  std::vector<const proto::Report*> reports;
  std::vector<double> means;
  std::vector<double> ranges;
  std::size_t pours = 0;
};

Evenings evenings(const std::vector<BatchFigure>& figures,
                  std::span<const proto::Report* const> reports) {
  Evenings found;
  std::vector<const BatchFigure*> poured;
  for (const auto& figure : figures) {
    if (figure.is != BatchFigure::Is::poured) continue;
    if (row_of(figure, reports).values.size() >= least_batches) poured.push_back(&figure);
  }
  for (const auto* report : reports) {
    const bool all = std::all_of(poured.begin(), poured.end(),
                                 [&](const auto* figure) { return figure->of(*report); });
    if (all) found.reports.push_back(report);
  }
  if (found.reports.size() < least_batches) return {};
  std::vector<double> least(found.reports.size());
  std::vector<double> greatest(found.reports.size());
  found.means.resize(found.reports.size());
  for (const auto* figure : poured) {
    const Row row = row_of(*figure, found.reports);
    const Individuals usual = individuals(row.values, row.doubts);
    if (usual.sigma <= 0) continue;
    for (std::size_t i = 0; i < row.values.size(); ++i) {
      const double off = (row.values[i] - usual.mean) / usual.sigma;
      least[i] = found.pours == 0 ? off : std::min(least[i], off);
      greatest[i] = found.pours == 0 ? off : std::max(greatest[i], off);
      found.means[i] += off;
    }
    ++found.pours;
  }
  for (std::size_t i = 0; i < found.reports.size(); ++i) {
    found.means[i] /= static_cast<double>(std::max<std::size_t>(found.pours, 1));
    found.ranges.push_back(greatest[i] - least[i]);
  }
  return found;
}

constexpr const char* kUsual = "times their usual scatter";

// The chart of means and the chart of ranges of groups.
void add_evenings(std::vector<proto::ReviewChart>& charts, const Evenings& all) {
  if (all.pours < 2) return;
  const RangeFactors factors = range_factors(all.pours);
  double mean = 0;
  double range = 0;
  for (std::size_t i = 0; i < all.means.size(); ++i) {
    mean += all.means[i] / static_cast<double>(all.means.size());
    range += all.ranges[i] / static_cast<double>(all.means.size());
  }
  proto::ReviewChart level;
  level.figure = "all pours of a batch, mean";
  level.unit = kUsual;
  level.count = static_cast<std::int64_t>(all.means.size());
  level.mean = mean;
  level.lower = mean - factors.a2 * range;
  level.upper = mean + factors.a2 * range;
  proto::ReviewChart apart = level;
  apart.figure = "all pours of a batch, how far apart";
  apart.mean = range;
  apart.lower = factors.lower * range;
  apart.upper = factors.upper * range;
  // Of few batches one is over three standard deviations too often.
  const double wider = stand_out_factor(all.means.size()) / 3;
  for (std::size_t i = 0; i < all.means.size(); ++i) {
    const std::string& batch = all.reports[i]->batch;
    // One wild pour is no matter of the scale.
    const bool uneven = all.ranges[i] - range > wider * (apart.upper - range);
    if (!uneven && std::abs(all.means[i] - mean) > wider * (level.upper - mean)) {
      level.outside.push_back({batch, all.means[i]});
      level.lines.push_back(
          batch + ": all its pours together lie " +
          (all.means[i] < level.lower ? "lower" : "higher") + " than those of other batches (" +
          with_sign(all.means[i], level.decimals) + " " + kUsual + ", outside the limits of " +
          with_sign(level.lower, level.decimals) + " to " + with_sign(level.upper, level.decimals) +
          " that the others give). What they have in common is the scale and its zero: look at it "
          "first.");
    }
    if (uneven) {
      apart.outside.push_back({batch, all.ranges[i]});
      apart.lines.push_back(batch + ": its pours were uneven, " +
                            text(all.ranges[i], apart.decimals) + " " + kUsual +
                            " apart, over the limit of " + text(apart.upper, apart.decimals) +
                            " that the others give.");
    }
  }
  charts.push_back(std::move(level));
  charts.push_back(std::move(apart));
}

}  // namespace

std::vector<proto::ReviewChart> charts(std::span<const proto::Report* const> reports) {
  std::vector<proto::ReviewChart> charts;
  const auto figures = batch_figures(reports);
  for (const auto& figure : figures) {
    if (figure.is == BatchFigure::Is::chosen) continue;
    const Row row = row_of(figure, reports);
    if (row.values.size() >= least_batches) charts.push_back(chart_of(figure, row));
  }
  add_evenings(charts, evenings(figures, reports));
  return charts;
}

}  // namespace maslin::review
