// The budget of a net mass and its convolution; see the header.
#include "daemon/weighing/uncertainty.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "daemon/weighing/scale_class.hpp"

namespace maslin::weighing {
namespace {

constexpr double kSqrt3 = std::numbers::sqrt3;

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
  double variance = 0;
  double widest = 0;
  const std::vector<Component> lines = components(budget);
  for (const Component& line : lines) {
    if (line.half_width_g <= 0) variance += line.standard_g * line.standard_g;
    widest = std::max(widest, line.half_width_g);
  }
  for (const Component& line : lines) {
    const double half = line.half_width_g;
    if (half <= 0) continue;
    // The closed form loses digits with the cube of a small half width, and a rectangle that is
    // small beside the rest cannot be told from a Gaussian of its variance. Four of them are the
    // most that are told apart; a net of more is normal for all that matters.
    const bool small = half < 1e-3 * std::max(widest, std::sqrt(variance));
    if (small || errors.count == static_cast<int>(errors.half.size())) {
      variance += half * half / 3.0;
    } else {
      errors.half[static_cast<std::size_t>(errors.count++)] = half;
    }
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

std::vector<Component> components(const NetBudget& budget) {
  constexpr std::array<std::string_view, 2> kIndications{"resolution before", "resolution after"};
  std::vector<Component> lines;
  const auto rectangular = [&](std::string_view name, double half) {
    if (half > 0)
      lines.push_back({.name = name, .standard_g = half / kSqrt3, .half_width_g = half});
  };
  const auto normal = [&](std::string_view name, double standard) {
    if (standard > 0) lines.push_back({.name = name, .standard_g = standard});
  };
  // Linearity first: where there are more rectangles than are told apart, it is the widest.
  rectangular("linearity", budget.linearity_g);
  for (int i = 0; i < budget.indications; ++i) {
    const auto which = static_cast<std::size_t>(i);
    rectangular(which < kIndications.size() ? kIndications[which] : "resolution of a further one",
                budget.interval_g / 2.0);
  }
  rectangular("sticking", budget.sticking_g);
  normal("repeatability", std::sqrt(budget.indications) * budget.repeatability_g);
  if (budget.repeatability_g > 0) lines.back().dof = budget.repeatability_dof;
  normal("calibration", budget.span_g);
  normal("drift", budget.drift_g);
  normal("buoyancy", budget.buoyancy_g);
  return lines;
}

NetUncertainty net_uncertainty(const NetBudget& budget) {
  const Errors errors = errors_of(budget);
  return {std::sqrt(errors.variance()), half_width(errors, 0.025), half_width(errors, 0.05)};
}

double error_cdf(const NetBudget& budget, double x_g) { return cdf(errors_of(budget), x_g); }

double linearity_class3_g(double net_g, double interval_g, double capacity_g) {
  return permissible_error_g(ScaleClass::medium, net_g,
                             verification_interval_g(ScaleClass::medium, interval_g, capacity_g));
}

NetBudget uncalibrated_budget(double net_g, double interval_g, double capacity_g) {
  return {.interval_g = interval_g,
          .repeatability_g = kUsualRepeatability * interval_g,
          .linearity_g = linearity_class3_g(net_g, interval_g, capacity_g)};
}

}  // namespace maslin::weighing
