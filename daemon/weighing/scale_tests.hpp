// Tests of a scale on request: the same load at the corners of the pan, and how long the scale
// warms up. The procedures are those of OIML R 76-1:2006 (3.6.2 eccentric loading, A.5.2 warm-up
// time; both from memory). Pure; grams and seconds.
#pragma once

#include <vector>

namespace maslin::weighing {

struct CornerTest {
  double load_g = 0;    // about a third of the capacity, the same each time
  double centre_g = 0;  // its net on the middle of the pan
  std::vector<double> corners_g;
  double limit_g = 0;  // maximum permissible error of that load
};
struct CornerResult {
  double largest_g = 0;  // difference from the middle, with its sign
  bool good = false;     // none is further from the middle than the limit
};
CornerResult evaluate(const CornerTest& test);

// After switching on: the empty pan and a load, again and again.
struct WarmUpLevel {
  double at_s = 0;  // since it was switched on, rising
  double zero_g = 0;
  double loaded_g = 0;
};
struct WarmUpResult {
  double zero_change_g = 0;  // largest difference from the last level, of the empty pan
  double span_change_g = 0;  // and of the net of the load
  // From here on both stay within the interval d of the last level.
  double ready_after_s = 0;
  bool good = false;  // at least two levels, and one before the last is as the last
};
WarmUpResult evaluate(const std::vector<WarmUpLevel>& levels, double interval_g);

}  // namespace maslin::weighing
