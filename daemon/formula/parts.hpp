// The parts of a formula's text, one reader each, and the checks over all of them. Internal to
// formula/. Each reader reports what is wrong and goes on, so that one reading finds every fault.
#pragma once

#include <vector>

#include "daemon/formula/fields.hpp"
#include "daemon/formula/formula.hpp"

namespace maslin::formula {

// Where each part stands, beside the parts of the formula itself.
struct Places {
  std::vector<Position> ingredients;
  std::vector<Position> ratios;
  std::vector<Position> operations;
  // Each name that an operation mentions, in the order of Operation::ingredients.
  std::vector<std::vector<Position>> mentioned;
  // False where the kind of an operation could not be read: it may be the one that weighs.
  bool kinds_known = true;
};

Ingredient read_ingredient(const Node& table, quantity::Cups cups, Faults& faults);
Ratio read_ratio(const Node& table, Faults& faults);
Operation read_operation(const Node& table, quantity::Cups cups, Places& places, Faults& faults);

// What only shows when all parts are known: names, steps, ratios, keeping. Also fills in what a
// weigh operation leaves out: without names it weighs all that no other one does.
void check_whole(Formula& formula, Places& places, Faults& faults);

}  // namespace maslin::formula
