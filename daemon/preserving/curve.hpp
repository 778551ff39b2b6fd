// A published table read between its rows. Internal to preserving/.
#pragma once

#include <span>

namespace maslin::preserving {

struct Point {
  double x;
  double y;
};

// Along the straight line between the two rows about x, or along the cubic through the four about
// it, for tables with wide steps. Rows rise in x; x is within the first and the last.
double straight(std::span<const Point> rows, double x);
double cubic(std::span<const Point> rows, double x);
// The x that has this y, for rows that rise, or fall, in y as well.
double cubic_back(std::span<const Point> rows, double y);

}  // namespace maslin::preserving
