// The built-in table: which foods are known by name and what their household portions weigh. Used
// while a formula is read; a formula's own values win over it.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/formula/formula.hpp"
#include "daemon/quantity/household.hpp"

namespace maslin::formula {

struct Portion {
  int ndb;                    // number in the USDA database
  std::string_view measure;   // as the source words it
  quantity::Rational amount;  // of `unit`; cups and spoons are US customary
  quantity::Measure unit;
  std::string_view form;  // chopped, sliced, medium ...; empty where the source has none
  std::int64_t mass_mg;   // of the whole amount
};
std::span<const Portion> portions();

struct Food {
  std::string_view name;  // as a formula writes it
  int ndb;
  bool hot;  // burns the hands
};
std::span<const Food> foods();
const Food* find_food(std::string_view name);  // nullptr where the table has none of that name

// What amounts of a food in a form weigh. Pieces and packages without a size stand in for any form,
// since cutting does not change what a whole one weighs.
std::vector<Weighs> table_weights(const Food& food, std::string_view form);

// The forms that the table has of a food, in its order: for the message that asks for one.
std::vector<std::string> known_forms(const Food& food);

}  // namespace maslin::formula
