// The smallest larger batch that brings an over-pour into band: a linear programme in the factor
// and what each ingredient then weighs, solved in closed form. Called by enlarge.cpp for the
// engine and for `figure rescue`; pure. Grams throughout, at the size as planned (factor 1).
#pragma once

#include <cstddef>
#include <limits>
#include <span>
#include <string>
#include <vector>

namespace maslin::plan {

inline constexpr double kNoLimit = std::numeric_limits<double>::infinity();

struct RescueItem {
  std::string name;
  double in_g = 0;  // in already; mixed, so never out again
  double nominal_g = 0;
  double lower_g = 0;         // band; grows with the factor
  double upper_g = 0;         // above zero
  double stock_g = kNoLimit;  // so much more of it can go in
  bool chopped = false;       // prepared produce: grows no further than it must
};

// All of `large` together weigh at least `least` times all of `small` and guard_g more. The groups
// of all ratios are the same or have nothing in common: an ingredient counts as one thing.
struct RescueRatio {
  std::string name;
  std::vector<std::size_t> large;  // indices into items
  std::vector<std::size_t> small;
  double least = 0;
  double guard_g = 0;
};

struct RescueProblem {
  std::vector<RescueItem> items;
  std::vector<RescueRatio> ratios;
  double capacity_g = kNoLimit;  // of the pan, for all of it
  double largest_factor = kNoLimit;
};

enum class RescueLimit { none, band, ratio, stock, capacity, largest_factor };

struct Rescue {
  bool feasible = false;
  double factor = 1;  // the smallest at which all bands and ratios can be met
  RescueLimit limited_by = RescueLimit::none;  // what sets the factor
  std::string limited_name;                    // ingredient or ratio; empty for none
  RescueLimit blocked_by = RescueLimit::none;  // what stands against it; none where feasible
  std::string blocked_name;                    // ingredient or ratio; empty for pan and factor
  // By item, what has to be added at least, and what is best: as far towards the formula's
  // proportions as band, stock and pan allow. Empty where not feasible.
  std::vector<double> least_g;
  std::vector<double> top_up_g;
};

// min s subject to s >= 1, s lower <= in + t <= s upper, 0 <= t <= stock, the ratios, the pan and
// the largest factor. Exact up to rounding of doubles (1e-9 of the factor); cycles of ratios whose
// guards drive each other up without end are blocked by the ratio.
Rescue rescue(const RescueProblem& problem);

// The same with every top-up a multiple of what its scale can weigh (step_g by item, above zero;
// upwards, none of it smaller than four steps), and the factor raised where that needs it. No
// constraint is broken by it; not feasible where no such multiples fit.
Rescue rounded(const RescueProblem& problem, const Rescue& found, std::span<const double> step_g);

}  // namespace maslin::plan
