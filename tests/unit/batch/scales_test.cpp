// Two scales on one bench, a vessel that is known, and what no scale carries at once.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "evening.hpp"

namespace maslin::batch {
namespace {

using testing::HasSubstr;
using testing::Not;

// Two scales on one bench: the fine one judges what the coarse one cannot.
TEST(TwoScales, ASmallIngredientIsPlannedForTheFineScaleAndWeighedThere) {
  Evening evening;
  evening.add_fine_scale();
  evening.begin();
  evening.put(400);
  evening.pour(320);
  evening.say("ok");
  for (const char* name : {"sweet pepper", "cider vinegar", "sugar"})
    evening.pour(evening.aim_g(name));
  ASSERT_EQ(evening.waits_for(), "table salt");
  EXPECT_EQ(evening.planned("table salt").role, "fine");
  evening.use_fine_scale();
  evening.put(60);  // a small bowl
  evening.pour(evening.aim_g("table salt"), 3);
  EXPECT_EQ(evening.verdict("table salt"), "within");
  EXPECT_LT(evening.all<proto::Weighing>().back().standard_uncertainty_ug, 400'000);
}

TEST(TwoScales, TheBatchFollowsWhicheverScaleTheCookUses) {
  Evening evening;
  evening.add_fine_scale();
  evening.begin();
  evening.put(400);
  evening.pour(320);
  evening.say("ok");
  ASSERT_EQ(evening.planned("sweet pepper").role, "bench");
  evening.use_fine_scale();
  evening.put(60);
  evening.pour(evening.aim_g("sweet pepper"));
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_EQ(evening.all<proto::Weighing>().back().device, evening.fine_device());
}

// A scale that shows too much by its calibration: what counts is what lies on it.
TEST(CalibratedScale, ItsIndicationsAreCorrectedAndItsNetsAreKnownBetter) {
  const auto weighed = [](std::optional<proto::ScaleCalibration> known) {
    Evening evening;
    evening.start.devices.front().calibration = known;
    evening.begin();
    evening.put(404);
    evening.pour(323.2);  // shown for 320 g
    evening.say("ok");
    return evening.all<proto::Weighing>().back();
  };
  const auto plain = weighed(std::nullopt);
  const auto calibrated = weighed(proto::ScaleCalibration{.interval_ug = 1'000'000,
                                                          .slope = 1.01,
                                                          .applied = true,
                                                          .span_uncertainty = 0.0005,
                                                          .heaviest_ug = 1'000'000'000,
                                                          .loads = 2});
  EXPECT_NEAR(static_cast<double>(plain.net_ug), 323e6, 0.6e6);
  EXPECT_NEAR(static_cast<double>(calibrated.net_ug), 320e6, 0.6e6);
  EXPECT_LT(calibrated.standard_uncertainty_ug, plain.standard_uncertainty_ug);
}

// What was advised, and "it agrees" where that condition was found.
std::string found(const Evening& evening, const std::string& condition) {
  std::string said;
  for (const auto& cue : evening.all<proto::Cue>()) {
    if (cue.id == "advice") said += cue.text;
  }
  for (const auto& one : evening.all<proto::Condition>()) {
    if (one.what == condition) said += "it agrees";
  }
  return said;
}

// A bowl that goes from the bench scale to the fine one, which shows so much of it.
std::string carried(double bench_g, double fine_g) {
  Evening evening;
  evening.add_fine_scale();
  evening.begin();
  evening.put(bench_g);
  evening.empty_pan();
  evening.use_fine_scale();
  evening.put(fine_g);
  return found(evening, "the vessel weighs the same on both scales");
}

TEST(TwoScales, ABowlThatIsCarriedOverShowsWhetherTheyAgree) {
  EXPECT_EQ(carried(400, 400.4), "it agrees");
  EXPECT_THAT(carried(400, 396), HasSubstr("it weighed 400 g there and weighs 396.0 g here"));
  EXPECT_EQ(carried(400, 60), "");  // another bowl
}

// A scale that cannot carry the vinegar and its bowl at once.
class Portions : public ::testing::Test {
 protected:
  void begin(std::int64_t carries_g) {
    evening.start.devices[0].description.capacity_ug = carries_g * 1'000'000;
    evening.begin();
    evening.put(200);
    evening.pour(320);
    evening.say("ok");
    evening.empty_pan();
    evening.put(200);  // the bowl, emptied into the pot
    evening.pour(evening.aim_g("sweet pepper"));
    ASSERT_EQ(evening.waits_for(), "cider vinegar");
    evening.empty_pan();
    evening.put(200);
  }
  void empty_the_bowl(double stays_g = 0) {
    evening.empty_pan();
    evening.put(200 + stays_g);
  }
  std::string last() const { return evening.all<proto::Cue>().back().text; }
  Evening evening;
};

TEST_F(Portions, WhatTheScaleCannotCarryAtOnceIsWeighedInPortionsAndJudgedAsOne) {
  begin(520);
  const double aim = evening.aim_g("cider vinegar");
  evening.pour(std::ceil(aim / 2));
  EXPECT_THAT(last(), HasSubstr("Empty the bowl where it goes and put it back. Then"));
  EXPECT_EQ(evening.verdict("cider vinegar"), "none");
  empty_the_bowl();
  evening.pour(aim - std::ceil(aim / 2));
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
  EXPECT_NEAR(evening.weighed_g("cider vinegar"), aim, 1);
  EXPECT_EQ(evening.all<proto::Weighing>().back().how, "in portions");
  EXPECT_EQ(evening.waits_for(), "sugar");
}

// Before the vessel is on nobody knows that its vinegar does not fit.
TEST_F(Portions, AreToldOnceTheVesselIsOn) {
  begin(520);
  EXPECT_THAT(last(), HasSubstr("is the tare. "));
  EXPECT_THAT(last(), HasSubstr("In portions, since the scale carries 520 g: first "));
}

TEST_F(Portions, WhatStaysInTheBowlIsPouredAgain) {
  begin(520);
  const double aim = evening.aim_g("cider vinegar");
  evening.pour(std::ceil(aim / 2));
  empty_the_bowl(15);
  EXPECT_THAT(last(), HasSubstr("the same bowl, with 15 g cider vinegar left in it?"));
  evening.say("ok");
  evening.pour(aim - std::ceil(aim / 2));
  EXPECT_EQ(evening.waits_for(), "cider vinegar") << "fifteen grams are not in the pot";
  evening.pour(15);
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
  EXPECT_EQ(evening.waits_for(), "sugar");
}

TEST_F(Portions, TooMuchInTheLastPortionIsOverLikeAnyOther) {
  begin(520);
  const double aim = evening.aim_g("cider vinegar");
  evening.pour(std::ceil(aim / 2));
  empty_the_bowl();
  evening.pour(aim - std::ceil(aim / 2) + 80);
  EXPECT_EQ(evening.verdict("cider vinegar"), "over");
  evening.take_out(80);
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
}

TEST_F(Portions, WhatFitsIsAskedForAtOnce) {
  begin(5000);
  EXPECT_THAT(last(), Not(HasSubstr("portions")));
}

// The cook's own bowl, known to weigh 400 g, on a scale that shows so much of it.
std::string known_bowl(double shown_g) {
  Evening evening;
  evening.start.facts.vessel_g = 400;
  evening.begin();
  evening.put(shown_g);
  return found(evening, "the known vessel weighs what it should");
}

TEST(KnownVessel, ChecksTheScaleBeforeAnythingIsWeighed) {
  EXPECT_EQ(known_bowl(400), "it agrees");
  EXPECT_THAT(known_bowl(394), HasSubstr("The known vessel, 400 g, shows 394 g"));
  EXPECT_EQ(known_bowl(250), "");  // another one
}

}  // namespace
}  // namespace maslin::batch
