// The weighing operation as the cook meets it.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "evening.hpp"

namespace maslin::batch {
namespace {

class WeighTest : public ::testing::Test {
 protected:
  void SetUp() override {
    evening.begin();
    evening.put(400);  // the bowl: preparing is over
  }
  // Onion, and the plan is final.
  void onion(double grams = 320) {
    evening.pour(grams);
    evening.say("ok");
  }
  void weigh(const std::string& name) {
    ASSERT_EQ(evening.waits_for(), name);
    evening.pour(evening.aim_g(name));
  }
  Evening evening;
};

TEST_F(WeighTest, ABowlOnTheScaleEndsThePreparingAndTheLeadIsCalledFor) {
  EXPECT_EQ(evening.waits_for(), "onion");
  EXPECT_EQ(evening.cues("weigh"), 1);
}

TEST_F(WeighTest, TheLeadMakesThePlanFinalAndTheNextIsCalledFor) {
  onion(350);
  ASSERT_EQ(evening.all<proto::PlanFinal>().size(), 1u);
  EXPECT_NEAR(evening.all<proto::PlanFinal>()[0].plan.factor, 350.0 / 320.0, 0.01);
  EXPECT_FALSE(evening.all<proto::PlanFinal>()[0].plan.provisional);
  EXPECT_EQ(evening.waits_for(), "sweet pepper");
}

TEST_F(WeighTest, TheLeadIsAlsoDoneWhenItsVesselIsLifted) {
  evening.pour(320);
  evening.empty_pan();
  EXPECT_EQ(evening.verdict("onion"), "within");
  EXPECT_EQ(evening.waits_for(), "sweet pepper");
}

TEST_F(WeighTest, MoreOfTheLeadThanTheLargestTestedMultipleIsRefused) {
  evening.pour(700);
  EXPECT_GE(evening.cues("over"), 1);
  EXPECT_NE(evening.refusal("ok"), "");
  EXPECT_NE(evening.refusal("accept", "never mind"), "");
  evening.take_out(380);
  evening.say("ok");
  EXPECT_EQ(evening.verdict("onion"), "within");
}

TEST_F(WeighTest, AGoodPourIsWithinAndGoesOnByItself) {
  onion();
  weigh("sweet pepper");
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_EQ(evening.waits_for(), "cider vinegar");
}

TEST_F(WeighTest, NothingIsJudgedWhileItRuns) {
  onion();
  weigh("sweet pepper");
  const auto before = evening.all<proto::Verdict>().size();
  evening.pour(100, 2);  // a slow stream
  EXPECT_EQ(evening.all<proto::Verdict>().size(), before);
}

TEST_F(WeighTest, RestsBelowTheAimSayWhatIsMissingAndAreOneWeighing) {
  onion();
  weigh("sweet pepper");
  const double aim = evening.aim_g("cider vinegar");
  evening.pour(aim / 2);
  EXPECT_EQ(evening.cues("more"), 2);  // the onion's, and this
  EXPECT_EQ(evening.verdict("cider vinegar"), "none");
  evening.pour(aim / 2);
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
  EXPECT_NEAR(evening.weighed_g("cider vinegar"), aim, 2);
}

TEST_F(WeighTest, AStopComesBeforeTheAimOfAFastPour) {
  onion();
  weigh("sweet pepper");
  evening.pour(evening.aim_g("cider vinegar"), 40);
  EXPECT_GE(evening.cues("slow"), 1);
  EXPECT_GE(evening.cues("stop"), 1);
}

TEST_F(WeighTest, TooMuchIsSaidAndCanBeTakenOutAgain) {
  onion();
  weigh("sweet pepper");
  evening.pour(evening.aim_g("cider vinegar") * 1.25);
  EXPECT_EQ(evening.verdict("cider vinegar"), "over");
  EXPECT_EQ(evening.cues("over"), 1);
  EXPECT_EQ(evening.waits_for(), "cider vinegar");
  evening.take_out(evening.aim_g("cider vinegar") * 0.25);
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
  EXPECT_EQ(evening.waits_for(), "sugar");
}

TEST_F(WeighTest, TooMuchCanBeAcceptedWithAReasonAndIsADeviation) {
  onion();
  weigh("sweet pepper");
  evening.pour(evening.aim_g("cider vinegar") * 1.25);
  EXPECT_NE(evening.refusal("accept"), "");
  evening.say("accept", "more vinegar is safe");
  ASSERT_EQ(evening.all<proto::Deviation>().size(), 1u);
  EXPECT_FALSE(evening.all<proto::Deviation>()[0].critical);
  EXPECT_EQ(evening.waits_for(), "sugar");
}

TEST_F(WeighTest, TooMuchLowAcidFoodIsACriticalLimitAndHeldUntilItIsOut) {
  onion();
  const double aim = evening.aim_g("sweet pepper");
  evening.pour(aim * 1.4);
  EXPECT_EQ(evening.state(), "held");
  evening.take_out(aim * 0.4);
  EXPECT_EQ(evening.state(), "running");
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
}

TEST_F(WeighTest, TooLittleOfACriticalIngredientCannotBeLeft) {
  onion();
  weigh("sweet pepper");
  evening.pour(evening.aim_g("cider vinegar") * 0.7);
  EXPECT_NE(evening.refusal("ok"), "");
}

TEST_F(WeighTest, TooLittleOfAQualityIngredientCanBeLeftAndIsADeviation) {
  onion();
  weigh("sweet pepper");
  weigh("cider vinegar");
  evening.pour(evening.aim_g("sugar") * 0.8);
  evening.say("ok");
  EXPECT_EQ(evening.verdict("sugar"), "under");
  EXPECT_EQ(evening.all<proto::Deviation>().size(), 1u);
}

TEST_F(WeighTest, AnAcceptedExcessOfFoodIsMadeUpForWithAcidBeforeAnythingIsHeated) {
  onion();
  evening.pour(evening.aim_g("sweet pepper") * 2);
  evening.say("accept", "the children want it sweet");
  weigh("cider vinegar");
  EXPECT_EQ(evening.state(), "held");  // at once, before anything lies on it
  EXPECT_EQ(evening.engine.status().phase, "weigh");
  EXPECT_NE(evening.refusal("ok"), "");
  const auto more = evening.all<proto::Cue>().back();
  ASSERT_EQ(more.id, "more");
  EXPECT_EQ(more.ingredient, "cider vinegar");
  EXPECT_GT(more.amount_ug, 15'000'000);
  const double before = evening.weighed_g("cider vinegar");
  evening.pour(static_cast<double>(more.amount_ug) / 1e6 + 2);
  EXPECT_NEAR(evening.weighed_g("cider vinegar"),
              before + static_cast<double>(more.amount_ug) / 1e6 + 2, 2);
  EXPECT_EQ(evening.state(), "running");
  EXPECT_EQ(evening.waits_for(), "sugar");
}

TEST_F(WeighTest, WhatMendsARatioIsShownAsTheAddition) {
  onion();
  evening.pour(evening.aim_g("sweet pepper") * 2);
  evening.say("accept", "the children want it sweet");
  weigh("cider vinegar");
  const double add_g = static_cast<double>(evening.all<proto::Cue>().back().amount_ug) / 1e6;
  EXPECT_DOUBLE_EQ(evening.engine.status().aim_g, add_g);
  evening.pour(add_g / 2);
  const auto left = evening.all<proto::Cue>().back();
  ASSERT_EQ(left.id, "more");
  EXPECT_THAT(evening.engine.status().hold_ends_when,
              testing::HasSubstr("Add " + left.text.substr(0, left.text.find(" more"))));
}

TEST_F(WeighTest, ARatioThatIsAcceptedBeyondItsLimitIsACriticalDeviationAndNotAskedAgain) {
  onion();
  evening.pour(evening.aim_g("sweet pepper") * 2);
  evening.say("accept", "the children want it sweet");
  weigh("cider vinegar");
  evening.say("accept", "eaten tonight");
  EXPECT_TRUE(evening.all<proto::Deviation>().back().critical);
  weigh("sugar");
  evening.say("ok");
  EXPECT_EQ(evening.engine.status().phase, "heat");
}

TEST_F(WeighTest, WhatWasAddedIsBookedBeforeTheRestIsAccepted) {
  onion();
  evening.pour(evening.aim_g("sweet pepper") * 2);
  evening.say("accept", "the children want it sweet");
  weigh("cider vinegar");
  const double before = evening.weighed_g("cider vinegar");
  evening.pour(2);
  evening.pour_without_rest(12);
  EXPECT_NE(evening.refusal("accept", "the bottle is empty"), "");
  evening.wait(6);
  evening.say("accept", "the bottle is empty");
  EXPECT_NEAR(evening.weighed_g("cider vinegar"), before + 14, 1.5);
  EXPECT_EQ(evening.waits_for(), "sugar");
}

TEST_F(WeighTest, TooLittleOfTheVegetableIsNoCriticalLimitAndMayBeLeft) {
  onion();
  ASSERT_FALSE(evening.planned("sweet pepper").unsafe_under);
  evening.pour(evening.aim_g("sweet pepper") * 0.7);
  evening.say("ok");
  EXPECT_EQ(evening.waits_for(), "cider vinegar");
  EXPECT_FALSE(evening.all<proto::Deviation>().back().critical);
}

TEST_F(WeighTest, TheSameTapDoesNotConfirmTwoSteps) {
  onion();
  weigh("sweet pepper");
  weigh("cider vinegar");
  weigh("sugar");
  ASSERT_TRUE(evening.by_measure("table salt"));
  evening.say("ok");
  ASSERT_EQ(evening.engine.status().phase, "heat");
  EXPECT_THAT(evening.refusal("ok"), testing::HasSubstr("only just begun"));
  evening.give(proto::Command{"ok", ""});
  EXPECT_EQ(evening.engine.status().phase, "heat");
}

TEST_F(WeighTest, AnAmountThatIsStillMovingIsNotAccepted) {
  onion();
  weigh("sweet pepper");
  evening.pour(40);
  evening.pour_without_rest(30);
  EXPECT_NE(evening.refusal("accept", "enough"), "");
  evening.wait(6);
  EXPECT_EQ(evening.refusal("accept", "enough"), "");
  evening.say("accept", "enough");
  EXPECT_NEAR(evening.weighed_g("cider vinegar"), 70, 1.5);
  EXPECT_THAT(evening.all<proto::Cue>()[evening.all<proto::Cue>().size() - 3].text +
                  evening.all<proto::Cue>()[evening.all<proto::Cue>().size() - 2].text,
              testing::HasSubstr("left its critical limit"));
}

TEST_F(WeighTest, TheLeadIsNotForgottenOverARestart) {
  evening.pour(343);
  evening.now_ms += 20'000;
  evening.give(proto::Restart{"boot", 20'000, true});
  EXPECT_EQ(evening.all<proto::Cue>().back().id, "lift");
  evening.wait(6);
  EXPECT_NE(evening.refusal("ok"), "");  // the vessel is on: nothing may be taken for an empty pan
  evening.lift();
  evening.say("ok");
  EXPECT_NEAR(evening.weighed_g("onion"), 343, 1.5);
}

TEST_F(WeighTest, LiftingTheBowlAndBringingItBackChangesNothing) {
  onion();
  weigh("sweet pepper");
  evening.pour(evening.aim_g("cider vinegar") / 2);
  evening.lift();
  evening.pour(evening.aim_g("cider vinegar") / 2);
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
}

TEST_F(WeighTest, ALateSpoonfulBelongsToTheIngredientBefore) {
  onion();
  weigh("sweet pepper");
  weigh("cider vinegar");
  const double before = evening.weighed_g("cider vinegar");
  evening.pour(8);
  ASSERT_TRUE(evening.all<proto::Weighing>().back().corrects);
  EXPECT_NEAR(evening.weighed_g("cider vinegar"), before + 8, 1.5);
  EXPECT_EQ(evening.waits_for(), "sugar");
  weigh("sugar");
  EXPECT_EQ(evening.verdict("sugar"), "within");
}

// The vegetable is what a critical limit fears: a late spoonful takes it over its band, and it is
// an over-pour with its ways out, not a remark.
TEST_F(WeighTest, ALateSpoonfulOverTheBandIsAnOverPourWithItsWaysOut) {
  onion();
  const double most_g = static_cast<double>(evening.planned("sweet pepper").upper_ug) / 1e6;
  evening.pour(std::floor(most_g));
  ASSERT_EQ(evening.verdict("sweet pepper"), "within");
  ASSERT_EQ(evening.waits_for(), "cider vinegar");
  evening.pour(3);
  EXPECT_EQ(evening.verdict("sweet pepper"), "over");
  EXPECT_EQ(evening.waits_for(), "sweet pepper");
  EXPECT_EQ(evening.cues("over"), 1);
  EXPECT_NE(evening.engine.status().offer, "");
  evening.take_out(5);
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_EQ(evening.waits_for(), "cider vinegar");
  EXPECT_EQ(evening.state(), "running");
}

TEST_F(WeighTest, WhatIsTakenOutOfAMixedBowlIsNoIngredient) {
  onion();
  weigh("sweet pepper");
  evening.take_out(100);
  EXPECT_EQ(evening.verdict("cider vinegar"), "none");
  EXPECT_EQ(evening.cues("undecided"), 1);
  EXPECT_NE(evening.refusal("ok"), "");
  EXPECT_NE(evening.refusal("accept", "never mind"), "");
  evening.put(100);
  weigh("cider vinegar");
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
}

TEST_F(WeighTest, ASpoonfulTakenOutLateIsSubtracted) {
  onion();
  weigh("sweet pepper");
  weigh("cider vinegar");
  const double before = evening.weighed_g("cider vinegar");
  evening.take_out(8);
  ASSERT_TRUE(evening.all<proto::Weighing>().back().corrects);
  EXPECT_NEAR(evening.weighed_g("cider vinegar"), before - 8, 1.5);
}

// Two weighings in a row: the first small thing of the second is no late spoonful of the first.
TEST(LateSpoonful, IsNotTheFirstIngredientOfTheNextWeighing) {
  Evening evening;
  auto& text = evening.start.formula_text;
  const std::string order = "text = \"Weigh onion, pepper, vinegar, sugar and salt.\"\n";
  const auto at = text.find(order);
  ASSERT_NE(at, std::string::npos);
  text.insert(at + order.size(),
              "ingredients = [\"onion\", \"sweet pepper\", \"cider vinegar\"]\n\n[[operation]]\n"
              "kind = \"weigh\"\ningredients = [\"table salt\", \"sugar\"]\n");
  evening.start.devices[0].description.interval_ug = 100'000;
  evening.begin();
  evening.put(400);
  evening.pour(320);
  evening.say("ok");
  evening.pour(evening.aim_g("sweet pepper"));
  evening.pour(evening.aim_g("cider vinegar"));
  ASSERT_EQ(evening.waits_for(), "table salt");
  const double vinegar = evening.weighed_g("cider vinegar");
  evening.pour(evening.aim_g("table salt"), 10);
  EXPECT_DOUBLE_EQ(evening.weighed_g("cider vinegar"), vinegar);
  EXPECT_EQ(evening.waits_for(), "sugar");
}

// Vinegar comes last here, and what the sweet pepper took of its room was accepted by the cook.
TEST(LateSpoonful, OfTheLastIngredientThatBreaksARatioBringsTheWeighingBack) {
  Evening evening;
  const std::string order = "text = \"Weigh onion, pepper, vinegar, sugar and salt.\"\n";
  const auto at = evening.start.formula_text.find(order);
  ASSERT_NE(at, std::string::npos);
  evening.start.formula_text.insert(at + order.size(),
                                    "ingredients = [\"onion\", \"sweet pepper\", \"sugar\", "
                                    "\"table salt\", \"cider vinegar\"]\n");
  evening.begin();
  evening.put(400);
  evening.pour(320);
  evening.say("ok");
  evening.pour(evening.aim_g("sweet pepper") + 40);
  evening.say("accept", "it was all in one piece");
  evening.pour(evening.aim_g("sugar"));
  evening.say("ok");
  ASSERT_EQ(evening.waits_for(), "cider vinegar");
  evening.pour(evening.aim_g("cider vinegar"));
  ASSERT_EQ(evening.engine.status().phase, "heat");

  evening.take_out(16);
  EXPECT_EQ(evening.engine.status().phase, "weigh");
  EXPECT_EQ(evening.state(), "held");
  EXPECT_NE(evening.refusal("ok"), "");
  evening.pour(60);
  EXPECT_EQ(evening.engine.status().phase, "heat");
  EXPECT_EQ(evening.state(), "running");
}

TEST_F(WeighTest, ANoteIsARemarkAndNoFile) {
  EXPECT_EQ(evening.refusal("note", std::string(4096, 'x')), "");
  EXPECT_NE(evening.refusal("note", std::string(4097, 'x')), "");
}

TEST_F(WeighTest, AnOkInMidPourIsRefused) {
  evening.pour_without_rest(200);
  EXPECT_NE(evening.refusal("ok"), "");
}

TEST_F(WeighTest, ABowlThatComesBackAsItWasIsNotCalledEmpty) {
  evening.pour(320);
  evening.lift();  // the lead is done, and the bowl is back with the onion in it
  EXPECT_EQ(evening.waits_for(), "sweet pepper");
  EXPECT_THAT(evening.all<proto::Cue>().back().text, testing::HasSubstr("with what is in it"));
  evening.pour(evening.aim_g("sweet pepper") * 1.5);
  EXPECT_THAT(evening.all<proto::Cue>()[evening.all<proto::Cue>().size() - 2].text,
              testing::HasSubstr("lies on what was weighed before"));
}

TEST_F(WeighTest, TheUncertaintyHoldsAtLeastTheResolutionOfBothIndications) {
  onion();
  weigh("sweet pepper");
  const auto weighing = evening.all<proto::Weighing>().back();
  EXPECT_GE(weighing.standard_uncertainty_ug, 408'000);  // 1 g / sqrt(6)
  EXPECT_EQ(weighing.indications, 2);
}

TEST_F(WeighTest, AScaleLostInMidPourIsSaidAtOnceHeldAfterFiveSecondsAndEndsByItself) {
  onion();
  weigh("sweet pepper");
  evening.pour(100);
  evening.scale_lost(12, 50);
  EXPECT_EQ(evening.cues("scale_lost"), 1);
  ASSERT_EQ(evening.all<proto::Held>().size(), 1u);
  EXPECT_EQ(evening.all<proto::Held>()[0].reason, "device lost");
  EXPECT_EQ(evening.all<proto::Released>().size(), 1u);
  EXPECT_EQ(evening.cues("lift"), 1);
  evening.lift();
  evening.pour(evening.aim_g("cider vinegar") - 150);
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
  EXPECT_EQ(evening.all<proto::Weighing>().back().indications, 4);
}

TEST_F(WeighTest, AScaleThatShowsNothingAfterMoreIsAskedAboutOnce) {
  onion();
  weigh("sweet pepper");
  evening.pour(100);
  evening.wait(120);
  EXPECT_EQ(evening.cues("scale_stuck"), 1);
  evening.pour(evening.aim_g("cider vinegar") - 100);
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
}

TEST_F(WeighTest, ABottleThatGrowsLighterIsWeighedByWhatIsGone) {
  onion();
  weigh("sweet pepper");
  evening.empty_pan();  // the bowl goes aside
  evening.put(950);     // the bottle
  evening.lift_and_pour_out(evening.aim_g("cider vinegar"));
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
  EXPECT_EQ(evening.all<proto::Weighing>().back().how, "taken from its vessel");
}

TEST_F(WeighTest, ARestartWhileTheScaleIsAwayGoesOnWhenItIsBack) {
  onion();
  weigh("sweet pepper");
  evening.give(proto::DeviceEvent{0, "lost", "unplugged"});
  evening.wait_in_silence(6);
  EXPECT_EQ(evening.state(), "held");
  evening.give(proto::Restart{"boot", 10'000, true});
  EXPECT_TRUE(evening.engine.lost(0));
  evening.give(proto::DeviceEvent{0, "back", ""});
  EXPECT_FALSE(evening.engine.lost(0));
  EXPECT_EQ(evening.state(), "running");
}

TEST_F(WeighTest, AFaultOfTheScaleHoldsAndWhatCameMeanwhileIsKnownAfterALift) {
  onion();
  weigh("sweet pepper");
  evening.pour(100);
  evening.fault(4);
  EXPECT_EQ(evening.cues("scale_fault"), 1);
  EXPECT_EQ(evening.state(), "held");
  evening.wait(8);
  EXPECT_EQ(evening.state(), "running");
  EXPECT_EQ(evening.cues("lift"), 1);
  evening.lift();
  evening.pour(evening.aim_g("cider vinegar") - 100);
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
}

TEST_F(WeighTest, TheZeroKeyInMidPourNeverMixesTwoZeros) {
  onion();
  weigh("sweet pepper");
  evening.pour(100);
  evening.zero_key();
  EXPECT_EQ(evening.all<proto::ZeroEpoch>().size(), 1u);
  evening.pour(evening.aim_g("cider vinegar") - 100);
  EXPECT_EQ(evening.verdict("cider vinegar"), "none");
  evening.lift();
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
}

TEST_F(WeighTest, AHoldOfTheCookStopsTheStepAndNothingIsLost) {
  onion();
  weigh("sweet pepper");
  evening.say("hold", "door bell");
  const auto before = evening.all<proto::Verdict>().size();
  evening.pour(evening.aim_g("cider vinegar"));
  EXPECT_EQ(evening.all<proto::Verdict>().size(), before);
  EXPECT_NE(evening.refusal("accept", "x"), "");
  evening.say("resume");
  evening.wait(6);
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
}

// What went in by measure counts as planned: the plan keeps the ratio, and the report says that no
// weight confirms it.
TEST(WithoutAScale, EverythingGoesByMeasureAndNothingIsHeldForIt) {
  Evening evening;
  evening.start.devices.clear();
  evening.begin();
  evening.say("ok");  // prepared
  for (const char* name : {"onion", "sweet pepper", "cider vinegar", "sugar", "table salt"}) {
    ASSERT_EQ(evening.waits_for(), name);
    EXPECT_TRUE(evening.by_measure(name));
    evening.say("ok");
  }
  EXPECT_EQ(evening.state(), "running");
  EXPECT_EQ(evening.engine.status().phase, "heat");
  EXPECT_EQ(evening.cues("more"), 0);
}

}  // namespace
}  // namespace maslin::batch
