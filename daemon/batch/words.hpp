// What the cook is told: short sentences with grams first, household amount beside them. The
// operations say nothing in words of their own.
#pragma once

#include <cstdint>
#include <string>

#include "proto/entry.hpp"
#include "proto/plan.hpp"

namespace maslin::batch {

// Grams as the scale of `interval_ug` shows them, "239 g".
std::string amount(std::int64_t micrograms, std::int64_t interval_ug);
// "239 g cider vinegar (1 cup)"
std::string ingredient_line(const proto::PlannedIngredient& ingredient, std::int64_t interval_ug);
// "onion 640 g, sugar 200 g, ..." of all that is weighed
std::string plan_line(const proto::Plan& plan, std::int64_t interval_ug);
std::string capitalised(std::string text);
// What to do with the pan in a hold, and how long that is good for; "" where nothing is said of it.
std::string pan_words(const proto::Held& held);

}  // namespace maslin::batch
