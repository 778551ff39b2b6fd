// Facts as they are typed: numbers with the units that a label or a ruler has.
#include "client/facts.hpp"

#include <gmock/gmock.h>

#include "client/show.hpp"
#include "proto/json.hpp"

namespace maslin::client {
namespace {

using testing::HasSubstr;

const FactOption& option(std::string_view name) {
  for (const auto& one : fact_options()) {
    if (name == one.option) return one;
  }
  ADD_FAILURE() << name;
  return fact_options().front();
}
std::string typed(std::string_view name, const std::string& text) {
  const auto member = fact_member(option(name), text);
  return member ? *member : "refused: " + member.error();
}

TEST(TypedFacts, TakeTheUnitsOfTheLabel) {
  EXPECT_EQ(typed("--vinegar", "5 %"), "\"vinegar_pct\":5");
  EXPECT_EQ(typed("--vinegar", "50 grain"), "\"vinegar_pct\":5");
  EXPECT_EQ(typed("--package", "49 g"), "\"pectin_package_g\":49");
  EXPECT_EQ(typed("--jar", "0.25 L"), "\"jar_ml\":250");
  EXPECT_EQ(typed("--jar", "half-pint"), "\"jar_ml\":236.5882365");
  EXPECT_EQ(typed("--jar", "1/2 pint"), typed("--jar", "half-pint"));
  EXPECT_EQ(typed("--jar", "Pints"), typed("--jar", "1 pint"));
  EXPECT_EQ(typed("--jar", "quart jars"), typed("--jar", "2 pint"));
  EXPECT_EQ(typed("--package", "49"), "\"pectin_package_g\":49");
  EXPECT_EQ(typed("--pan", "10 in"), "\"pan_cm\":25.4");
  EXPECT_EQ(typed("--pan-metal", "stainless steel"), "\"pan_metal\":\"stainless steel\"");
  EXPECT_EQ(typed("--lids", "6"), "\"lids\":6");
}

// NIST Handbook 44, Appendix C: avoirdupois ounce 28.349 523 125 g, liquid pint 473.176 473 mL.
TEST(TypedFacts, ConvertExactly) {
  EXPECT_EQ(typed("--package", "1 oz"), "\"pectin_package_g\":28.349523125");
  EXPECT_EQ(typed("--jar", "1 pint"), "\"jar_ml\":473.176473");
}

TEST(TypedFacts, SayWhatToWriteInstead) {
  EXPECT_EQ(typed("--package", "a bag"), "refused: write a number with one of: g oz");
  EXPECT_EQ(typed("--jar", "250 oz"), "refused: write a number with one of: mL L pint cup cups");
  EXPECT_EQ(typed("--lids", "2.5"), "refused: write a whole number");
  EXPECT_EQ(typed("--jar", "1/0 pint"), "refused: write a number with one of: mL L pint cup cups");
  EXPECT_EQ(typed("--jar", "250"), "refused: write its unit too, one of: mL L pint cup cups");
  EXPECT_EQ(typed("--pan", "24"), "refused: write its unit too, one of: cm in");
  EXPECT_FALSE(lot_element("L1234").has_value());
  EXPECT_EQ(*lot_element("cider vinegar=L1234"), "{\"of\":\"cider vinegar\",\"lot\":\"L1234\"}");
}

TEST(TypedFacts, AreForgottenByTheirNames) {
  EXPECT_EQ(*forgotten("vinegar"), "\"vinegar_pct\":null");
  EXPECT_EQ(*forgotten("--pectin"), "\"pectin\":\"\"");
  EXPECT_EQ(*forgotten("learned"), "\"learned\":null");
  EXPECT_FALSE(forgotten("cellar").has_value());
}

TEST(KeptFacts, WhatWasLearnedIsForgottenAsAWhole) {
  proto::Facts known;
  known.lots = {{"vinegar", "A"}};
  known.learned = {{"stop delay", "", 1200, 100, 4}};
  const auto changed = proto::merged(known, R"({"learned":null,"jars":3})");
  ASSERT_TRUE(changed.has_value());
  EXPECT_TRUE(changed->learned.empty());
  EXPECT_EQ(changed->lots, known.lots);
  EXPECT_EQ(changed->jars, 3);
}

TEST(KeptFacts, ALotStandsInForTheOneOfTheSameThingAndTheOthersStay) {
  proto::Facts known;
  known.lots = {{"vinegar", "A"}, {"sugar", "B"}};
  const auto changed = proto::merged(known, R"({"lots":[{"of":"vinegar","lot":"C"}]})");
  ASSERT_TRUE(changed.has_value());
  EXPECT_EQ(changed->lots, (std::vector<proto::Lot>{{"sugar", "B"}, {"vinegar", "C"}}));
  EXPECT_EQ(proto::merged(known, R"({"lots":[{"of":"sugar","lot":""}]})")->lots.size(), 1u);
  EXPECT_TRUE(proto::merged(known, R"({"lots":null,"jars":4})")->lots.empty());
  EXPECT_EQ(proto::merged(known, R"({"vinegar_pct":5})")->lots.size(), 2u);
}

TEST(FactsScreen, ShowsWhatIsToldAndWhatIsNot) {
  proto::Facts facts;
  facts.vinegar_pct = 5;
  facts.lots = {{"cider vinegar", "L1234"}};
  const auto text = show(facts);
  EXPECT_THAT(text, HasSubstr("vinegar       5 %"));
  EXPECT_THAT(text, HasSubstr("lids          -"));
  EXPECT_THAT(text, HasSubstr("L1234"));
}

}  // namespace
}  // namespace maslin::client
