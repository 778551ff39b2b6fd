// Amounts are read exactly as a kitchen writes them and printed as a kitchen can follow them.
#include "daemon/quantity/household.hpp"

#include <gtest/gtest.h>

#include "daemon/quantity/atmosphere.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/kitchen.hpp"

namespace maslin::quantity {
namespace {

Amount amount(std::string_view text) { return parse_amount(text).value(); }
std::string what(std::string_view text) { return parse_amount(text).error().what; }

TEST(ParseAmount, ReadsFractionsExactly) {
  EXPECT_EQ(amount("1 1/3 cups"), (Amount{{4, 3}, Measure::cup}));
  EXPECT_EQ(amount("2/3 cup"), (Amount{{2, 3}, Measure::cup}));
  EXPECT_EQ(amount("1 1/2 tbsp"), (Amount{{3, 2}, Measure::tablespoon}));
  EXPECT_EQ(amount("3 pieces"), (Amount{{3, 1}, Measure::piece}));
  EXPECT_EQ(amount("1/2 package"), (Amount{{1, 2}, Measure::package}));
  EXPECT_EQ(amount("250 g"), (Amount{{250, 1}, Measure::gram}));
  EXPECT_EQ(amount("250g"), (Amount{{250, 1}, Measure::gram}));
  EXPECT_EQ(amount("4 oz"), (Amount{{4, 1}, Measure::ounce}));
  EXPECT_EQ(amount("1.25 Teaspoons"), (Amount{{5, 4}, Measure::teaspoon}));
  EXPECT_EQ(amount("8 fl oz"), (Amount{{8, 1}, Measure::fluid_ounce}));
  EXPECT_EQ(amount("250 mL"), (Amount{{250, 1}, Measure::millilitre}));
}

TEST(ParseAmount, ReadsTheFractionsOfKitchenType) {
  EXPECT_EQ(amount("½ cup"), (Amount{{1, 2}, Measure::cup}));
  EXPECT_EQ(amount("1⅓ cups"), (Amount{{4, 3}, Measure::cup}));
  EXPECT_EQ(amount("2 ¾ cups"), (Amount{{11, 4}, Measure::cup}));
  EXPECT_EQ(amount("⅔ cup"), (Amount{{2, 3}, Measure::cup}));
  EXPECT_EQ(amount("¼ tsp"), (Amount{{1, 4}, Measure::teaspoon}));
  EXPECT_EQ(amount("⅛ tsp"), (Amount{{1, 8}, Measure::teaspoon}));
}

TEST(ParseAmount, SaysWhatIsWrongAndHowItIsWritten) {
  EXPECT_NE(what("0 cups").find("is zero"), std::string::npos);
  EXPECT_NE(what("-1 cup").find("below zero"), std::string::npos);
  EXPECT_NE(what("3").find("no measure"), std::string::npos);
  EXPECT_NE(what("3 handfuls").find("\"handfuls\" is no measure"), std::string::npos);
  EXPECT_NE(what("some sugar").find("does not begin with a number"), std::string::npos);
  EXPECT_NE(what("").find("does not begin with a number"), std::string::npos);
  EXPECT_NE(what("1/0 cup").find("does not begin with a number"), std::string::npos);
  EXPECT_NE(what("1 2 cups").find("does not begin"), std::string::npos);
  EXPECT_NE(what("1,5 cups").find("has a comma"), std::string::npos);
  EXPECT_NE(what("999999999999999999999 g").find("too long"), std::string::npos);
  EXPECT_NE(what("200000 kg").find("more than any kitchen"), std::string::npos);
  EXPECT_NE(parse_amount("3").error().todo.find("\"1 1/3 cups\""), std::string::npos);
}

TEST(ParseAmount, ReadsBackWhatItPrints) {
  for (const std::string_view written :
       {"1 1/3 cups", "2/3 cup", "3 pieces", "1 piece", "1/2 package", "250 g", "1.5 kg", "4 oz",
        "1/8 tsp", "2 1/2 tbsp"}) {
    EXPECT_EQ(text(amount(written)), written);
  }
}

TEST(Cups, AreNotAllTheSame) {
  EXPECT_EQ(millilitres(Measure::cup, Cups::metric), (Rational{250, 1}));
  EXPECT_EQ(millilitres(Measure::cup, Cups::us_label), (Rational{240, 1}));
  EXPECT_EQ(millilitres(Measure::pint, Cups::metric), std::nullopt);
  EXPECT_EQ(millilitres(Measure::gram, Cups::metric), std::nullopt);
  EXPECT_EQ(cups_named("US customary"), Cups::us_customary);
  EXPECT_EQ(cups_named("imperial"), std::nullopt);
}

std::string scaled(std::string_view text, double factor) {
  return kitchen_text(amount(text), factor, Cups::us_customary);
}

TEST(KitchenText, KeepsWhatIsAMarkOnTheCup) {
  EXPECT_EQ(scaled("1 1/3 cups", 2.0), "2 2/3 cups");
  EXPECT_EQ(scaled("1 1/3 cups", 0.5), "2/3 cup");
  EXPECT_EQ(scaled("2 cups", 0.5), "1 cup");
  EXPECT_EQ(scaled("1/2 cup", 0.25), "2 tbsp");
  EXPECT_EQ(scaled("1 tbsp", 0.5), "1 1/2 tsp");
  EXPECT_EQ(scaled("1 tsp", 0.125), "1/8 tsp");
  EXPECT_EQ(scaled("1 quart", 2.0), "2 quarts");
}

TEST(KitchenText, AddsSpoonsBetweenTheMarks) {
  EXPECT_EQ(scaled("1 cup", 1.125), "1 cup and 2 tbsp");
  EXPECT_EQ(scaled("1 cup", 0.3875), "1/3 cup and 1 tbsp");  // and never 3 tsp
  EXPECT_EQ(scaled("1/4 cup", 0.8333333), "3 tbsp and 1 tsp");
}

TEST(KitchenText, CallsWhatIsNearScantOrGenerous) {
  EXPECT_EQ(scaled("1/2 cup", 0.97), "a scant 1/2 cup");
  EXPECT_EQ(scaled("1/2 cup", 1.03), "a generous 1/2 cup");
}

TEST(KitchenText, HasNoDigitsThatNobodyCanMeasure) {
  EXPECT_EQ(scaled("3 pieces", 1.5), "4 1/2 pieces");
  EXPECT_EQ(scaled("3 pieces", 1.47), "about 4 1/2 pieces");
  EXPECT_EQ(scaled("1/2 package", 1.25), "5/8 package");
  EXPECT_EQ(scaled("250 g", 1.33333), "333 g");
  EXPECT_EQ(scaled("2.5 g", 1.33333), "3.33 g");
  EXPECT_EQ(scaled("1/8 tsp", 0.25), "a pinch");
  EXPECT_EQ(scaled("4 oz", 1.5), "6 oz");
}

// From one tablespoon up what is said lies within 5 % of what is meant.
TEST(KitchenText, StaysNearOverTheWholeRange) {
  const double tsp = value(*millilitres(Measure::teaspoon, Cups::us_customary));
  for (double factor = 1.0; factor < 400.0; factor *= 1.0137) {
    std::string said = scaled("1 tbsp", factor);
    for (const std::string_view word : {"a scant ", "a generous "}) {
      if (said.starts_with(word)) said.erase(0, word.size());
    }
    double ml = 0;
    while (!said.empty()) {
      const auto cut = said.find(" and ");
      const Amount part = amount(said.substr(0, cut));
      ml += value(part.value) * value(*millilitres(part.measure, Cups::us_customary));
      said = cut == std::string::npos ? "" : said.substr(cut + 5);
    }
    EXPECT_NEAR(ml / tsp / 3.0 / factor, 1.0, 0.05) << factor << ": " << scaled("1 tbsp", factor);
  }
}

TEST(Grams, ShowWhatTheScaleShows) {
  EXPECT_EQ(grams(640'000'000, 1'000'000), "640 g");
  EXPECT_EQ(grams(640'000'000, 100'000), "640.0 g");
  EXPECT_EQ(grams(-12'500'000, 500'000), "-12.5 g");
  EXPECT_EQ(grams(640'123'456), "640 g");
  EXPECT_EQ(grams(6'440'000), "6.4 g");
  EXPECT_EQ(grams(440'000), "0.44 g");
  EXPECT_EQ(grams(5'000'000), "5 g");
}

TEST(Multiples, AreTakenOnTheRightSideOfZero) {
  EXPECT_EQ(nearest_multiple(15, 10), 20);
  EXPECT_EQ(nearest_multiple(-15, 10), -20);
  EXPECT_EQ(multiple_below(15, 10), 10);
  EXPECT_EQ(multiple_below(-15, 10), -20);
  EXPECT_EQ(multiple_above(15, 10), 20);
  EXPECT_EQ(multiple_above(-15, 10), -10);
  EXPECT_EQ(multiple_above(20, 10), 20);
}

TEST(Numbers, HaveNoZerosAtTheEnd) {
  EXPECT_EQ(plain(1.5, 3), "1.5");
  EXPECT_EQ(plain(2.0, 3), "2");
  EXPECT_EQ(plain(-0.0001, 2), "0");
  EXPECT_EQ(celsius(372'750), "99.6 °C");
}

TEST(StandardPressure, IsEmptyWhereNoKitchenStands) {
  EXPECT_TRUE(standard_pressure_pa(-430).has_value());
  EXPECT_FALSE(standard_pressure_pa(-431).has_value());
  EXPECT_FALSE(standard_pressure_pa(9001).has_value());
}

}  // namespace
}  // namespace maslin::quantity
