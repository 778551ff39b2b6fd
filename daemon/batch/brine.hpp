// A brine that turns out to be too little: more of it is made in the proportion of the formula,
// never of water alone. Asked by Fill and by an amendment.
#pragma once

#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

#include "daemon/batch/desk.hpp"

namespace maslin::batch {

// All that makes the liquid over the food, in the order of the formula: salt and water, and the
// acid and sugar that belong to it.
struct Brine {
  std::vector<const proto::PlannedIngredient*> parts;
  std::int64_t nominal_ug = 0;  // of all together, as the plan has them

  // What each of them is of so much brine; they add up to it.
  std::vector<std::pair<const proto::PlannedIngredient*, std::int64_t>> parts_of(
      std::int64_t brine_ug) const;
};

// Empty where the formula has no salt or no water, or something of it is not weighed yet.
std::optional<Brine> brine_of(const Desk& desk);

// Whether the brine is poured over food that it does not cook: the cook sees then whether it
// covers all of it.
bool covers_food(const Desk& desk);

// How much more of it there is to be when it does not cover: a quarter of what was planned (common
// practice, no source), or as much less as keeps every critical ratio and the largest batch; 0
// where none does.
std::int64_t more_brine_ug(const Desk& desk);

// From here on the plan has so much more of it, and Desk::more says what is to be weighed for it.
void make_more_brine(Desk& desk, std::int64_t brine_ug);

}  // namespace maslin::batch
