// What a cook reads first: the aim in cups, spoons and pieces.
#include <gtest/gtest.h>

#include "kitchen.hpp"

namespace maslin::plan {
namespace {

proto::Plan plan_of(const std::string& text, const proto::PlanRequest& request = {}) {
  const auto made = make(formula_of(text), request, kitchen());
  EXPECT_EQ(refusal(made), "");
  return made.value_or(proto::Plan{});
}

TEST(Spoons, WhatIsWrittenInCupsIsSaidAsWritten) {
  const auto plan = plan_of(std::string(kRelish));
  EXPECT_EQ(of(plan, "onion").kitchen, "2 cups");
  EXPECT_EQ(of(plan, "onion").form, "chopped");
  EXPECT_EQ(of(plan, "sugar").kitchen, "3/4 cup");
  EXPECT_EQ(of(plan, "sugar").cup_ug, 200 * kGram);
  EXPECT_EQ(plan.cups, "US customary");
}

TEST(Spoons, WhatIsWrittenInGramsIsSaidInCupsWhereItIsKnownWhatTheyWeigh) {
  const auto plan = plan_of(relish_with("3/4 cup", "150 g"));
  EXPECT_EQ(of(plan, "sugar").kitchen, "3/4 cup");
}

TEST(Spoons, NobodyKnowsTheCupOfAnythingElse) {
  const auto plan = plan_of(relish_with("[[ratio]]", R"([[ingredient]]
name = "pier spice"
amount = "40 g"
counts_as = "other"
band = "10 %"

[[ratio]])"));
  EXPECT_EQ(of(plan, "pier spice").kitchen, "");
  EXPECT_EQ(of(plan, "pier spice").cup_ug, 0);
}

TEST(Spoons, AnAimThatWasMovedOffItsLimitIsSaidAsItIsToBePoured) {
  const auto plan = plan_of(relish_with("least = \"0.8\"", "least = \"1.1\""));
  const auto& vinegar = of(plan, "cider vinegar");
  ASSERT_GT(static_cast<double>(vinegar.aim_ug), 1.01 * static_cast<double>(vinegar.nominal_ug));
  EXPECT_NE(vinegar.kitchen, "1 1/2 cups");
  EXPECT_TRUE(vinegar.kitchen.starts_with("1 1/2 cups and ")) << vinegar.kitchen;
}

TEST(Spoons, TheOrderOfUnitsIsThatOfTheRequestElseOfTheSettings) {
  EXPECT_EQ(plan_of(std::string(kRelish)).units, "kitchen");
  proto::PlanRequest request;
  request.units = "grams";
  EXPECT_EQ(plan_of(std::string(kRelish), request).units, "grams");
  request.units = "stones";
  EXPECT_NE(refusal(make(formula_of(kRelish), request, kitchen())), "");
}

}  // namespace
}  // namespace maslin::plan
