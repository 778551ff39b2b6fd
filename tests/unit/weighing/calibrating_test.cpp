// A calibration made load by load, and what it does to the budget and the indications of a scale.
#include "daemon/weighing/calibrating.hpp"

#include <gtest/gtest.h>

#include <utility>

#include "daemon/weighing/scale_budget.hpp"

namespace maslin::weighing {
namespace {

constexpr std::int64_t kGram = 1'000'000;

// A scale of 1 g that sends ten readings a second.
class AtTheScale {
 public:
  void stand(std::int64_t grams, double seconds, proto::Unit unit = proto::Unit::g) {
    for (int i = 0; i < static_cast<int>(seconds * 10); ++i) {
      now_ms_ += 100;
      proto::Reading reading;
      reading.at_ms = now_ms_;
      reading.digits = grams;
      reading.unit = unit;
      unit_changed = making.feed(reading, grams * kGram) || unit_changed;
    }
  }
  Calibrating making{kGram, 5000 * kGram, 500};
  bool unit_changed = false;

 private:
  std::int64_t now_ms_ = 0;
};

TEST(Calibrating, TakesNothingBeforeTheScaleIsQuiet) {
  AtTheScale at;
  at.stand(0, 2);
  EXPECT_FALSE(at.making.level_g().has_value());
  at.stand(0, 4);
  ASSERT_TRUE(at.making.level_g().has_value());
  EXPECT_EQ(*at.making.level_g(), 0.0);
}

TEST(Calibrating, AMassThatLiesOnThePanIsNotTakenForTheEmptyOne) {
  AtTheScale at;
  at.stand(200, 6);
  EXPECT_FALSE(at.making.take_zero());
  at.stand(0, 6);
  EXPECT_TRUE(at.making.take_zero());
}

TEST(Calibrating, LoadsAreWhatTheScaleShowsAboveItsZero) {
  AtTheScale at;
  at.stand(1, 6);
  ASSERT_TRUE(at.making.take_zero());
  EXPECT_FALSE(at.making.take_load({500, 0.1}));  // nothing is on the pan
  at.stand(503, 6);
  EXPECT_TRUE(at.making.take_load({500, 0.1}));
  at.stand(1004, 6);
  EXPECT_TRUE(at.making.take_load({1000, 0.2}));
  EXPECT_FALSE(at.making.take_zero_again());  // the load is still on it
  at.stand(2, 6);
  EXPECT_TRUE(at.making.take_zero_again());
  const auto& loads = at.making.loads();
  ASSERT_EQ(loads.loads.size(), 2U);
  EXPECT_DOUBLE_EQ(loads.loads[1].indication_g - loads.loads[1].before_g, 1003);
  EXPECT_DOUBLE_EQ(loads.zero_after_g, 2);
  EXPECT_EQ(at.making.result().refusal, Refusal::none);
}

// The same weight put on again has the error that it had the first time: it tells how the scale
// repeats itself and nothing more of the slope.
TEST(Calibrating, TheSameMassAgainIsOneMass) {
  const auto made = [](std::initializer_list<std::int64_t> shown) {
    AtTheScale at;
    at.stand(0, 6);
    EXPECT_TRUE(at.making.take_zero());
    for (const std::int64_t grams : shown) {
      at.stand(grams, 6);
      EXPECT_TRUE(at.making.take_load({1000, 0.5}));
      at.stand(0, 6);
    }
    EXPECT_TRUE(at.making.take_zero_again());
    return at.making;
  };
  const auto twice = made({1000, 1000});
  EXPECT_EQ(twice.loads().masses.size(), 1U);
  EXPECT_GT(twice.result().u_slope, 0.0005);
  EXPECT_DOUBLE_EQ(made({1000, 1001}).result().spread_g, 1.0);
  AtTheScale at;
  at.stand(0, 6);
  ASSERT_TRUE(at.making.take_zero());
  for (const auto& [grams, mass] : {std::pair{1000, 1000.0}, {500, 500.0}, {1003, 1000.0}}) {
    at.stand(grams, 6);
    EXPECT_TRUE(at.making.take_load({mass, mass / 4000}));
    at.stand(0, 6);
  }
  EXPECT_TRUE(at.making.take_zero_again());
  EXPECT_EQ(at.making.result().refusal, Refusal::not_repeating);
}

TEST(Calibrating, OneLoadIsTooFew) {
  AtTheScale at;
  at.stand(0, 6);
  ASSERT_TRUE(at.making.take_zero());
  at.stand(1000, 6);
  EXPECT_TRUE(at.making.take_load({1000, 0.2}));
  EXPECT_EQ(at.making.result().refusal, Refusal::too_few);
  EXPECT_FALSE(at.making.result().apply);
}

TEST(Calibrating, NoticesThatTheUnitWasChanged) {
  AtTheScale at;
  at.stand(0, 6);
  EXPECT_FALSE(at.unit_changed);
  at.stand(0, 1, proto::Unit::oz);
  EXPECT_TRUE(at.unit_changed);
}

proto::ScaleCalibration calibration(double slope, bool applied) {
  return {.interval_ug = kGram,
          .slope = slope,
          .applied = applied,
          .span_uncertainty = 0.0005,
          .heaviest_ug = 500 * kGram,
          .loads = 2};
}

TEST(ScaleBudget, IsThatOfTheCalibrationUpToTwiceItsHeaviestLoad) {
  const auto known = std::optional(calibration(1.0, false));
  const auto within = scale_budget(1000 * kGram, kGram, 5000 * kGram, known);
  EXPECT_EQ(within.linearity_g, 0);
  EXPECT_DOUBLE_EQ(within.span_g, 0.5);
  const auto beyond = scale_budget(1001 * kGram, kGram, 5000 * kGram, known);
  EXPECT_EQ(beyond.span_g, 0);
  EXPECT_DOUBLE_EQ(beyond.linearity_g, 2.0);
  EXPECT_DOUBLE_EQ(scale_budget(100 * kGram, kGram, 5000 * kGram, {}).linearity_g, 1.0);
}

TEST(ScaleBudget, OfACorrectedNetHasTheUncertaintyOfTheSlopeEverywhere) {
  const auto known = std::optional(calibration(1.003, true));
  const auto beyond = scale_budget(2000 * kGram, kGram, 5000 * kGram, known);
  EXPECT_DOUBLE_EQ(beyond.span_g, 1.0);
  EXPECT_GT(beyond.linearity_g, 0);
}

TEST(ScaleBudget, OfASingleLoadKeepsTheLinearityOfTheClass) {
  auto one = calibration(1.003, true);
  one.loads = 1;
  const auto budget = scale_budget(500 * kGram, kGram, 5000 * kGram, one);
  EXPECT_GT(budget.linearity_g, 0);
  EXPECT_DOUBLE_EQ(budget.span_g, 0.25);
}

TEST(CorrectedIndication, IsDividedByASlopeThatIsApplied) {
  EXPECT_EQ(corrected_ug(1003 * kGram, calibration(1.003, true)), 1000 * kGram);
  EXPECT_EQ(corrected_ug(1003 * kGram, calibration(1.003, false)), 1003 * kGram);
  EXPECT_EQ(corrected_ug(1003 * kGram, {}), 1003 * kGram);
}

// Else a scale that flickers between two neighbours would never be at rest.
TEST(CorrectedInterval, HoldsTwoNeighbouringIndications) {
  for (const double slope : {0.98, 0.9973, 1.0021, 1.02}) {
    const auto known = std::optional(calibration(slope, true));
    const std::int64_t step = corrected_interval_ug(kGram, known);
    for (std::int64_t grams = 0; grams < 5000; ++grams) {
      const std::int64_t apart =
          corrected_ug((grams + 1) * kGram, known) - corrected_ug(grams * kGram, known);
      ASSERT_LE(apart, step) << slope << " at " << grams;
    }
    EXPECT_LT(step, 1'030'000);
  }
  EXPECT_EQ(corrected_interval_ug(kGram, {}), kGram);
}

}  // namespace
}  // namespace maslin::weighing
