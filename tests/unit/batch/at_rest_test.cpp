// The number at rest and its verdict, before anything is booked; what sticks in a vessel; and what
// goes on around the scale.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "evening.hpp"

namespace maslin::batch {
namespace {

using testing::HasSubstr;

class AtRest : public ::testing::Test {
 protected:
  void begin() {
    evening.begin();
    evening.put(400);
    evening.pour(320);
    evening.say("ok");  // the onion
  }
  // Seconds until a number at rest has its verdict.
  double judged_after_s(double most_s) {
    const auto before = evening.outcomes.size();
    for (double s = 0.1; s < most_s; s += 0.1) {
      evening.wait(0.1);
      for (auto i = before; i < evening.outcomes.size(); ++i) {
        const auto* progress = std::get_if<proto::Progress>(&evening.outcomes[i]);
        if (progress != nullptr && progress->at_rest && !progress->verdict.empty()) {
          verdict = progress->verdict;
          return s;
        }
      }
    }
    return most_s;
  }
  int weighings() const { return static_cast<int>(evening.all<proto::Weighing>().size()); }
  Evening evening;
  std::string verdict;
};

TEST_F(AtRest, TheNumberIsJudgedBeforeItIsBooked) {
  begin();
  evening.pour_without_rest(evening.aim_g("sweet pepper"));
  EXPECT_LT(judged_after_s(6), 2.3);
  EXPECT_EQ(verdict, "within");
  EXPECT_EQ(weighings(), 1) << "only the onion is booked";
  evening.wait(4);
  EXPECT_EQ(weighings(), 2);
}

TEST_F(AtRest, TooLittleIsShownAsTooLittle) {
  begin();
  evening.pour_without_rest(evening.aim_g("sweet pepper") / 2);
  EXPECT_LT(judged_after_s(6), 2.3);
  EXPECT_EQ(verdict, "under");
}

TEST_F(AtRest, ANumberThatRepeatsItselfIsToldOnceMoreWhenItComesToRest) {
  begin();
  evening.pour_without_rest(40);
  evening.wait(6);
  const auto all = evening.all<proto::Progress>();
  ASSERT_GE(all.size(), 2u);
  EXPECT_TRUE(all.back().at_rest);
  EXPECT_EQ(all.back().verdict, "under");
}

// The vinegar's vessel came back with twelve grams in it, twice, in batches before.
TEST_F(AtRest, WhatStuckBeforeWidensTheUncertaintyAndNoQualityVerdict) {
  proto::Learned honey;
  honey.what = "stuck";
  honey.of = "sugar";
  honey.times = 2;
  honey.value_ug = 12'000'000;
  evening.start.facts.learned.push_back(honey);
  begin();
  evening.pour(evening.aim_g("sweet pepper"));
  evening.pour(evening.aim_g("cider vinegar"));
  evening.pour(evening.aim_g("sugar"));
  EXPECT_EQ(evening.verdict("sugar"), "within");
  proto::Weighing sugar;
  for (const auto& one : evening.all<proto::Weighing>()) {
    if (one.ingredient == "sugar") sugar = one;
  }
  EXPECT_EQ(sugar.sticking_ug, 12'000'000);
  EXPECT_GT(sugar.standard_uncertainty_ug, 6'500'000);
}

TEST_F(AtRest, WhatAVesselCameBackWithIsLearned) {
  begin();
  evening.empty_pan();
  evening.put(150);
  evening.pour(evening.aim_g("sweet pepper"));
  evening.empty_pan();
  evening.put(156);  // emptied elsewhere, six grams left in it
  evening.say("ok");
  const auto& learned = evening.engine.learned();
  const auto stuck = std::find_if(learned.begin(), learned.end(),
                                  [](const auto& one) { return one.what == "stuck"; });
  ASSERT_NE(stuck, learned.end());
  EXPECT_EQ(stuck->of, "sweet pepper");
  EXPECT_NEAR(static_cast<double>(stuck->value_ug) / 1e6, 6, 1.1);
}

// A door falls shut: the scale jumps by some grams for a second, again and again.
TEST_F(AtRest, ADoorThatSlamsBooksNothingAndJudgesNothingWrong) {
  begin();
  const double aim_g = evening.aim_g("sweet pepper");
  evening.pour(aim_g / 2);
  for (int i = 0; i < 5; ++i) {
    for (const double g : {25.0, -18.0, 11.0, -6.0, 3.0}) evening.shake(g);
    evening.wait(9);
  }
  EXPECT_EQ(weighings(), 1);
  evening.pour(aim_g / 2);
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_NEAR(evening.weighed_g("sweet pepper"), aim_g, 1.1);
}

// A fan moves the pan by a gram up and down for two minutes.
TEST_F(AtRest, AFanKeepsTheScaleFromRestAndNothingIsBookedWrong) {
  begin();
  const double aim_g = evening.aim_g("sweet pepper");
  evening.pour_without_rest(aim_g);
  for (int i = 0; i < 600; ++i) evening.shake(i % 2 == 0 ? 6 : -6);
  EXPECT_EQ(weighings(), 1) << "only the onion";
  evening.wait(6);
  EXPECT_NEAR(evening.weighed_g("sweet pepper"), aim_g, 1.1);
}

// The cook takes the vinegar for the pepper: nothing is called good, and it goes out again.
TEST_F(AtRest, TheWrongIngredientInTheVesselIsOverAndCanBeTakenOut) {
  begin();
  const double aim_g = evening.aim_g("sweet pepper");
  evening.pour(evening.aim_g("cider vinegar"));
  EXPECT_EQ(evening.verdict("sweet pepper"), "over");
  EXPECT_EQ(evening.waits_for(), "sweet pepper");
  evening.take_out(evening.aim_g("cider vinegar"));
  evening.pour(aim_g);
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_NEAR(evening.weighed_g("sweet pepper"), aim_g, 1.1);
}

// Two full vessels change places on one scale: what came is no pour, and nothing is booked of it.
TEST_F(AtRest, TwoVesselsThatChangePlacesAreNoPour) {
  begin();
  const double aim_g = evening.aim_g("sweet pepper");
  evening.pour(aim_g / 2);
  evening.empty_pan();
  evening.put(1800);  // another pot with something in it
  EXPECT_EQ(evening.waits_for(), "sweet pepper");
  for (const auto& one : evening.all<proto::Verdict>()) {
    if (one.ingredient == "sweet pepper") {
      EXPECT_NE(one.verdict, "within");
    }
  }
  evening.empty_pan();
  evening.put(400 + 320 + aim_g / 2);  // and back
  evening.pour(aim_g / 2);
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_NEAR(evening.weighed_g("sweet pepper"), aim_g, 1.1);
}

}  // namespace
}  // namespace maslin::batch
