// Bands, critical limits and aims of a scaled formula. Internal to plan/.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "daemon/formula/formula.hpp"
#include "daemon/plan/scales.hpp"
#include "proto/plan.hpp"
#include "proto/trouble.hpp"

namespace maslin::plan {

// One ingredient at the size of the batch.
struct Line {
  const formula::Ingredient* ingredient = nullptr;
  std::int64_t asked_ug = 0;    // what the formula asks for
  std::int64_t nominal_ug = 0;  // the same, or what it is where its weight is known
  std::int64_t below_ug = 0;
  std::int64_t above_ug = 0;
  bool sets_size =
      false;  // the lead while, or once, its weight decides: it has no limit but its band
  std::int64_t in_ug = 0;  // so much of it is in already; a pour only adds the rest
  Judge judge;
};

// How many of the cook's standard deviations the aim keeps from what would not be accepted: one
// pour in forty then falls short (common practice, no source).
inline constexpr double kSpreads = 2.0;

// Every ratio asks that one side be large enough beside the other: large >= k * small.
//   of >= limit * per: large is of, k = limit;  of <= limit * per: large is per, k = 1 / limit.
struct Sides {
  std::vector<std::size_t> large;  // indices into lines
  std::vector<std::size_t> small;
  double k = 1;
  double guard_ug = 0;  // in mass of the large side
  // The salt in a curing salt, which counts and gives no way, at the end of its band that is the
  // worse for the ratio: what the others must make up for, in mass of the large side.
  double cure_ug = 0;
  std::int64_t cure_nominal_ug = 0;  // the same as the formula asks for it, on the `of` side
};
// spread: the cook's relative standard deviation.
Sides sides_of(const formula::Ratio& ratio, const std::vector<Line>& lines, double spread);

// What a usual pour of what is still to come may be off by, kSpreads of it, micrograms.
double usual_room_ug(const Line& line, double spread);

// Shown limits lie on a tenth of what the scale shows, inwards: printing them never moves one
// outwards.
std::int64_t shown_step(const Line& line);

// Fills in lower, upper, acceptance interval, aim, critical and reason of each planned ingredient
// (same order as lines). spread: the cook's relative standard deviation. Troubles where a critical
// limit leaves no place to aim at, or curing salt cannot be judged.
proto::Troubles set_limits(const formula::Formula& formula, const std::vector<Line>& lines,
                           double spread, std::vector<proto::PlannedIngredient>& planned);

std::string title(const formula::Ratio& ratio);  // "acid per low-acid food"

// The formula's ratios with the names of those who are in them.
std::vector<proto::PlannedRatio> planned_ratios(const formula::Formula& formula);

}  // namespace maslin::plan
