// The built-in table of portions against the published file it was taken from: USDA National
// Nutrient Database for Standard Reference, see the first line of data/usda_sr_portions.csv. Exact.
#include "daemon/formula/foods.hpp"

#include <gtest/gtest.h>

#include <map>
#include <tuple>

#include "tests/reference/csv.hpp"

namespace maslin::formula {
namespace {

TEST(UsdaStandardReference, EveryPortionIsARowOfThePublishedFile) {
  using Key = std::tuple<int, std::string, double>;
  std::map<Key, double> grams;
  for (const auto& row : reference::table("usda_sr_portions.csv")) {
    grams[{std::stoi(row.text("ndb_no")), row.text("measure"), row.number("amount")}] =
        row.number("grams");
  }
  int compared = 0;
  for (const Portion& portion : portions()) {
    SCOPED_TRACE(std::to_string(portion.ndb) + " " + std::string(portion.measure));
    const auto row =
        grams.find({portion.ndb, std::string(portion.measure), quantity::value(portion.amount)});
    ASSERT_NE(row, grams.end());
    EXPECT_DOUBLE_EQ(static_cast<double>(portion.mass_mg) / 1000.0, row->second);
    ++compared;
  }
  EXPECT_GT(compared, 80);
}

// Figures that the table's users know by heart, from the same file.
TEST(UsdaStandardReference, FamiliarAmounts) {
  const auto grams = [](std::string_view food, std::string_view form, std::string_view amount) {
    Ingredient ingredient;
    ingredient.weighs = table_weights(*find_food(food), form);
    return static_cast<double>(mass_of(ingredient, quantity::parse_amount(amount).value(),
                                       quantity::Cups::us_customary)
                                   .value()) /
           1e6;
  };
  EXPECT_DOUBLE_EQ(grams("sugar", "", "1 cup"), 200);
  EXPECT_DOUBLE_EQ(grams("cider vinegar", "", "1 cup"), 239);
  EXPECT_DOUBLE_EQ(grams("table salt", "", "1 tbsp"), 18);
  EXPECT_DOUBLE_EQ(grams("powdered pectin", "", "1 package"), 50);
  EXPECT_DOUBLE_EQ(grams("green chili", "", "1 piece"), 45);
  EXPECT_DOUBLE_EQ(grams("green chili", "chopped", "1 cup"), 150);
}

}  // namespace
}  // namespace maslin::formula
