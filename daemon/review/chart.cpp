// Charts; see the header.
#include "daemon/review/chart.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace maslin::review {
namespace {

constexpr double limit_sigmas = 3;
constexpr double rounding = 1e-12;  // of a mean: values that differ by less are the same

double below(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }

double mean_of(std::span<const double> values) {
  double mean = 0;
  for (const double value : values) mean += value / static_cast<double>(values.size());
  return mean;
}

// Of the values that are kept, in their order.
void limits(Individuals& chart, std::span<const double> values) {
  // The range of two: d2 = 2 / sqrt(pi), D4 = 1 + 3 d3 / d2.
  static const RangeFactors two = range_factors(2);
  const auto count = static_cast<double>(values.size());
  chart.mean = mean_of(values);
  double steps = 0;
  double squares = 0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (i > 0) steps += std::abs(values[i] - values[i - 1]);
    squares += (values[i] - chart.mean) * (values[i] - chart.mean);
  }
  chart.spread = std::sqrt(squares / (count - 1));
  chart.step_mean = steps / (count - 1);
  if (chart.step_mean < rounding * (1 + std::abs(chart.mean))) chart.step_mean = 0;
  chart.step_upper = two.upper * chart.step_mean;
  chart.sigma = chart.step_mean / two.d2;
  chart.lower = chart.mean - two.e2 * chart.step_mean;
  chart.upper = chart.mean + two.e2 * chart.step_mean;
}

// What was outside before stays so: limits only grow narrower, and nothing goes round in a circle.
std::vector<std::size_t> beyond(const Individuals& chart, std::span<const double> values,
                                std::span<const double> doubts) {
  if (chart.sigma <= 0) return chart.outside;
  std::vector<std::size_t> outside;
  for (std::size_t i = 0; i < values.size(); ++i) {
    const double doubt = i < doubts.size() ? doubts[i] : 0;
    const bool is = values[i] - doubt > chart.upper || values[i] + doubt < chart.lower;
    const bool was = std::binary_search(chart.outside.begin(), chart.outside.end(), i);
    if (is || was) outside.push_back(i);
  }
  return outside;
}

double lag_one(std::span<const double> values) {
  const double mean = mean_of(values);
  double squares = 0;
  double products = 0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    squares += (values[i] - mean) * (values[i] - mean);
    if (i > 0) products += (values[i] - mean) * (values[i - 1] - mean);
  }
  const double nothing = rounding * (1 + std::abs(mean));
  return squares > static_cast<double>(values.size()) * nothing * nothing ? products / squares : 0;
}

}  // namespace

RangeFactors range_factors(std::size_t n) {
  // P(range <= r) = n times the integral of phi(x) (Phi(x + r) - Phi(x))^(n - 1); the mean is the
  // integral of P(range > r), the mean square that of 2 r P(range > r).
  constexpr double step = 0.04;
  constexpr std::size_t half = 200;  // 8 standard deviations
  std::vector<double> normal(4 * half + 1);
  for (std::size_t i = 0; i < normal.size(); ++i) {
    normal[i] = below((static_cast<double>(i) - static_cast<double>(half)) * step);
  }
  const auto more = static_cast<double>(n - 1);
  double mean = 0;
  double square = 0;
  for (std::size_t j = 0; j <= 2 * half; ++j) {
    double within = 0;
    for (std::size_t i = 0; i <= 2 * half; ++i) {
      const double x = (static_cast<double>(i) - static_cast<double>(half)) * step;
      within += std::exp(-x * x / 2) * std::pow(normal[i + j] - normal[i], more);
    }
    within *= static_cast<double>(n) * step / std::sqrt(2 * std::numbers::pi);
    // Simpson's rule; the inner sum needs none, its ends are nothing.
    const double weight = (j == 0 || j == 2 * half ? 1.0 : j % 2 == 1 ? 4.0 : 2.0) * step / 3;
    const double r = static_cast<double>(j) * step;
    mean += weight * (1 - within);
    square += weight * 2 * r * (1 - within);
  }
  RangeFactors found;
  found.d2 = mean;
  found.d3 = std::sqrt(square - mean * mean);
  found.a2 = limit_sigmas / (mean * std::sqrt(static_cast<double>(n)));
  found.lower = std::max(0.0, 1 - limit_sigmas * found.d3 / mean);
  found.upper = 1 + limit_sigmas * found.d3 / mean;
  found.e2 = limit_sigmas / mean;
  return found;
}

Individuals individuals(std::span<const double> values, std::span<const double> doubts) {
  Individuals chart;
  limits(chart, values);
  const Individuals of_all = chart;
  for (;;) {
    const auto outside = beyond(chart, values, doubts);
    if (outside.size() > values.size() / 3) {
      chart = of_all;
      chart.outside = beyond(of_all, values, doubts);
      chart.common_level = false;
      break;
    }
    if (outside == chart.outside) break;
    chart.outside = outside;
    std::vector<double> kept;
    for (std::size_t i = 0; i < values.size(); ++i) {
      if (!std::binary_search(outside.begin(), outside.end(), i)) kept.push_back(values[i]);
    }
    limits(chart, kept);
  }
  chart.autocorrelation = lag_one(values);
  return chart;
}

Sums cumulative_sums(std::span<const double> values, double target, double allowance) {
  Sums sums;
  double high = 0;
  double low = 0;
  for (const double value : values) {
    sums.high.push_back(high = std::max(0.0, high + value - target - allowance));
    sums.low.push_back(low = std::max(0.0, low + target - allowance - value));
  }
  return sums;
}

std::optional<Drift> drift(std::span<const double> values, double target, double allowance,
                           double decision) {
  const Sums sums = cumulative_sums(values, target, allowance);
  for (const bool higher : {true, false}) {
    const auto& sum = higher ? sums.high : sums.low;
    std::size_t since = sum.size();
    bool over = false;
    while (since > 0 && sum[since - 1] > 0) over = sum[--since] > decision || over;
    if (over) return Drift{since, higher};
  }
  return std::nullopt;
}

}  // namespace maslin::review
