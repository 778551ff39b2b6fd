// Combining components; the only file that sees Boost.Math, which is slow to compile.
#include "daemon/weighing/coverage.hpp"

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

namespace maslin::weighing {

Combined combine(std::span<const Component> components, double confidence) {
  double variance = 0;
  double weighted = 0;  // sum of u^4 / dof; what has infinite degrees of freedom adds nothing
  for (const Component& one : components) {
    const double squared = one.standard_g * one.standard_g;
    variance += squared;
    weighted += squared * squared / one.dof;
  }
  Combined result;
  result.standard = std::sqrt(variance);
  result.dof =
      weighted > 0 ? variance * variance / weighted : std::numeric_limits<double>::infinity();
  result.coverage_factor = coverage_factor(confidence, result.dof);
  result.expanded = result.coverage_factor * result.standard;
  return result;
}

double coverage_factor(double confidence, double dof) {
  const double upper = 0.5 + confidence / 2.0;
  // Rounding must not take a whole number of degrees of freedom for the next lower one.
  const double whole = std::floor(dof * (1.0 + 1e-12));
  if (!std::isfinite(whole)) return normal_point(upper);
  return boost::math::quantile(boost::math::students_t(std::max(1.0, whole)), upper);
}

double normal_point(double p) { return boost::math::quantile(boost::math::normal(), p); }

double chi_squared_point(double p, double dof) {
  return boost::math::quantile(boost::math::chi_squared(dof), p);
}

}  // namespace maslin::weighing
