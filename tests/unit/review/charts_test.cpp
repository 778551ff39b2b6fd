// What the batches of one formula do, and which of them did otherwise. Pours are invented; each
// expectation is worked out by hand beside it.
#include "daemon/review/charts.hpp"

#include <gmock/gmock.h>

#include <cmath>
#include <numbers>
#include <random>
#include <tuple>

#include "evening.hpp"

namespace maslin::review {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

// One batch for each of these deviations of the sugar, in grams off an aim of 100 g.
class Batches {
 public:
  Batches& of(const std::string& ingredient, const std::vector<double>& off_g,
              double uncertainty_g = 0) {
    reports_.resize(std::max(reports_.size(), off_g.size()));
    for (std::size_t i = 0; i < off_g.size(); ++i) {
      proto::ReportIngredient one;
      one.name = ingredient;
      one.aim_g = 100;
      one.deviation_g = off_g[i];
      one.expanded_uncertainty_g = uncertainty_g;
      reports_[i].batch = "b" + std::to_string(i + 1);
      reports_[i].formula = "Lantern relish";
      reports_[i].ingredients.push_back(one);
    }
    return *this;
  }
  Batches& acid(const std::vector<double>& achieved) {
    for (std::size_t i = 0; i < achieved.size(); ++i) {
      proto::ReportRatio one;
      one.of = "acid";
      one.per = "low-acid food";
      one.limit = 0.8;
      one.achieved = achieved[i];
      reports_[i].ratios.push_back(one);
    }
    return *this;
  }
  std::vector<proto::ReviewChart> charts() const {
    return review::review(reports_, "Lantern relish").charts;
  }
  proto::ReviewChart chart(const std::string& figure) const {
    for (const auto& one : charts()) {
      if (one.figure == figure) return one;
    }
    ADD_FAILURE() << "no chart of " << figure;
    return {};
  }

