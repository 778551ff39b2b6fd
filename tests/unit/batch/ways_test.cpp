// Ways of working that are no plain pour, and what goes wrong at the counter: what the cook hears,
// what is recorded, and that nothing wrong is booked.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "evening.hpp"

namespace maslin::batch {
namespace {

using testing::HasSubstr;
using testing::Not;

class WaysTest : public ::testing::Test {
 protected:
  void SetUp() override {
    evening.begin();
    evening.put(400);
    evening.pour(320);
    evening.say("ok");  // the onion
  }
  void pepper() { evening.pour(evening.aim_g("sweet pepper")); }
  std::string last_how() const { return evening.all<proto::Weighing>().back().how; }
  std::string last_cue(const std::string& id) const {
    std::string text;
    for (const auto& cue : evening.all<proto::Cue>()) {
      if (cue.id == id) text = cue.text;
    }
    return text;
  }
  int weighings() const { return static_cast<int>(evening.all<proto::Weighing>().size()); }
  Evening evening;
};

TEST_F(WaysTest, APourIsRecordedAsOne) {
  pepper();
  EXPECT_EQ(last_how(), "poured into the vessel");
}

TEST_F(WaysTest, APressIsNoSecondPour) {
  const double aim_g = evening.aim_g("sweet pepper");
  evening.pour(aim_g / 2);
  evening.press(300, 2);
  evening.wait(6);
  evening.pour(aim_g / 2);
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_THAT(last_how(), HasSubstr("2 times"));
}

TEST_F(WaysTest, ScoopsAreRecordedAsScoops) {
  const double aim_g = evening.aim_g("sweet pepper");
  for (int i = 0; i < 4; ++i) evening.pour(aim_g / 4, 300);
  EXPECT_THAT(last_how(), HasSubstr("scooped into the vessel, 4 times"));
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
}

TEST_F(WaysTest, WhatWasTakenOutAgainIsRecorded) {
  evening.pour(evening.aim_g("sweet pepper") + 60);
  evening.take_out(60);
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_THAT(last_how(), HasSubstr("some taken out again"));
}

TEST_F(WaysTest, ABottleInTwoTripsIsOneWeighing) {
  pepper();
  evening.empty_pan();
  evening.put(900);  // the bottle
  const double aim_g = evening.aim_g("cider vinegar");
  evening.lift_and_pour_out(aim_g / 2);
  EXPECT_EQ(evening.verdict("cider vinegar"), "none");
  evening.lift_and_pour_out(aim_g / 2);
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
  EXPECT_EQ(last_how(), "taken from its vessel, 2 times");
}

TEST_F(WaysTest, ASpoonLaidOnThePanBelowTheBandIsNoFood) {
  evening.put(40);
  evening.take_out(40);
  EXPECT_EQ(weighings(), 1);  // the onion
  pepper();
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_NEAR(evening.weighed_g("sweet pepper"), evening.aim_g("sweet pepper"), 1.5);
}

TEST_F(WaysTest, ABumpIsNothing) {
  evening.press(300, 0.2);
  evening.wait(5);
  EXPECT_EQ(weighings(), 1);
}

TEST_F(WaysTest, AHandThatRestedInTheBandIsTakenBackWhenItLeaves) {
  const double aim_g = evening.aim_g("sweet pepper");
  evening.pour(aim_g - 40);
  evening.put_for(40, 5);  // the spoon is laid down until the tool says "good"
  EXPECT_EQ(evening.verdict("sweet pepper"), "under");
  EXPECT_EQ(evening.waits_for(), "sweet pepper");
  EXPECT_NEAR(evening.weighed_g("sweet pepper"), aim_g - 40, 1.5);
  evening.pour(40);
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_NEAR(evening.weighed_g("sweet pepper"), aim_g, 1.5);
  EXPECT_EQ(evening.waits_for(), "cider vinegar");
}

TEST_F(WaysTest, TwoIngredientsWithAShortRestBetweenAreDivided) {
  evening.pour_without_rest(evening.aim_g("sweet pepper"));
  evening.wait(2.6);
  evening.pour(evening.aim_g("cider vinegar"));
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
  EXPECT_NEAR(evening.weighed_g("sweet pepper"), evening.aim_g("sweet pepper"), 2);
  EXPECT_NEAR(evening.weighed_g("cider vinegar"), evening.aim_g("cider vinegar"), 2);
}

TEST_F(WaysTest, TwoIngredientsWithoutARestAreNeverBookedWhereALimitHangsOnThem) {
  evening.pour(evening.aim_g("sweet pepper") + evening.aim_g("cider vinegar"));
  EXPECT_EQ(evening.waits_for(), "sweet pepper");
  EXPECT_EQ(evening.verdict("cider vinegar"), "none");
  EXPECT_NE(evening.verdict("sweet pepper"), "within");
}

// Raisins in place of the salt: two ingredients that no limit hangs on come one after the other.
class TwoAtOnce : public ::testing::Test {
 protected:
  void SetUp() override {
    replace("table salt", "raisins");
    replace("amount = \"1 tbsp\"", "amount = \"150 g\"");
    replace("counts_as = \"salt\"", "counts_as = \"other\"");
    evening.begin();
    evening.put(400);
    evening.pour(320);
    evening.say("ok");
    for (const char* name : {"sweet pepper", "cider vinegar"}) evening.pour(evening.aim_g(name));
    ASSERT_EQ(evening.waits_for(), "sugar");
    ASSERT_FALSE(evening.by_measure("raisins"));
  }
  void replace(const std::string& from, const std::string& to) {
    auto& text = evening.start.formula_text;
    auto at = text.find(from);
    ASSERT_NE(at, std::string::npos) << from;
    for (; at != std::string::npos; at = text.find(from, at)) text.replace(at, from.size(), to);
  }
  Evening evening;
};

TEST_F(TwoAtOnce, AreAskedAboutAndBookedUndecidedAtTheCooksWord) {
  const double sum_g = evening.aim_g("sugar") + evening.aim_g("raisins");
  evening.pour(sum_g);
  EXPECT_EQ(evening.waits_for(), "sugar");
  EXPECT_THAT(evening.all<proto::Cue>().back().text,
              HasSubstr("as much as the sugar and the raisins together"));
  evening.say("ok");
  EXPECT_EQ(evening.verdict("sugar"), "undecided");
  EXPECT_EQ(evening.verdict("raisins"), "undecided");
  EXPECT_NEAR(evening.weighed_g("sugar") + evening.weighed_g("raisins"), sum_g, 1.5);
  EXPECT_NEAR(evening.weighed_g("raisins"), evening.aim_g("raisins"), 2);
  EXPECT_EQ(evening.waits_for(), "");
}

TEST_F(TwoAtOnce, TakenOutAgainTheFirstIsWeighedAlone) {
  const double raisins_g = evening.aim_g("raisins");
  evening.pour(evening.aim_g("sugar") + raisins_g);
  evening.take_out(raisins_g);
  EXPECT_EQ(evening.verdict("sugar"), "within");
  EXPECT_EQ(evening.waits_for(), "raisins");
}

TEST_F(WaysTest, AVesselEmptiedAndBackWithWhatStuckHasGivenTheRest) {
  evening.empty_pan();  // the onion's bowl
  evening.put(150);     // another one for the pepper
  pepper();
  const double full_g = evening.weighed_g("sweet pepper");
  evening.empty_pan();
  evening.put(156);
  EXPECT_THAT(last_cue("ask"), HasSubstr("with 6 g sweet pepper left in it?"));
  EXPECT_NEAR(evening.weighed_g("sweet pepper"), full_g, 0.1);
  evening.say("ok");
  EXPECT_NEAR(evening.weighed_g("sweet pepper"), full_g - 6, 1.5);
  EXPECT_TRUE(evening.all<proto::Weighing>().back().corrects);
  EXPECT_THAT(last_how(), HasSubstr("6 g stayed in its vessel"));
}

// It may be a similar vessel: without the cook's word nothing that was booked is changed.
TEST_F(WaysTest, ASimilarVesselAfterwardsChangesNothingWithoutAWord) {
  pepper();
  evening.empty_pan();
  evening.put(150);
  evening.pour(evening.aim_g("cider vinegar"));
  ASSERT_EQ(evening.waits_for(), "sugar");
  const int booked = weighings();
  evening.empty_pan();
  evening.put(162);  // a second jug
  EXPECT_EQ(evening.cues("ask"), 1);
  EXPECT_EQ(weighings(), booked);
  evening.pour(evening.aim_g("sugar"));
  EXPECT_EQ(weighings(), booked + 1);
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
  EXPECT_EQ(evening.verdict("sugar"), "within");
}

TEST_F(WaysTest, APourStoppedByTheTelephoneForTenMinutesGoesOnWhereItWas) {
  evening.pour(60);
  evening.wait(600);
  EXPECT_EQ(weighings(), 1);
  EXPECT_EQ(evening.waits_for(), "sweet pepper");
  evening.pour(evening.aim_g("sweet pepper") - 60);
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_NEAR(evening.weighed_g("sweet pepper"), evening.aim_g("sweet pepper"), 1.5);
}

TEST_F(WaysTest, AVesselThatNeverComesBackIsWaitedFor) {
  evening.pour(60);
  evening.empty_pan();
  evening.wait(3600);
  EXPECT_EQ(weighings(), 1);
  EXPECT_EQ(evening.waits_for(), "sweet pepper");
  EXPECT_EQ(evening.state(), "running");
}

TEST_F(WaysTest, AnotherBowlThanTheOneWeighedEmptyIsNeverGood) {
  evening.empty_pan();
  evening.put(150);
  evening.pour(30);
  evening.empty_pan();
  evening.put(620);  // far from 180
  EXPECT_EQ(evening.waits_for(), "sweet pepper");
  EXPECT_NE(evening.verdict("sweet pepper"), "within");
  evening.empty_pan();
  evening.put(180);  // the right one
  evening.pour(evening.aim_g("sweet pepper") - 30);
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_NEAR(evening.weighed_g("sweet pepper"), evening.aim_g("sweet pepper"), 1.5);
}

TEST_F(WaysTest, AVesselBackAfterSomethingWasEatenFromItSaysWhatIsMissing) {
  pepper();
  evening.lift_and_pour_out(35);
  EXPECT_EQ(evening.verdict("cider vinegar"), "none");
  EXPECT_THAT(last_cue("undecided") + last_cue("vessel_seen"), Not(testing::IsEmpty()));
}

TEST_F(WaysTest, AScaleThatShakesNeverBooksAnything) {
  // A washing machine: two grams up and down, twice a second.
  for (int i = 0; i < 300; ++i) {
    evening.shake(i % 4 < 2 ? 8 : -8);
  }
  EXPECT_EQ(weighings(), 1);
}

TEST_F(WaysTest, ACatOnThePanIsNoFood) {
  evening.put(3800);
  evening.wait(4);
  EXPECT_EQ(evening.waits_for(), "sweet pepper");
  EXPECT_NE(evening.verdict("sweet pepper"), "within");
  evening.take_out(3800);
  pepper();
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
}

TEST_F(WaysTest, ASlideOfTheZeroIsNeverAWeighing) {
  evening.wait(20);
  evening.slide(8, 0.08);  // a draught, steam, a warm table
  EXPECT_EQ(weighings(), 1);
  EXPECT_EQ(evening.cues("scale_slides"), 1);
  pepper();
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_NEAR(evening.weighed_g("sweet pepper"), evening.aim_g("sweet pepper"), 2.5);
}

// A trickle that is not counted: what is booked is no better known than that.
TEST_F(WaysTest, ASlideInMidPourIsNamedAndWidensTheUncertainty) {
  pepper();
  const auto usual = evening.all<proto::Weighing>().back().expanded_uncertainty_ug;
  evening.pour(100);
  evening.slide(12, 0.15);
  evening.wait(6);
  ASSERT_EQ(evening.cues("scale_slides"), 1);
  evening.pour(evening.aim_g("cider vinegar") - 100);
  EXPECT_THAT(last_how(), HasSubstr("a slide of "));
  EXPECT_GT(evening.all<proto::Weighing>().back().expanded_uncertainty_ug, usual + 6'000'000);
  EXPECT_NE(evening.verdict("cider vinegar"), "within");
  EXPECT_EQ(evening.waits_for(), "cider vinegar");
  evening.lift();
  EXPECT_EQ(evening.verdict("cider vinegar"), "within") << "the trickle is in";
  EXPECT_NEAR(evening.weighed_g("cider vinegar"), evening.aim_g("cider vinegar") + 12, 2);
}

// Nobody touches anything for so long, then the scale says nothing any more until it is woken.
void silent_after(Evening& evening, double seconds) {
  evening.wait(seconds);
  evening.give(proto::DeviceEvent{0, "silent", "no reading for 3 s"});
  evening.give(proto::DeviceEvent{0, "back", ""});
  evening.wait(6);
  evening.lift();
}

TEST_F(WaysTest, TheScaleSaysBeforeItFallsAsleepOnceItHasDoneSoTwice) {
  silent_after(evening, 100);
  silent_after(evening, 100);
  EXPECT_EQ(evening.cues("scale_sleeps"), 0);
  evening.wait(100);
  EXPECT_EQ(evening.cues("scale_sleeps"), 1);
  ASSERT_EQ(evening.engine.learned().size(), 1u);
  EXPECT_EQ(evening.engine.learned()[0].what, "asleep after");
  EXPECT_NEAR(static_cast<double>(evening.engine.learned()[0].value_ms), 100e3, 6e3);
}

TEST_F(WaysTest, AScaleThatNoStepUsesSaysNothingOfItsSleepBesideThePot) {
  silent_after(evening, 100);
  silent_after(evening, 100);
  while (evening.engine.status().phase == "weigh") {
    if (evening.by_measure(evening.waits_for())) {
      evening.say("ok");
    } else {
      evening.pour(evening.aim_g(evening.waits_for()));
    }
  }
  const int before = evening.cues("scale_sleeps");
  evening.wait(200);
  EXPECT_EQ(evening.engine.status().phase, "heat");
  EXPECT_EQ(evening.cues("scale_sleeps"), before);
}

TEST_F(WaysTest, OneDropOutIsNotTakenForASleep) {
  silent_after(evening, 100);
  silent_after(evening, 40);
  evening.wait(100);
  EXPECT_EQ(evening.cues("scale_sleeps"), 0);
  ASSERT_EQ(evening.engine.learned().size(), 1u);
  EXPECT_EQ(evening.engine.learned()[0].times, 1);
}

TEST_F(WaysTest, APourTeachesWhenToSayStop) {
  evening.pour(evening.aim_g("sweet pepper"), 40);
  ASSERT_FALSE(evening.engine.learned().empty());
  EXPECT_EQ(evening.engine.learned()[0].what, "stop delay");
  EXPECT_EQ(evening.engine.learned()[0].of, "");
  EXPECT_EQ(evening.engine.learned()[1].of, "sweet pepper");
}

}  // namespace
}  // namespace maslin::batch
