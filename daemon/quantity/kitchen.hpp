// A scaled amount in words that a kitchen can follow: the nearest sensible spoons and cups, without
// digits that no spoon has. plan/ prints with it beside the grams, which are what counts.
#pragma once

#include <string>

#include "daemon/quantity/household.hpp"

namespace maslin::quantity {

// `amount` times `factor` (finite, above zero): "2 2/3 cups", "1 cup and 2 tbsp", "a scant 1/2
// cup", "about 4 1/2 pieces", "333 g", "1/8 tsp", "a pinch". Within 5 % from one tablespoon up;
// below that the nearest quarter or eighth of a teaspoon, and under 1/16 tsp "a pinch". Mass has
// three figures.
std::string kitchen_text(const Amount& amount, double factor, Cups cups);

}  // namespace maslin::quantity
