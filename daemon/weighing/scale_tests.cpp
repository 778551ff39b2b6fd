// Corner load and warm-up; see the header.
#include "daemon/weighing/scale_tests.hpp"

#include <algorithm>
#include <cmath>

namespace maslin::weighing {
namespace {

// Decimal indications in binary: a difference of exactly the limit is within it.
constexpr double kRounding = 1.0 + 1e-9;

double larger(double a, double b) { return std::abs(a) >= std::abs(b) ? a : b; }

}  // namespace

CornerResult evaluate(const CornerTest& test) {
  CornerResult result;
  for (const double corner : test.corners_g) {
    result.largest_g = larger(result.largest_g, corner - test.centre_g);
  }
  result.good = !test.corners_g.empty() && std::abs(result.largest_g) <= test.limit_g * kRounding;
  return result;
}

WarmUpResult evaluate(const std::vector<WarmUpLevel>& levels, double interval_g) {
  WarmUpResult result;
  if (levels.empty()) return result;
  const WarmUpLevel& last = levels.back();
  result.ready_after_s = levels.front().at_s;
  for (std::size_t i = 0; i < levels.size(); ++i) {
    const double zero = levels[i].zero_g - last.zero_g;
    const double span = (levels[i].loaded_g - levels[i].zero_g) - (last.loaded_g - last.zero_g);
    result.zero_change_g = larger(result.zero_change_g, zero);
    result.span_change_g = larger(result.span_change_g, span);
    if (std::max(std::abs(zero), std::abs(span)) > interval_g * kRounding) {
      result.ready_after_s = levels[i + 1].at_s;  // the last level differs from itself by nothing
    }
  }
  result.good = levels.size() > 1 && result.ready_after_s < last.at_s;
  return result;
}

}  // namespace maslin::weighing
