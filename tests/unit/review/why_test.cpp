// Why an ingredient was judged as it was, from its record alone.
#include "daemon/review/why.hpp"

#include <gmock/gmock.h>

#include <cmath>

#include "evening.hpp"

namespace maslin::review {
namespace {

using testing::Contains;
using testing::Field;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

proto::Why asked(const Evening& evening, std::string_view ingredient) {
  const auto answer = why(evening.entries, ingredient);
  EXPECT_TRUE(answer.has_value()) << proto::line(answer.error());
  return answer.value_or(proto::Why{});
}

auto told(const std::string& part) {
  return Contains(Field(&proto::ReportEvent::what, HasSubstr(part)));
}

// A weighing as the engine books it, with the sum of its budget: `standard_g`.
proto::Weighing booked(const std::string& name, double net_g, double standard_g) {
  proto::Weighing weighing;
  weighing.ingredient = name;
  weighing.net_ug = std::llround(net_g * 1e6);
  weighing.standard_uncertainty_ug = std::llround(standard_g * 1e6);
  weighing.expanded_uncertainty_ug = 2 * kGram;
  weighing.how = "poured into the vessel";
  weighing.device = 0;
  weighing.epoch = 1;
  return weighing;
}

// With a repeatability of so much an indication, seen with so many degrees of freedom.
proto::Weighing seen(const std::string& name, double net_g, double repeatability_g,
                     std::int64_t dof) {
  auto weighing = booked(
      name, net_g, std::hypot(0.4082483, std::sqrt(2.0) * repeatability_g, 1.0 / std::sqrt(3.0)));
  weighing.repeatability_ug = std::llround(repeatability_g * 1e6);
  weighing.repeatability_dof = dof;
  return weighing;
}

proto::Verdict judged(const std::string& name, double net_g, const std::string& verdict,
                      const std::string& rule, std::int64_t lower_g, std::int64_t upper_g) {
  proto::Verdict out;
  out.ingredient = name;
  out.verdict = verdict;
  out.rule = rule;
  out.net_ug = std::llround(net_g * 1e6);
  out.lower_ug = lower_g * kGram;
  out.upper_ug = upper_g * kGram;
  return out;
}

// 150 g on a scale of 1 g that was never calibrated: the row of net_budget.csv with the class
// limit.
TEST(Why, ListsTheBudgetLargestFirstAndItAddsUpToWhatWasRecorded) {
  Evening evening;
  evening.begin()
      .outcome(booked("sugar", 150, 0.7211103))
      .outcome(judged("sugar", 150, "within", "simple", 142, 158));
  const auto found = asked(evening, "sugar");
  ASSERT_EQ(found.components.size(), 4U);
  EXPECT_THAT(found.components.front().what, HasSubstr("own error"));
  EXPECT_THAT(found.components.front().basis, HasSubstr("class III"));
  double variance = 0;
  double share = 0;
  for (const auto& one : found.components) {
    variance += one.standard_uncertainty_g * one.standard_uncertainty_g;
    share += one.share_pct;
  }
  EXPECT_NEAR(std::sqrt(variance), found.standard_uncertainty_g, 1e-4);
  EXPECT_NEAR(share, 100, 1e-9);
  EXPECT_THAT(found.rule, HasSubstr("Quality"));
  EXPECT_GT(found.probability_within, 0.9999);
  EXPECT_LT(found.consumer_risk, 1e-4);
  EXPECT_EQ(found.producer_risk, 0);
  EXPECT_NEAR(found.coverage_factor, 2.0 / 0.7211103, 1e-5);
}

TEST(Why, OfACriticalOneSaysWhatIsAcceptedOfItsBand) {
  Evening evening;
  auto& vinegar = evening.start.plan.ingredients[0];
  vinegar.accept_lower_ug = 232 * kGram;
  vinegar.accept_upper_ug = 298 * kGram;
  auto& onion = evening.start.plan.ingredients[1];
  onion.accept_lower_ug = onion.lower_ug;
  onion.accept_upper_ug = onion.upper_ug;
  evening.begin()
      .outcome(booked("vinegar", 240, 0.72))
      .outcome(judged("vinegar", 240, "within", "guarded", 230, 300))
      .outcome(booked("onion", 381, 0.72))
      .outcome(judged("onion", 381, "within", "guarded", 380, 420));
  EXPECT_THAT(asked(evening, "vinegar").rule, HasSubstr("accepted from 232 g to 298 g"));
  EXPECT_THAT(asked(evening, "onion").rule, HasSubstr("the whole band is accepted"));
  EXPECT_GT(asked(evening, "onion").consumer_risk, 0.05);
}

TEST(Why, HowTheScaleRepeatedItselfIsSeenInTheReadings) {
  Evening evening;
  evening.begin()
      .outcome(seen("sugar", 150, 0.5, 6))
      .outcome(judged("sugar", 150, "within", "simple", 142, 158));
  const auto found = asked(evening, "sugar");
  const auto line =
      std::find_if(found.components.begin(), found.components.end(),
                   [](const auto& one) { return one.what.find("repeats") != one.what.npos; });
  ASSERT_NE(line, found.components.end());
  EXPECT_THAT(line->basis, HasSubstr("seen in the readings: 0.5 g a reading, 6 degrees"));
  for (const auto& one : found.components) EXPECT_NE(one.what, "other");
}

// JCGM 100 G.4.1 by hand: 1/6 + 1/3 + 2 x 0.5^2 = 1 g^2 in all, of which sqrt(2) x 0.5 g have 3
// degrees of freedom, so 1 / (0.5^2 / 3) = 12; Student's t of 95 % for 12 is 2.179 (table G.2, from
// memory).
TEST(Why, FewReadingsLimitTheDegreesOfFreedom) {
  Evening evening;
  evening.begin()
      .outcome(seen("sugar", 150, 0.5, 3))
      .outcome(judged("sugar", 150, "within", "simple", 142, 158))
      .outcome(booked("onion", 150, 0.7211103))
      .outcome(judged("onion", 150, "under", "guarded", 380, 420));
  const auto few = asked(evening, "sugar");
  ASSERT_TRUE(few.effective_dof.has_value());
  EXPECT_NEAR(*few.effective_dof, 12, 0.01);
  EXPECT_NEAR(few.student_factor, 2.179, 0.03);
  const auto assumed = asked(evening, "onion");
  EXPECT_FALSE(assumed.effective_dof.has_value());
  EXPECT_NEAR(assumed.student_factor, 1.960, 0.001);
}

TEST(Why, WhatSlidAndWhatSticksHaveTheirLines) {
  Evening evening;
  auto honey = booked("sugar", 150, std::hypot(0.7211103, 2.0, 3.0 / std::sqrt(3.0)));
  honey.drift_ug = 2 * kGram;
  honey.sticking_ug = 3 * kGram;
  evening.begin().outcome(honey).outcome(judged("sugar", 150, "within", "simple", 142, 158));
  const auto found = asked(evening, "sugar");
  EXPECT_EQ(found.components[0].what, "a slide of the reading");
  EXPECT_EQ(found.components[1].what, "what sticks in the vessel");
  EXPECT_THAT(found.components[1].basis, HasSubstr("put the empty vessel back once"));
}

TEST(Why, OfTwoThatCameInTogetherOnlyTheSumWasWeighed) {
  Evening evening;
  evening.begin()
      .outcome(booked("sugar", 200, 10.0 / std::sqrt(3.0)))
      .outcome(judged("sugar", 200, "undecided", "by the sum of two", 190, 210));
  const auto found = asked(evening, "sugar");
  EXPECT_THAT(found.rule, HasSubstr("only the sum of the two was weighed"));
  EXPECT_THAT(found.rule, Not(HasSubstr("by measure")));
  EXPECT_EQ(found.components.front().what, "other");
  EXPECT_THAT(found.components.front().basis, HasSubstr("only the sum"));
  double variance = 0;
  for (const auto& one : found.components) {
    variance += one.standard_uncertainty_g * one.standard_uncertainty_g;
    EXPECT_THAT(one.basis, Not(HasSubstr("seen in the readings")));
  }
  EXPECT_NEAR(std::sqrt(variance), found.standard_uncertainty_g, 1e-4);
}

TEST(Why, ACalibratedScaleSaysWhenItWasCalibrated) {
  Evening evening;
  evening.start.devices[0].calibration = proto::ScaleCalibration{.utc_ms = kEveningUtcMs,
                                                                 .interval_ug = kGram,
                                                                 .span_uncertainty = 0.0005,
                                                                 .heaviest_ug = 500 * kGram,
                                                                 .loads = 2};
  evening.begin()
      .outcome(booked("sugar", 150, 0.4386))
      .outcome(judged("sugar", 150, "within", "simple", 142, 158));
  const auto found = asked(evening, "sugar");
  EXPECT_THAT(found.components.back().basis, HasSubstr("calibrated 2026-11-25"));
}

TEST(Why, AnOverPourPutRightIsToldInOrderWithItsZeros) {
  Evening evening;
  evening.begin()
      .at(10)
      .outcome(proto::ZeroEpoch{0, 1, "zeroed with a load on"})
      .at(20)
      .outcome(proto::PhaseBegan{1, "weigh", "sugar", "Weigh it."})
      .at(30)
      .outcome(booked("sugar", 230, 0.72))
      .outcome(judged("sugar", 230, "over", "simple", 190, 210))
      .at(60)
      .outcome(booked("sugar", 205, 0.72))
      .outcome(judged("sugar", 205, "within", "simple", 190, 210));
  const auto found = asked(evening, "sugar");
  ASSERT_EQ(found.story.size(), 5U);
  EXPECT_THAT(found.story[0].what, HasSubstr("zero 1 of the bench scale began"));
  EXPECT_EQ(found.story[0].from_ms, 10'000);
  EXPECT_EQ(found.story[2].what, "over");
  EXPECT_EQ(found.story[4].what, "within");
  EXPECT_EQ(*found.weighed_g, 205);
  EXPECT_THAT(asked(evening, "onion").story, Not(told("zero")));
}

TEST(Why, AnUndecidedOneHasItsWaysOut) {
  Evening evening;
  evening.start.plan.ingredients[0].kitchen = "1 cup";
  evening.begin()
      .outcome(booked("vinegar", 230, 0.72))
      .outcome(judged("vinegar", 230, "undecided", "guarded", 230, 300));
  const auto found = asked(evening, "vin");
  EXPECT_EQ(found.ingredient, "vinegar");
  EXPECT_THAT(found.ways_out, Contains(HasSubstr("finer scale")));
  EXPECT_THAT(found.ways_out, Contains(HasSubstr("1 cup")));
  EXPECT_THAT(found.ways_out, Contains(HasSubstr("more is safe")));
  EXPECT_EQ(found.consumer_risk, 0);
  EXPECT_NEAR(found.probability_within, 0.5, 0.01);
}

TEST(Why, OfWhatNoScaleWeighedThereIsNoBudget) {
  Evening evening;
  evening.start.plan.ingredients[3].reason = "too fine for the bench scale";
  evening.begin().by_measure("salt").outcome(judged("salt", 5, "undecided", "by measure", 4, 6));
  EXPECT_THAT(asked(evening, "salt").rule, HasSubstr("by measure: too fine for the bench scale"));
  EXPECT_THAT(asked(evening, "salt").ways_out, IsEmpty());
  EXPECT_THAT(asked(evening, "salt").components, IsEmpty());
  EXPECT_FALSE(asked(evening, "salt").weighed_g.has_value());
  EXPECT_FALSE(asked(evening, "sugar").weighed_g.has_value());
}

TEST(Why, TakesAnUnmistakablePartOfTheName) {
  Evening evening;
  evening.begin();
  EXPECT_EQ(why(evening.entries, "nega")->ingredient, "vinegar");
}

TEST(Why, NamesTheIngredientsWhereItIsAskedForAnother) {
  Evening evening;
  evening.begin();
  for (const char* name : {"honey", "s", ""}) {
    const auto answer = why(evening.entries, name);
    ASSERT_FALSE(answer.has_value()) << name;
    EXPECT_THAT(proto::line(answer.error()), HasSubstr("vinegar, onion, sugar, salt")) << name;
  }
  EXPECT_FALSE(why({}, "sugar").has_value());
}

TEST(Why, TellsWhichWayOutOfAnOverPourWasTakenAndWhatBlockedTheOthers) {
  proto::WayOut way;
  way.ingredient = "sugar";
  way.rung = "larger batch";
  way.over_ug = 22 * kGram;
  way.factor = 1.057;
  way.additions = {{"onion", 12 * kGram}};
  way.refused = {{"taken out", "mixed", "it lies on what was weighed before"}};
  Evening evening;
  evening.begin().all_within().outcome(way);
  const auto detail = [](const std::string& part) {
    return Contains(Field(&proto::ReportEvent::detail, HasSubstr(part)));
  };
  EXPECT_THAT(asked(evening, "sugar").story, told("22 g too much"));
  EXPECT_THAT(asked(evening, "sugar").story, detail("1.057 times as large"));
  EXPECT_THAT(asked(evening, "sugar").story, detail("not taken out: it lies on"));
  EXPECT_THAT(asked(evening, "onion").story, told("12 g more asked for"));
  EXPECT_THAT(asked(evening, "onion").story, detail("after 22 g too much sugar"));
}

}  // namespace
}  // namespace maslin::review
