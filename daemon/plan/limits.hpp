// Bands, critical limits and aims of a scaled formula. Internal to plan/.
#pragma once

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
  std::int64_t nominal_ug = 0;
  std::int64_t below_ug = 0;
  std::int64_t above_ug = 0;
  bool sets_size =
      false;  // the lead while, or once, its weight decides: it has no limit but its band
  Judge judge;
};

// Fills in lower, upper, acceptance interval, aim, critical and reason of each planned ingredient
// (same order as lines). spread: the cook's relative standard deviation. Troubles where a critical
// limit leaves no place to aim at, or curing salt cannot be judged.
proto::Troubles set_limits(const formula::Formula& formula, const std::vector<Line>& lines,
                           double spread, std::vector<proto::PlannedIngredient>& planned);

std::string title(const formula::Ratio& ratio);  // "acid per low-acid food"

// The formula's ratios with the names of those who are in them.
std::vector<proto::PlannedRatio> planned_ratios(const formula::Formula& formula);

}  // namespace maslin::plan
