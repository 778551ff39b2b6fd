// What is read off an instrument that is not plugged in: a pH against its limit, days after the
// batch, and what becomes of the jars; the solids of the pan.
#include "daemon/batch/measured.hpp"

#include <gmock/gmock.h>

namespace maslin::batch {
namespace {

using testing::Contains;
using testing::HasSubstr;

constexpr std::int64_t hour_ms = 3'600'000;

// Three jars on the shelf, out of the bath for two days.
class TwoDaysAfter : public testing::Test {
 protected:
  void SetUp() override {
    desk.plan.keeping = "shelf";
    desk.jars.fill(desk, {3, 0, 3, "as expected"});
    desk.bath_ended_ms = 0;
    desk.now_ms = 24 * hour_ms;
    desk.jars.put(desk, {{1, 2, 3}, "shelf", "sealed", ""});
    desk.now_ms = 48 * hour_ms;
    desk.outcomes().clear();
  }
  static proto::Measured ph(double value) {
    proto::Measured one;
    one.what = "ph";
    one.with = "meter";
    one.value = value;
    one.interval = 0.01;
    one.temperature_c = 21;
    one.low_buffer = 4.01;
    one.low_shown = 4.03;
    one.high_buffer = 7;
    one.high_shown = 6.99;
    return one;
  }
  static proto::Measured paper(double value, double step) {
    proto::Measured one = ph(value);
    one.with = "paper";
    one.interval = step;
    return one;
  }
  std::string refusal(const proto::Measured& one) const {
    const auto trouble = measured_refused(desk, one, desk.now_ms);
    return trouble ? proto::line(*trouble) : "";
  }
  proto::Finding take(const proto::Measured& one) {
    EXPECT_EQ(refusal(one), "");
    desk.advice.clear();
    take_measured(desk, one);
    proto::Finding found;
    for (const auto& outcome : desk.outcomes()) {
      if (const auto* finding = std::get_if<proto::Finding>(&outcome)) found = *finding;
    }
    return found;
  }
  Desk desk;
};

TEST_F(TwoDaysAfter, APhFarBelowTheLimitIsWithinAndMovesNoJar) {
  const auto found = take(ph(3.8));
  EXPECT_EQ(found.verdict, "within");
  EXPECT_NEAR(found.value, 3.78, 0.01);
  EXPECT_THAT(found.detail, HasSubstr("48 h after the process"));
  EXPECT_EQ(desk.jars.where(1), "shelf");
  EXPECT_TRUE(desk.left_limits.empty());
}

TEST_F(TwoDaysAfter, APhOverTheLimitTakesEveryJarOffTheShelfForGood) {
  EXPECT_EQ(take(ph(4.8)).verdict, "over");
  EXPECT_THAT(desk.left_limits, Contains("equilibrium pH"));
  bool told = false;
  for (const auto& outcome : desk.outcomes()) {
    const auto* jars = std::get_if<proto::JarsAre>(&outcome);
    told = told || (jars != nullptr && jars->lasting && jars->jars.size() == 3 &&
                    jars->todo.find("discard") != std::string::npos);
  }
  EXPECT_TRUE(told);
  // A jar that is better does not make this one good.
  take(ph(3.9));
  EXPECT_THAT(desk.left_limits, Contains("equilibrium pH"));
}

TEST_F(TwoDaysAfter, TooNearToTheLimitIsUndecidedAndColdUntilItIsKnown) {
  EXPECT_EQ(take(ph(4.6)).verdict, "undecided");
  EXPECT_THAT(desk.advice, Contains(HasSubstr("into the refrigerator")));
  EXPECT_FALSE(desk.left_limits.empty());
  const auto newest_todo = [&] {
    std::string todo = "none";
    for (const auto& outcome : desk.outcomes()) {
      if (const auto* jars = std::get_if<proto::JarsAre>(&outcome)) todo = jars->todo;
    }
    return todo;
  };
  EXPECT_THAT(newest_todo(), HasSubstr("o not taste it"));
  EXPECT_EQ(take(ph(4.2)).verdict, "within");
  EXPECT_TRUE(desk.left_limits.empty());
  EXPECT_EQ(newest_todo(), "");
}

TEST_F(TwoDaysAfter, WhatIsUndecidedIsNotDecidedByAnotherThatIsOver) {
  take(ph(4.6));
  take(ph(4.9));
  take(ph(3.9));
  EXPECT_THAT(desk.left_limits, Contains("equilibrium pH"));
}

TEST_F(TwoDaysAfter, TheOpenQuestionOfAJarIsDecidedInThatJarByAMeter) {
  const auto of_jar = [](proto::Measured one, std::int64_t jar) {
    one.jar = jar;
    return one;
  };
  take(of_jar(ph(4.58), 3));
  const std::string open = "equilibrium pH of jar 3, not decided yet";
  EXPECT_THAT(desk.left_limits, Contains(open));
  take(of_jar(ph(3.9), 1));
  take(ph(3.9));
  take(of_jar(paper(3.0, 0.5), 3));
  EXPECT_THAT(desk.left_limits, Contains(open));
  take(of_jar(ph(4.58), 2));
  take(of_jar(ph(3.9), 3));
  EXPECT_THAT(desk.left_limits, testing::ElementsAre("equilibrium pH of jar 2, not decided yet"));
  take(of_jar(ph(4.9), 2));
  EXPECT_THAT(desk.left_limits, testing::ElementsAre("equilibrium pH"));
}

TEST_F(TwoDaysAfter, WhatIsUndecidedIsBarredAlsoWhereAnotherLimitWasLeft) {
  desk.limit_kept("time at the boil", false);
  take(ph(4.6));
  bool barred = false;
  for (const auto& outcome : desk.outcomes()) {
    const auto* jars = std::get_if<proto::JarsAre>(&outcome);
    barred = barred || (jars != nullptr && jars->jars.size() == 3 && !jars->todo.empty());
  }
  EXPECT_TRUE(barred);
}

TEST_F(TwoDaysAfter, TheFormulasOwnLimitIsTheNarrowerOne) {
  desk.plan.most_ph = 4.0;
  EXPECT_EQ(take(ph(4.3)).verdict, "over");
  EXPECT_EQ(take(ph(4.3)).limit, 4.0);
}

TEST_F(TwoDaysAfter, PaperIsForWhatIsFarBelowFour) {
  EXPECT_EQ(take(paper(3.0, 0.5)).verdict, "within");
  EXPECT_THAT(refusal(paper(3.8, 0.3)), HasSubstr("paper is not good enough"));
  EXPECT_THAT(refusal(paper(4.5, 0.2)), HasSubstr("checked in two buffers"));
  EXPECT_THAT(refusal(paper(2.5, 1)), HasSubstr("half a pH"));
}

TEST_F(TwoDaysAfter, WhatCannotBeJudgedIsRefusedWithItsReason) {
  auto early = ph(3.9);
  early.hours = 3;
  EXPECT_THAT(refusal(early), HasSubstr("a day or more"));
  auto late = ph(3.9);
  late.hours = 60;
  EXPECT_THAT(refusal(late), HasSubstr("ended 48 hours ago"));
  auto warm = ph(3.9);
  warm.temperature_c = 45;
  EXPECT_THAT(refusal(warm), HasSubstr("room temperature"));
  auto unchecked = ph(3.9);
  unchecked.low_buffer = unchecked.high_buffer = 0;
  EXPECT_THAT(refusal(unchecked), HasSubstr("not checked in two buffers"));
  auto off = ph(3.9);
  off.high_shown = 6.7;
  EXPECT_THAT(refusal(off), HasSubstr("off in its two buffers"));
  auto other = ph(3.9);
  other.jar = 9;
  EXPECT_THAT(refusal(other), HasSubstr("jars 1 to 3"));
  EXPECT_THAT(refusal(ph(39)), HasSubstr("from 0 to 14"));
}

TEST_F(TwoDaysAfter, BeforeTheBathIsOverThereIsNoEquilibrium) {
  desk.bath_ended_ms.reset();
  EXPECT_THAT(refusal(ph(3.9)), HasSubstr("not through yet"));
}

TEST_F(TwoDaysAfter, WithoutALimitItIsKeptAndNotJudged) {
  desk.plan.keeping = "refrigerator";
  EXPECT_EQ(take(ph(4.9)).verdict, "");
  EXPECT_TRUE(desk.left_limits.empty());
}

TEST_F(TwoDaysAfter, SolidsAreBroughtToTwentyDegrees) {
  proto::Measured one;
  one.what = "solids";
  one.with = "refractometer";
  one.value = 62.5;
  one.temperature_c = 25;
  EXPECT_NEAR(take(one).value, 62.88, 0.05);
  EXPECT_THAT(take(one).detail, HasSubstr("to bring it to 20 °C"));
  one.temperature_c = 80;
  EXPECT_THAT(refusal(one), HasSubstr("15 to 30"));
  one.with = "refractometer that corrects itself";
  EXPECT_DOUBLE_EQ(take(one).value, 62.5);
  one.value = 95;
  EXPECT_THAT(refusal(one), HasSubstr("0 to 80"));
}

}  // namespace
}  // namespace maslin::batch