 private:
  std::vector<proto::Report> reports_;
};

// Mean 0, each step 2: sigma 2 / 1.128379, limits at three of it.
TEST(Charts, LimitsComeFromTheStepsFromBatchToBatch) {
  const auto chart = Batches().of("sugar", {1, -1, 1, -1, 1, -1, 1, -1}).chart("sugar");
  EXPECT_EQ(chart.count, 8);
  EXPECT_DOUBLE_EQ(chart.mean, 0);
  EXPECT_NEAR(chart.upper, 3 * 2 / 1.128379, 1e-5);
  EXPECT_NEAR(chart.lower, -3 * 2 / 1.128379, 1e-5);
  EXPECT_DOUBLE_EQ(*chart.step_mean, 2);
  EXPECT_NEAR(*chart.step_upper, 2 * 3.26653, 1e-4);
  EXPECT_THAT(chart.lines, IsEmpty());
}

TEST(Charts, SayNothingOfFewBatchesAndNothingOverFormulas) {
  EXPECT_THAT(Batches().of("sugar", {1, -1, 1, -1, 1, -1, 1}).charts(), IsEmpty());
  proto::Report one;
  one.ingredients.push_back({});
  one.ingredients.back().deviation_g = 1;
  EXPECT_THAT(review::review(std::vector<proto::Report>(9, one), "").charts, IsEmpty());
}

TEST(Charts, NameTheBatchThatLiesOutsideWhatTheOthersDo) {
  const auto chart =
      Batches().of("sugar", {1, -1, 1, -1, 1, -1, 12, 1, -1, 1, -1, 1, -1, 1, -1}).chart("sugar");
  ASSERT_EQ(chart.outside.size(), 1U);
  EXPECT_EQ(chart.outside[0].batch, "b7");
  EXPECT_DOUBLE_EQ(chart.outside[0].value, 12);
  // Without it fourteen values of ±1; 3 x 2 / 1.128379 = 5.3.
  EXPECT_THAT(chart.lines, ElementsAre("b7: sugar 12 % over its aim, outside the limits "
                                       "of -5.3 to +5.3 % that the others give."));
}

// A scale that shows whole grams makes one batch in eight look apart where it is one digit off.
TEST(Charts, DoNotCallOutsideWhatTheScaleCannotTell) {
  const std::vector<double> one_digit{0, 0, 0, 0, 1, 0, 0, 0};
  EXPECT_THAT(Batches().of("salt", one_digit, 1.2).chart("salt").outside, IsEmpty());
  EXPECT_THAT(Batches().of("salt", one_digit).chart("salt").outside, testing::SizeIs(1));
}

TEST(Charts, SaySinceWhenAFigureHasDrifted) {
  const auto chart = Batches()
                         .of("sugar", {0.5, -0.5, 0.5, -0.5, 0.5, -0.5, 0.5, -0.5, 3.5, 2.5, 3.5,
                                       2.5, 3.5, 2.5, 3.5, 2.5})
                         .chart("sugar");
  EXPECT_EQ(chart.drift, "higher");
  EXPECT_EQ(chart.drift_since, "b9");
  EXPECT_THAT(chart.lines[0],
              "sugar has lain higher since b9: +3 % in the mean of 8 batches, 0 % "
              "before.");
  EXPECT_EQ(chart.expected, "") << "what drifts has no next ten";
}

// A wave of eight batches: no drift, but each batch is much like the one before.
TEST(Charts, SayWhereNeighboursAreAlikeAndLimitsTooNarrow) {
  const auto chart =
      Batches()
          .of("sugar", {0, 1, 1.4, 1, 0, -1, -1.4, -1, 0, 1, 1.4, 1, 0, -1, -1.4, -1})
          .chart("sugar");
  EXPECT_GT(*chart.autocorrelation, 0.6);
  EXPECT_THAT(chart.lines, ElementsAre(HasSubstr("one after the other are alike")));
  EXPECT_FALSE(chart.nine_of_ten_lower);
}

// n = 10: k2 2.856311 of both sides, k1 2.354640 of one (computed, tests/reference). Ten values of
// ±1 have the standard deviation sqrt(10 / 9).
TEST(Charts, SayWhereNineBatchesOfTenWillLie) {
  Batches ten;
  ten.of("sugar", {1, -1, 1, -1, 1, -1, 1, -1, 1, -1});
  ten.acid({0.92, 0.88, 0.92, 0.88, 0.92, 0.88, 0.92, 0.88, 0.92, 0.88});
  const auto sugar = ten.chart("sugar");
  EXPECT_NEAR(*sugar.nine_of_ten_upper, 2.856311 * std::sqrt(10.0 / 9), 1e-5);
  EXPECT_EQ(sugar.expected, "sugar: nine batches of ten from -3 to +3 %.");
  const auto acid = ten.chart("acid per low-acid food");
  EXPECT_NEAR(*acid.nine_of_ten_lower, 0.9 - 0.02 * 2.354640 * std::sqrt(10.0 / 9), 1e-5);
  EXPECT_FALSE(acid.nine_of_ten_upper);
  EXPECT_EQ(acid.expected, "acid per low-acid food: nine batches of ten at least 0.85 g per g.");
}

// The newest of several; mass and volume follow the size of the batch and are not compared.
TEST(Charts, AreDrawnOfWhatInstrumentsFoundToo) {
  std::vector<proto::Report> reports(8);
  for (std::size_t i = 0; i < reports.size(); ++i) {
    const double ph = i % 2 == 0 ? 3.4 : 3.5;
    reports[i].formula = "Lantern relish";
    reports[i].boiled_ms = 600'000;
    for (const auto& [what, by, value] : std::vector<std::tuple<const char*, const char*, double>>{
             {"equilibrium pH", "meter", 3.9},
             {"equilibrium pH", "meter", ph},
             {"mass in the pan", "scale", 900}}) {
      proto::ReportFinding one;
      one.what = what;
      one.by = by;
      one.value = value;
      reports[i].findings.push_back(one);
    }
  }
  const auto charts = review::review(reports, "Lantern relish").charts;
  ASSERT_EQ(charts.size(), 2U);
  EXPECT_EQ(charts[0].figure, "time at the boil");
  EXPECT_DOUBLE_EQ(charts[0].mean, 10);
  EXPECT_EQ(charts[1].figure, "equilibrium pH, meter");
  EXPECT_NEAR(charts[1].mean, 3.45, 1e-12);
  EXPECT_EQ(charts[1].decimals, 2);
}

// Three ingredients of different scatter, all of which go up by four times their usual in one
// batch: none is outside by itself, together they are.
TEST(Charts, NoticeThatAllPoursOfABatchLieToOneSide) {
  Batches batches;
  batches.of("sugar", {1, -1, 1, -1, 1, -1, 1, -1, 1, 4.5, -1, 1, -1, 1});
  batches.of("salt", {-.1, .1, -.1, .1, -.1, .1, -.1, .1, -.1, .45, -.1, .1, -.1, .1});
  batches.of("vinegar", {2, 2, -2, -2, 2, 2, -2, -2, 2, 7, -2, -2, 2, -2});
  const auto level = batches.chart("all pours of a batch, mean");
  ASSERT_EQ(level.outside.size(), 1U);
  EXPECT_EQ(level.outside[0].batch, "b10");
  EXPECT_THAT(level.lines[0], HasSubstr("b10: all its pours together lie higher"));
  EXPECT_THAT(level.lines[0], HasSubstr("its zero"));
  EXPECT_FALSE(level.step_mean);
}

// One wild pour of three: uneven, and not laid on the scale.
TEST(Charts, DoNotLayOneWildPourOnTheScale) {
  Batches batches;
  batches.of("sugar", {1, -1, 1, -1, 1, -1, 1, -1, 1, 30, -1, 1, -1, 1});
  batches.of("salt", {-.1, .1, -.1, .1, -.1, .1, -.1, .1, -.1, .1, -.1, .1, -.1, .1});
  batches.of("vinegar", {2, 2, -2, -2, 2, 2, -2, -2, 2, 2, -2, -2, 2, -2});
  EXPECT_THAT(batches.chart("all pours of a batch, mean").lines, IsEmpty());
  EXPECT_THAT(batches.chart("all pours of a batch, how far apart").lines[0],
              HasSubstr("b10: its pours were uneven"));
}

// Pours of a steady hand: of such reviews, six rows each, one in 25 names a batch; with limits
// at three standard deviations it is one in seven.
TEST(Charts, RarelyNameABatchOfThoseThatAreInOrder) {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> even(1e-12, 1);
  // By Box and Muller: the library's own normal numbers differ from one to the next.
  const auto normal = [&] {
    return std::sqrt(-2 * std::log(even(random))) * std::cos(2 * std::numbers::pi * even(random));
  };
  constexpr int reviews = 150;
  int named = 0;
  for (int i = 0; i < reviews; ++i) {
    Batches batches;
    for (const char* name : {"sugar", "salt", "vinegar", "onion"}) {
      std::vector<double> off(10);
      for (double& one : off) one = normal();
      batches.of(name, off);
    }
    const auto charts = batches.charts();
    named += std::any_of(charts.begin(), charts.end(),
                         [](const auto& one) { return !one.outside.empty(); });
  }
  EXPECT_LE(named, reviews / 12);
}

// Steps 10 / 7 in the mean: limits 5 ± 3.8, and every batch outside them.
TEST(Charts, OfBatchesWithoutACommonLevelAreOneSentenceAndADrift) {
  const auto chart = Batches().of("sugar", {0, 0, 0, 0, 10, 10, 10, 10}).chart("sugar");
  EXPECT_DOUBLE_EQ(chart.mean, 5);
  EXPECT_THAT(chart.outside, testing::SizeIs(8));
  EXPECT_THAT(chart.lines[0], HasSubstr("no common level, 8 of 8 lie outside"));
  EXPECT_EQ(chart.drift_since, "b5");
}

TEST(Charts, OfValuesThatAreAllTheSameHaveNoScatterAndCallNothing) {
  const auto chart = Batches().of("sugar", std::vector<double>(9, 2.0)).chart("sugar");
  EXPECT_DOUBLE_EQ(chart.lower, 2);
  EXPECT_DOUBLE_EQ(chart.upper, 2);
  EXPECT_THAT(chart.lines, IsEmpty());
  EXPECT_EQ(chart.expected, "");
}

}  // namespace
}  // namespace maslin::review
