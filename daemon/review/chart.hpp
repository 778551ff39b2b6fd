// Is a row of values in order: the chart of individuals with its moving range, cumulative sums,
// and the chart of groups by their ranges, as NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2
// has them. Plain statistics, called by `charts`. Private to review/.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace maslin::review {

// What the range of n values from one normal distribution is, in standard deviations of it: mean d2
// and standard deviation d3, by integration (to 1e-6), and the factors of charts with limits at
// three standard deviations that follow from them. n from 2 on.
struct RangeFactors {
  double d2 = 0;
  double d3 = 0;
  double a2 = 0;     // mean of a group: centre ± A2 times the mean range
  double lower = 0;  // range of a group: D3 and D4 times the mean range
  double upper = 0;
  double e2 = 0;  // one value: centre ± E2 times the mean range
};
RangeFactors range_factors(std::size_t n);

// The chart of single values in the order in which they came; each range is that of two neighbours.
// d2 is the exact 1.128379, not the 1.128 that the handbook's worked example multiplies with.
struct Individuals {
  double mean = 0;
  double sigma = 0;  // mean step / d2
  double lower = 0;
  double upper = 0;
  double step_mean = 0;   // from one value to the next
  double step_upper = 0;  // what a step stays below
  double spread = 0;      // standard deviation, n - 1
  // Lag 1, of all values: near 1 where neighbours are alike. 0 where all values are one.
  double autocorrelation = 0;
  std::vector<std::size_t> outside;  // beyond the limits
  bool common_level = true;          // what stands above is without those outside; else of all
};
// At least two values. A value that its own doubt (its expanded uncertainty; empty: none) could
// bring back inside is not called outside. What is outside is left out and the limits are made
// again, until nothing new is; where that would be more than a third of the values they have no
// common level, and the figures of all of them stand.
Individuals individuals(std::span<const double> values, std::span<const double> doubts = {});

// Tabular cumulative sums of what each value is above, and below, `target` by more than
// `allowance`.
struct Sums {
  std::vector<double> high;
  std::vector<double> low;
};
Sums cumulative_sums(std::span<const double> values, double target, double allowance);

// The last value is the end of a run whose sum has come over `decision` and has not been back at 0:
// where that run began.
struct Drift {
  std::size_t since = 0;
  bool higher = false;
};
std::optional<Drift> drift(std::span<const double> values, double target, double allowance,
                           double decision);

}  // namespace maslin::review
