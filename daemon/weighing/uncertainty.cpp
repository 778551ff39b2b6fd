// The budget of a net mass and its convolution; see the header.
#include "daemon/weighing/uncertainty.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace maslin::weighing {
namespace {

// The errors of one net: rectangular ones, each by its half width, and all others as one Gaussian.
struct Errors {
  std::array<double, 4> half{};
  int count = 0;
  double sigma = 0;
  double reach = 0;  // beyond +- this the distribution is 0 or 1 in double precision

  double variance() const {
    double sum = sigma * sigma;
    for (int i = 0; i < count; ++i)
      sum += half[static_cast<std::size_t>(i)] * half[static_cast<std::size_t>(i)] / 3.0;
    return sum;
  }
};

Errors errors_of(const NetBudget& budget) {
  Errors errors;
  double variance = budget.indications * budget.repeatability_g * budget.repeatability_g +
                    budget.drift_g * budget.drift_g;
  const double resolution = budget.interval_g / 2.0;
  const double widest = std::max(resolution, budget.linearity_g);
  const auto add = [&](double half) {
    // The closed form loses digits with the cube of a small half width, and a rectangle that is
    // small beside the rest cannot be told from a Gaussian of its variance. Three indications are
    // the most that are told apart; a net of more is normal for all that matters.
    const bool small = half < 1e-3 * std::max(widest, std::sqrt(variance));
    if (small || errors.count == static_cast<int>(errors.half.size())) {
      variance += half * half / 3.0;
    } else {
      errors.half[static_cast<std::size_t>(errors.count++)] = half;
    }
  };
  if (budget.linearity_g > 0) add(budget.linearity_g);
  for (int i = 0; i < budget.indications; ++i) {
    if (resolution > 0) add(resolution);
  }
  errors.sigma = std::sqrt(variance);
  errors.reach = 9.0 * errors.sigma;
  for (int i = 0; i < errors.count; ++i) errors.reach += errors.half[static_cast<std::size_t>(i)];
  return errors;
}

// The n-fold integral of the normal distribution function with standard deviation sigma, from minus
// infinity to x; with sigma 0 that of a step. From i(n) = (x i(n-1) + sigma^2 i(n-2)) / n, which
// follows from integrating by parts.
double repeated_integral(int n, double x, double sigma) {
  if (sigma <= 0) {
    if (x < 0) return 0;
    double power = 1;
    for (int i = 1; i <= n; ++i) power *= x / i;
    return power;
  }
  const double z = x / sigma;
  double before = std::exp(-0.5 * z * z) / (sigma * std::sqrt(2.0 * std::numbers::pi));
  double value = 0.5 * std::erfc(-z / std::numbers::sqrt2);
  for (int i = 1; i <= n; ++i) {
    const double next = (x * value + sigma * sigma * before) / i;
    before = value;
    value = next;
  }
  return value;
}

// Each rectangle of half width a turns a distribution G into (G1(x+a) - G1(x-a)) / 2a with G1 its
// integral; n of them need the n-fold integral at 2^n places. Far out the terms cancel to nothing
// but noise, so x never goes further than the errors reach.
double cdf(const Errors& errors, double x) {
  if (x <= -errors.reach) return errors.reach > 0 || x < 0 ? 0.0 : 1.0;
  if (x >= errors.reach) return 1.0;
  if (x > 0) return 1.0 - cdf(errors, -x);  // symmetric; the lower tail is the accurate one
  double sum = 0;
  double product = 1;
  for (int i = 0; i < errors.count; ++i) product *= 2.0 * errors.half[static_cast<std::size_t>(i)];
  for (unsigned signs = 0; signs < (1U << errors.count); ++signs) {
    double at = x;
    double sign = 1;
    for (int i = 0; i < errors.count; ++i) {
      const double half = errors.half[static_cast<std::size_t>(i)];
      const bool minus = (signs >> i) & 1U;
      at += minus ? -half : half;
      if (minus) sign = -sign;
    }
    sum += sign * repeated_integral(errors.count, at, errors.sigma);
  }
  return std::clamp(sum / product, 0.0, 1.0);
}

// The x with cdf(-x) = tail. Bisection: the distribution is monotone and 60 halvings exhaust a
// double.
double half_width(const Errors& errors, double tail) {
  double inner = 0;
  double outer = errors.reach;
  for (int i = 0; i < 60; ++i) {
    const double middle = (inner + outer) / 2.0;
    (cdf(errors, -middle) > tail ? inner : outer) = middle;
  }
  return outer;
}

}  // namespace

NetUncertainty net_uncertainty(const NetBudget& budget) {
  const Errors errors = errors_of(budget);
  return {std::sqrt(errors.variance()), half_width(errors, 0.025), half_width(errors, 0.05)};
}

double error_cdf(const NetBudget& budget, double x_g) { return cdf(errors_of(budget), x_g); }

double linearity_class3_g(double net_g, double interval_g, double capacity_g) {
  const double e = std::max(interval_g, capacity_g / 10'000.0);
  const double load = std::abs(net_g);
  // Edges belong to the lower step.
  const double initial = load <= 500.0 * e ? 0.5 : load <= 2000.0 * e ? 1.0 : 1.5;
  return 2.0 * initial * e;
}

NetBudget uncalibrated_budget(double net_g, double interval_g, double capacity_g) {
  return {.interval_g = interval_g,
          .repeatability_g = kUsualRepeatability * interval_g,
          .linearity_g = linearity_class3_g(net_g, interval_g, capacity_g)};
}

}  // namespace maslin::weighing
