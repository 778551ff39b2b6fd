// The ladder out of an over-pour as the cook meets it: what is offered, what an ok does, what is
// recorded.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "daemon/plan/ratios.hpp"
#include "evening.hpp"

namespace maslin::batch {
namespace {

using testing::HasSubstr;
using testing::Not;

class OverPourTest : public ::testing::Test {
 protected:
  void begin() {
    evening.begin();
    evening.put(400);
    evening.pour(320);
    evening.say("ok");
  }
  void weigh(const std::string& name) {
    ASSERT_EQ(evening.waits_for(), name);
    evening.pour(evening.aim_g(name));
  }
  // In a larger batch there may be enough of it for the scale.
  void salt() {
    ASSERT_EQ(evening.waits_for(), "table salt");
    if (evening.by_measure("table salt")) {
      evening.say("ok");
    } else {
      evening.pour(evening.aim_g("table salt"), 3);
    }
  }
  std::string told() const {
    std::string text;
    for (const auto& cue : evening.all<proto::Cue>()) {
      if (cue.id == "over" || cue.id == "undecided") text = cue.text;
    }
    return text;
  }
  proto::WayOut way() const {
    const auto ways = evening.all<proto::WayOut>();
    EXPECT_FALSE(ways.empty());
    return ways.empty() ? proto::WayOut{} : ways.back();
  }
  static std::string refused(const proto::WayOut& way, const std::string& rung) {
    for (const auto& one : way.refused) {
      if (one.rung == rung) return one.blocked_by;
    }
    return "";
  }
  void replace(const std::string& from, const std::string& to) {
    auto& text = evening.start.formula_text;
    ASSERT_NE(text.find(from), std::string::npos) << from;
    text.replace(text.find(from), from.size(), to);
  }
  // Every critical ratio of the newest plan over what was weighed, with its guard.
  void expect_ratios_kept() {
    proto::Plan plan = evening.start.plan;
    for (const auto& final : evening.all<proto::PlanFinal>()) plan = final.plan;
    std::vector<plan::WeighedMass> masses;
    for (const auto& one : plan.ingredients) {
      for (const auto& weighing : evening.all<proto::Weighing>()) {
        if (weighing.ingredient != one.name) continue;
        std::erase_if(masses, [&](const auto& known) { return known.name == one.name; });
        masses.push_back({one.name, weighing.net_ug, weighing.standard_uncertainty_ug});
      }
    }
    for (const auto& ratio : plan.ratios) {
      const auto check = plan::check_ratio(ratio, masses, 0.02);
      EXPECT_EQ(check.state, plan::RatioState::satisfied) << check.margin_ug;
    }
  }
  Evening evening;
};

TEST_F(OverPourTest, WhatIsAloneInItsVesselIsTakenOutAndThatIsRecorded) {
  begin();
  weigh("sweet pepper");
  evening.empty_pan();
  evening.put(150);  // a jug
  evening.pour(evening.aim_g("cider vinegar") * 1.25);
  EXPECT_THAT(told(), HasSubstr("alone in its vessel: take 90 g out again"));
  EXPECT_THAT(told(), HasSubstr("Or say ok: "));
  evening.take_out(evening.aim_g("cider vinegar") * 0.25);
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
  EXPECT_EQ(way().rung, "taken out");
  EXPECT_EQ(evening.all<proto::PlanFinal>().size(), 1u);
}

TEST_F(OverPourTest, ALittleTooMuchVinegarIsLeftOnTheSafeSideWithOneOk) {
  begin();
  weigh("sweet pepper");
  evening.pour(evening.aim_g("cider vinegar") * 1.15);
  EXPECT_THAT(told(), HasSubstr("run into what was weighed before"));
  EXPECT_THAT(told(), HasSubstr("Say ok: leave it: more cider vinegar is on the safe side"));
  EXPECT_EQ(evening.verdict("cider vinegar"), "over");
  evening.say("ok");
  EXPECT_EQ(way().rung, "accepted");
  EXPECT_EQ(refused(way(), "taken out"), "mixed");
  EXPECT_FALSE(evening.all<proto::Deviation>().back().critical);
  EXPECT_EQ(evening.waits_for(), "sugar");
}

TEST_F(OverPourTest, TooMuchVegetableIsMadeUpForWithVinegarThatIsStillToCome) {
  replace("least = \"0.8\"", "least = \"0.88\"");
  replace("counts_as = \"low-acid food\"\nband = \"5 %\"",
          "counts_as = \"low-acid food\"\nband = \"30 %\"");
  begin();
  const auto planned = evening.planned("sweet pepper");
  ASSERT_LT(planned.accept_upper_ug + 4'000'000, planned.aim_ug * 13 / 10);
  const double before = evening.aim_g("cider vinegar");
  evening.pour(static_cast<double>(planned.accept_upper_ug) / 1e6 + 4);
  EXPECT_THAT(told(), HasSubstr("make up for it with "));
  EXPECT_THAT(told(), HasSubstr("more cider vinegar"));
  evening.say("ok");
  EXPECT_EQ(way().rung, "topped up");
  EXPECT_DOUBLE_EQ(way().factor, 1);
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_GT(evening.aim_g("cider vinegar"), before);
  weigh("cider vinegar");
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
  EXPECT_EQ(evening.waits_for(), "sugar");
  expect_ratios_kept();
}

TEST_F(OverPourTest, TooMuchSugarOnEverythingElseMakesALargerBatch) {
  begin();
  weigh("sweet pepper");
  weigh("cider vinegar");
  const double sugar = evening.aim_g("sugar") * 1.2;
  evening.pour(sugar);
  EXPECT_THAT(told(), HasSubstr("lies on what was weighed before"));
  EXPECT_THAT(told(), HasSubstr(" % larger"));
  EXPECT_THAT(told(), HasSubstr("chop "));
  EXPECT_EQ(evening.all<proto::PlanFinal>().size(), 1u) << "nothing is changed before the ok";
  EXPECT_THAT(evening.engine.status().offer, testing::StartsWith("make the batch "));
  evening.say("ok");
  ASSERT_EQ(evening.all<proto::PlanFinal>().size(), 2u);
  const auto taken = way();
  EXPECT_EQ(taken.rung, "larger batch");
  EXPECT_EQ(taken.ingredient, "sugar");
  EXPECT_NEAR(static_cast<double>(taken.net_ug) / 1e6, sugar, 2);
  EXPECT_NEAR(evening.all<proto::PlanFinal>().back().plan.factor, taken.factor, 1e-9);
  EXPECT_EQ(evening.verdict("sugar"), "within");
  EXPECT_EQ(evening.engine.status().offer, "");
  ASSERT_FALSE(taken.additions.empty());
  for (const auto& one : taken.additions) {
    ASSERT_EQ(evening.waits_for(), one.ingredient);
    evening.pour(static_cast<double>(one.add_ug) / 1e6, 5);
    EXPECT_EQ(evening.verdict(one.ingredient), "within");
  }
  EXPECT_EQ(evening.waits_for(), "table salt");
  EXPECT_EQ(evening.state(), "running");
  expect_ratios_kept();
  salt();
  EXPECT_EQ(evening.engine.status().phase, "heat");
}

TEST_F(OverPourTest, ATopUpIsCheckedLikeAnyWeighing) {
  begin();
  weigh("sweet pepper");
  weigh("cider vinegar");
  evening.pour(evening.aim_g("sugar") * 1.2);
  evening.say("ok");
  const auto first = way().additions.front();
  ASSERT_EQ(evening.waits_for(), first.ingredient);
  const double add = static_cast<double>(first.add_ug) / 1e6;
  evening.pour(add / 4, 5);
  EXPECT_EQ(evening.waits_for(), first.ingredient);
  EXPECT_EQ(evening.all<proto::Cue>().back().id, "more");
  EXPECT_NE(evening.refusal("ok"), "");
  evening.pour(add + 60, 20);
  EXPECT_EQ(evening.verdict(first.ingredient), "over");
  EXPECT_EQ(evening.waits_for(), first.ingredient);
  EXPECT_THAT(told(), HasSubstr("too much " + first.ingredient));
  evening.take_out(60);
  EXPECT_EQ(evening.verdict(first.ingredient), "within");
  EXPECT_NE(evening.waits_for(), first.ingredient);
}

TEST_F(OverPourTest, AnotherWayIsToldWhenTheCookSaysNo) {
  begin();
  weigh("sweet pepper");
  weigh("cider vinegar");
  evening.pour(evening.aim_g("sugar") * 1.2);
  ASSERT_THAT(told(), HasSubstr("make the batch"));
  EXPECT_EQ(evening.refusal("no"), "");
  evening.say("no");
  EXPECT_THAT(told(), HasSubstr("leave it so"));
  evening.say("ok");
  EXPECT_EQ(way().rung, "accepted");
  EXPECT_EQ(refused(way(), "larger batch"), "cook");
  EXPECT_EQ(evening.all<proto::PlanFinal>().size(), 1u);
  EXPECT_NE(evening.refusal("no"), "");
}

TEST_F(OverPourTest, WhereThereIsNoLargerBatchTheConstraintIsTold) {
  replace("largest_multiple = 2", "largest_multiple = 1");
  begin();
  weigh("sweet pepper");
  weigh("cider vinegar");
  evening.pour(evening.aim_g("sugar") * 1.2);
  EXPECT_THAT(told(), HasSubstr("No larger batch: it would be 1.1"));
  EXPECT_THAT(told(), HasSubstr("ends at 1"));
  evening.say("ok");
  EXPECT_EQ(way().rung, "accepted");
  EXPECT_EQ(refused(way(), "accepted"), "quality");
  EXPECT_EQ(refused(way(), "larger batch"), "largest multiple");
}

TEST_F(OverPourTest, FarTooMuchVegetableIsHeldAndNothingButALargerBatchOrAnotherStartIsOffered) {
  replace("largest_multiple = 2", "largest_multiple = 1");
  begin();
  evening.pour(evening.aim_g("sweet pepper") * 2);
  EXPECT_EQ(evening.state(), "held");
  EXPECT_THAT(told(), HasSubstr("Not left as it is: more sweet pepper than that is not safe."));
  EXPECT_THAT(told(), HasSubstr("No larger batch: it would be "));
  EXPECT_THAT(
      told(),
      HasSubstr("Not for the refrigerator: its proportion is critical in the refrigerator too."));
  EXPECT_THAT(told(), HasSubstr("Say ok: stop here and start again."));
  EXPECT_THAT(told(), Not(HasSubstr("Not topped up")));
  evening.say("ok");
  EXPECT_EQ(evening.state(), "held") << "one ok ends no batch";
  evening.wait(2);
  evening.say("ok");
  EXPECT_EQ(evening.state(), "stopped");
  EXPECT_EQ(way().rung, "start again");
}

TEST_F(OverPourTest, TooMuchVegetableIsPutRightByALargerBatchThatKeepsTheRatio) {
  begin();
  evening.pour(evening.aim_g("sweet pepper") * 1.3);
  EXPECT_EQ(evening.state(), "held");
  EXPECT_THAT(told(), HasSubstr("make the batch"));
  evening.say("ok");
  EXPECT_EQ(evening.state(), "running");
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  for (const auto& one : way().additions) {
    ASSERT_EQ(evening.waits_for(), one.ingredient);
    evening.pour(static_cast<double>(one.add_ug) / 1e6, 5);
  }
  weigh("cider vinegar");
  weigh("sugar");
  salt();
  EXPECT_EQ(evening.engine.status().phase, "heat");
  EXPECT_TRUE(evening.all<proto::Deviation>().empty());
  expect_ratios_kept();
}

TEST_F(OverPourTest, TakingSomeOutWorksWhateverIsOffered) {
  begin();
  const double aim = evening.aim_g("sweet pepper");
  evening.pour(aim * 1.3);
  ASSERT_THAT(told(), HasSubstr("make the batch"));
  evening.take_out(aim * 0.3);
  EXPECT_EQ(evening.verdict("sweet pepper"), "within");
  EXPECT_EQ(evening.state(), "running");
  EXPECT_EQ(way().rung, "taken out");
}

// What is offered was made for what was told: some is taken out, and an ok comes before it is
// quiet.
TEST_F(OverPourTest, AnOkTakesNoOfferThatWasMadeForAnotherAmount) {
  begin();
  weigh("sweet pepper");
  weigh("cider vinegar");
  const double aim = evening.aim_g("sugar");
  evening.pour(aim * 1.2);
  ASSERT_THAT(told(), HasSubstr("make the batch"));
  evening.take_out_quickly(aim * 0.28);
  evening.give(proto::Command{"ok", ""});
  EXPECT_EQ(evening.all<proto::PlanFinal>().size(), 1u);
  EXPECT_EQ(evening.verdict("sugar"), "over");
  evening.wait(6);
  EXPECT_EQ(evening.waits_for(), "sugar");
  EXPECT_EQ(evening.all<proto::Cue>().back().id, "more");
}

// The hand that spoons out what is too much leans on the vessel.
TEST_F(OverPourTest, APressTakesNothingWhileSomeCanBeTakenOutAgain) {
  begin();
  weigh("sweet pepper");
  evening.empty_pan();
  evening.put(150);
  evening.pour(evening.aim_g("cider vinegar") * 1.15);
  ASSERT_THAT(told(), HasSubstr("alone in its vessel"));
  evening.wait(2);
  evening.press();
  evening.wait(5);
  EXPECT_TRUE(evening.all<proto::WayOut>().empty());
  EXPECT_EQ(evening.waits_for(), "cider vinegar");
}

TEST_F(OverPourTest, ATopUpByMeasureThatIsLeftOutIsBookedWithWhatIsIn) {
  replace("text = \"Weigh onion, pepper, vinegar, sugar and salt.\"\n",
          "text = \"Weigh all.\"\ningredients = [\"onion\", \"sweet pepper\", \"table salt\", "
          "\"cider vinegar\", \"sugar\"]\n");
  begin();
  weigh("sweet pepper");
  evening.say("ok");
  weigh("cider vinegar");
  evening.pour(evening.aim_g("sugar") * 1.25);
  evening.say("ok");
  for (const auto& one : way().additions) {
    if (one.ingredient == "table salt") break;
    evening.pour(static_cast<double>(one.add_ug) / 1e6, 5);
  }
  ASSERT_EQ(evening.waits_for(), "table salt");
  EXPECT_THAT(evening.all<proto::Cue>().back().text, HasSubstr("tsp"));
  evening.say("accept", "salty enough");
  EXPECT_THAT(evening.all<proto::Deviation>().back().what, Not(testing::StartsWith("0 g")));
}

TEST_F(OverPourTest, APressOfThePanTakesWhatIsOffered) {
  begin();
  weigh("sweet pepper");
  weigh("cider vinegar");
  evening.pour(evening.aim_g("sugar") * 1.2);
  const int stops = evening.cues("stop");
  evening.wait(2);
  evening.press();
  evening.wait(6);
  EXPECT_EQ(way().rung, "larger batch");
  EXPECT_EQ(evening.verdict("sugar"), "within");
  EXPECT_EQ(evening.cues("stop"), stops);
}

TEST_F(OverPourTest, ALaterOverPourOfTheLargerBatchHasItsLadderToo) {
  begin();
  weigh("sweet pepper");
  evening.pour(evening.aim_g("cider vinegar") * 1.3);
  ASSERT_THAT(told(), HasSubstr("% larger"));
  evening.say("ok");
  for (const auto& one : way().additions) {
    evening.pour(static_cast<double>(one.add_ug) / 1e6, 5);
  }
  const double factor = evening.all<proto::PlanFinal>().back().plan.factor;
  ASSERT_EQ(evening.waits_for(), "sugar");
  evening.pour(evening.aim_g("sugar") * 1.12);
  ASSERT_THAT(told(), HasSubstr("% larger"));
  evening.say("ok");
  EXPECT_GT(evening.all<proto::PlanFinal>().back().plan.factor, factor);
  for (const auto& one : way().additions) {
    ASSERT_EQ(evening.waits_for(), one.ingredient);
    evening.pour(static_cast<double>(one.add_ug) / 1e6, 5);
  }
  EXPECT_EQ(evening.waits_for(), "table salt");
  expect_ratios_kept();
}

TEST_F(OverPourTest, AnAmendedLeadKeepsTheLargerBatch) {
  begin();
  evening.pour(evening.aim_g("sweet pepper") * 1.3);
  evening.say("ok");
  const double factor = evening.all<proto::PlanFinal>().back().plan.factor;
  proto::Amendment amendment;
  amendment.what = "weighed";
  amendment.of = "onion";
  amendment.mass_ug = 322'000'000;
  ASSERT_FALSE(evening.engine.refuses(amendment).has_value());
  evening.give(amendment);
  EXPECT_DOUBLE_EQ(evening.all<proto::PlanFinal>().back().plan.factor, factor);
}

TEST_F(OverPourTest, WhatWentInByMeasureIsToppedUpByMeasure) {
  replace("text = \"Weigh onion, pepper, vinegar, sugar and salt.\"\n",
          "text = \"Weigh all.\"\ningredients = [\"onion\", \"sweet pepper\", \"table salt\", "
          "\"cider vinegar\", \"sugar\"]\n");
  begin();
  weigh("sweet pepper");
  ASSERT_TRUE(evening.by_measure("table salt"));
  evening.say("ok");
  weigh("cider vinegar");
  evening.pour(evening.aim_g("sugar") * 1.25);
  evening.say("ok");
  bool salted = false;
  for (const auto& one : way().additions) {
    ASSERT_EQ(evening.waits_for(), one.ingredient);
    if (one.ingredient != "table salt") {
      evening.pour(static_cast<double>(one.add_ug) / 1e6, 5);
      continue;
    }
    salted = true;
    EXPECT_TRUE(evening.by_measure("table salt"));
    EXPECT_THAT(evening.all<proto::Cue>().back().text, HasSubstr("Say ok when it is in"));
    evening.say("ok");
  }
  EXPECT_TRUE(salted);
  EXPECT_EQ(evening.engine.status().phase, "heat");
}

TEST_F(OverPourTest, AnAmendmentMeanwhileMakesTheLadderAnew) {
  begin();
  weigh("sweet pepper");
  weigh("cider vinegar");
  const double sugar = evening.aim_g("sugar");
  evening.pour(sugar * 1.2);
  const std::string before = told();
  ASSERT_THAT(before, HasSubstr("% larger"));
  proto::Amendment amendment;  // more onion was in than the scale showed
  amendment.what = "weighed";
  amendment.of = "onion";
  amendment.mass_ug = 345'000'000;
  ASSERT_FALSE(evening.engine.refuses(amendment).has_value());
  evening.give(amendment);
  EXPECT_NE(told(), before);
  ASSERT_THAT(told(), HasSubstr("% larger"));
  evening.say("ok");
  EXPECT_NEAR(evening.all<proto::PlanFinal>().back().plan.factor, 345.0 / 320 * way().factor, 1e-6);
  EXPECT_EQ(evening.verdict("sugar"), "within");
}

TEST_F(OverPourTest, AHoldMeanwhileKeepsTheOfferAndTellsItAgain) {
  begin();
  weigh("sweet pepper");
  weigh("cider vinegar");
  evening.pour(evening.aim_g("sugar") * 1.2);
  evening.say("hold", "door bell");
  EXPECT_NE(evening.refusal("no"), "");
  evening.say("resume");
  EXPECT_THAT(told(), HasSubstr("Sugar is still over. Say ok: make the batch"));
  evening.say("ok");
  EXPECT_EQ(way().rung, "larger batch");
}

TEST_F(OverPourTest, ARestartMeanwhileAsksForALiftAndOffersTheSameAgain) {
  begin();
  weigh("sweet pepper");
  weigh("cider vinegar");
  evening.pour(evening.aim_g("sugar") * 1.2);
  evening.now_ms += 20'000;
  evening.give(proto::Restart{"boot", 20'000, true});
  evening.wait(6);
  EXPECT_NE(evening.refusal("ok"), "");
  evening.lift();
  EXPECT_THAT(told(), HasSubstr("still over"));
  evening.say("ok");
  EXPECT_EQ(way().rung, "larger batch");
  EXPECT_EQ(evening.verdict("sugar"), "within");
}

TEST_F(OverPourTest, WithoutAnOkNothingIsChanged) {
  begin();
  weigh("sweet pepper");
  weigh("cider vinegar");
  evening.pour(evening.aim_g("sugar") * 1.2);
  evening.wait(400);
  EXPECT_EQ(evening.all<proto::PlanFinal>().size(), 1u);
  EXPECT_TRUE(evening.all<proto::WayOut>().empty());
  EXPECT_EQ(evening.waits_for(), "sugar");
}

}  // namespace
}  // namespace maslin::batch
