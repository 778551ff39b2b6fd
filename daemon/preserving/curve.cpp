// Reading between rows; see the header.
#include "daemon/preserving/curve.hpp"

#include <algorithm>
#include <cstddef>

namespace maslin::preserving {
namespace {

// Index of the row below x, never the last.
std::size_t below(std::span<const Point> rows, double x) {
  const auto above = std::upper_bound(rows.begin(), rows.end(), x,
                                      [](double value, const Point& row) { return value < row.x; });
  const auto index = static_cast<std::size_t>(above - rows.begin());
  return std::clamp<std::size_t>(index, 1, rows.size() - 1) - 1;
}

// By halving: both readings are monotonous between monotonous rows.
double back(std::span<const Point> rows, double y, double (*read)(std::span<const Point>, double)) {
  double low = rows.front().x;
  double high = rows.back().x;
  const bool rises = rows.back().y > rows.front().y;
  constexpr int halvings = 60;  // to the last digits of a double
  for (int i = 0; i < halvings; ++i) {
    const double middle = (low + high) / 2;
    ((read(rows, middle) < y) == rises ? low : high) = middle;
  }
  return (low + high) / 2;
}

}  // namespace

double straight(std::span<const Point> rows, double x) {
  const std::size_t i = below(rows, x);
  const Point a = rows[i];
  const Point b = rows[i + 1];
  return a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x);
}

double cubic(std::span<const Point> rows, double x) {
  const std::size_t at = below(rows, x);
  const std::size_t first = std::clamp<std::size_t>(at, 1, rows.size() - 3) - 1;
  double sum = 0;  // Lagrange
  for (std::size_t i = first; i < first + 4; ++i) {
    double term = rows[i].y;
    for (std::size_t j = first; j < first + 4; ++j) {
      if (j != i) term *= (x - rows[j].x) / (rows[i].x - rows[j].x);
    }
    sum += term;
  }
  return sum;
}

double cubic_back(std::span<const Point> rows, double y) { return back(rows, y, cubic); }

}  // namespace maslin::preserving
