// Masses of household amounts, the built-in table and the help with mistyped names.
#include "daemon/formula/foods.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <set>

#include "daemon/formula/values.hpp"
#include "proto/nearest.hpp"

namespace maslin::formula {
namespace {

using quantity::Cups;
using quantity::parse_amount;

Ingredient of_table(std::string_view name, std::string_view form = {}) {
  Ingredient ingredient;
  ingredient.name = name;
  ingredient.weighs = table_weights(*find_food(name), form);
  return ingredient;
}
std::int64_t grams_of(const Ingredient& ingredient, std::string_view amount) {
  return mass_of(ingredient, parse_amount(amount).value(), Cups::us_customary).value() / 1'000'000;
}

TEST(MassOf, TakesTheVeryMeasureBeforeAnyOther) {
  // A teaspoon of sugar is 4.2 g by its own row, 4.17 g by the cup's.
  EXPECT_EQ(mass_of(of_table("sugar"), parse_amount("1 tsp").value(), Cups::us_customary).value(),
            4'200'000);
}

TEST(MassOf, GoesByVolumeWhereTheMeasureHasNoRow) {
  EXPECT_EQ(grams_of(of_table("sugar"), "1 pint"), 400);
  EXPECT_EQ(grams_of(of_table("onion", "chopped"), "1/4 cup"), 40);
}

TEST(MassOf, CountsPiecesInTheirSize) {
  EXPECT_EQ(grams_of(of_table("onion", "medium"), "3 pieces"), 330);
  EXPECT_EQ(grams_of(of_table("jalapeno"), "3 pieces"), 42);
  EXPECT_EQ(grams_of(of_table("powdered pectin"), "1/2 package"), 25);
}

TEST(MassOf, NeverGuessesASize) {
  const auto answer =
      mass_of(of_table("onion"), parse_amount("3 pieces").value(), Cups::us_customary);
  ASSERT_FALSE(answer.has_value());
  EXPECT_NE(answer.error().todo.find("weighs = \"1 piece = ... g\""), std::string::npos);
}

TEST(MassOf, StatedMassNeedsNoTable) { EXPECT_EQ(grams_of(Ingredient{}, "1 lb"), 453); }

TEST(Foods, HaveOneNameEachAndPortions) {
  std::set<std::string_view> names;
  for (const Food& food : foods()) {
    EXPECT_TRUE(names.insert(food.name).second) << food.name;
    const bool any = std::any_of(portions().begin(), portions().end(),
                                 [&](const Portion& p) { return p.ndb == food.ndb; });
    EXPECT_TRUE(any) << food.name;
  }
  EXPECT_EQ(find_food("sweet pepper"), nullptr);  // which of three is not for the table to guess
}

TEST(Nearest, FindsTheSlipOfTheHand) {
  const std::vector<std::string> names{"name", "amount", "counts_as", "band"};
  EXPECT_EQ(proto::nearest("amuont", names), "amount");
  EXPECT_EQ(proto::nearest("counts", names), "counts_as");
  EXPECT_EQ(proto::nearest("BAND", names), "band");
  EXPECT_EQ(proto::nearest("temperature", names), "");
  EXPECT_EQ(proto::nearest("", names), "");
  EXPECT_EQ(proto::nearest(std::string(100'000, 'x'), names), "");
}

TEST(Values, ReadTemperaturesAndDifferences) {
  EXPECT_EQ(parse_temperature("85 °C").value(), 358'150);
  EXPECT_EQ(parse_temperature("185 °F").value(), 358'150);
  EXPECT_FALSE(parse_temperature("85 C").has_value());
  EXPECT_FALSE(parse_temperature("400 °C").has_value());
  EXPECT_EQ(parse_difference("8 °F").value(), 4'444);
  EXPECT_EQ(parse_difference("4.5 K").value(), 4'500);
  EXPECT_FALSE(parse_difference("0 K").has_value());
}

TEST(Values, ReadRowsOfABathAsTheyArePrinted) {
  EXPECT_EQ(parse_bath_row("10 min to 1000 ft").value().to_ft, 1000);
  EXPECT_EQ(parse_bath_row("10 min to 1000 ft").value().minutes, 10);
  EXPECT_EQ(parse_bath_row("15 min above").value().to_ft, std::nullopt);
  for (const std::string_view wrong : {"10 min", "10 to 1000 ft", "0 min to 1000 ft", "to", ""}) {
    EXPECT_FALSE(parse_bath_row(wrong).has_value()) << wrong;
  }
}

}  // namespace
}  // namespace maslin::formula
