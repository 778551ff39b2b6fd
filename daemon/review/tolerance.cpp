// Tolerance factors; see the header. The only file of the room that sees Boost.Math.
#include "daemon/review/tolerance.hpp"

#include <algorithm>
#include <boost/math/distributions/non_central_t.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <cstdint>
#include <functional>
#include <numbers>
#include <vector>

namespace maslin::review {
namespace {

double root(const std::function<double(double)>& f, double low, double high) {
  std::uintmax_t steps = 100;
  const auto found = boost::math::tools::toms748_solve(
      f, low, high, boost::math::tools::eps_tolerance<double>(45), steps);
  return (found.first + found.second) / 2;
}

}  // namespace

double one_sided_factor(std::size_t n, double coverage, double confidence) {
  const double root_n = std::sqrt(static_cast<double>(n));
  const double shift = boost::math::quantile(boost::math::normal(), coverage) * root_n;
  const boost::math::non_central_t t(static_cast<double>(n - 1), shift);
  return boost::math::quantile(t, confidence) / root_n;
}

double stand_out_factor(std::size_t n) {
  constexpr double rows = 0.01;
  const auto count = static_cast<double>(n);
  const boost::math::students_t t(count - 1);
  return std::max(3.0, boost::math::quantile(boost::math::complement(t, rows / (2 * count))));
}

double two_sided_factor(std::size_t n, double coverage, double confidence) {
  const auto count = static_cast<double>(n);
  const boost::math::normal normal;
  // How far to either side of a mean that is off by z the share lies; the trapezoid rule over z is
  // as good as it gets, for the integrand is even and dies away.
  constexpr double step = 0.05;
  constexpr std::size_t points = 160;  // 8 standard deviations of the mean
  const double least = boost::math::quantile(normal, 0.5 + coverage / 2);
  std::vector<double> reach(points + 1);
  for (std::size_t i = 0; i <= points; ++i) {
    const double z = static_cast<double>(i) * step / std::sqrt(count);
    const auto short_by = [&](double r) {
      return boost::math::cdf(normal, z + r) - boost::math::cdf(normal, z - r) - coverage;
    };
    reach[i] = i == 0 ? least : root(short_by, least / 2, least + z + 1);
  }
  const auto short_by = [&](double factor) {
    double held = 0;
    for (std::size_t i = 0; i <= points; ++i) {
      const double z = static_cast<double>(i) * step;
      const double ratio = reach[i] / factor;
      held += (i == 0 ? 1 : 2) * std::exp(-z * z / 2) *
              boost::math::gamma_q((count - 1) / 2, (count - 1) * ratio * ratio / 2);
    }
    return held * step / std::sqrt(2 * std::numbers::pi) - confidence;
  };
  double high = 2 * least;
  while (short_by(high) < 0) high *= 2;
  return root(short_by, least / 2, high);
}

}  // namespace maslin::review
