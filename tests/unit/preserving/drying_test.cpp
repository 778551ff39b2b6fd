// What the forecast of drying says of loads that dry exactly as it believes, and where it is
// silent.
#include "daemon/preserving/drying.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace maslin::preserving {
namespace {

constexpr double stays_g = 155;
constexpr double rate_h = 0.2;

// A kilogram of which 144 g are dry, weighed at these hours to half a gram.
std::vector<DryPoint> weighed_at(std::initializer_list<double> hours) {
  std::vector<DryPoint> all;
  for (const double at : hours) {
    all.push_back({at, stays_g + (1000 - stays_g) * std::exp(-rate_h * at), 0.5});
  }
  return all;
}
double true_hours(double target_g, double from_h) {
  return std::log((1000 - stays_g) / (target_g - stays_g)) / rate_h - from_h;
}

TEST(DryingForecast, SaysNothingBeforeTheSecondWeighIn) {
  EXPECT_FALSE(drying_forecast(weighed_at({0}), 144, 190).has_value());
  EXPECT_FALSE(drying_forecast({}, 144, 190).has_value());
  EXPECT_FALSE(drying_expected(weighed_at({0}), 144, 190, 1).has_value());
}

TEST(DryingForecast, HoldsTheTruthOfAStraightLine) {
  for (const double target_g : {180.0, 220.0, 400.0}) {
    const auto forecast = drying_forecast(weighed_at({0, 3, 5}), 144, target_g);
    ASSERT_TRUE(forecast.has_value());
    const double truth = true_hours(target_g, 5);
    EXPECT_LT(forecast->from_hours, truth);
    EXPECT_GT(forecast->to_hours, truth);
    EXPECT_GT(forecast->hours, 0.7 * truth);
    EXPECT_LT(forecast->hours, 1.4 * truth);
  }
}

TEST(DryingForecast, IsWiderWhereTheDryMatterIsNotKnown) {
  const auto known = drying_forecast(weighed_at({0, 3, 5}), 144, 190);
  const auto unknown = drying_forecast(weighed_at({0, 3, 5}), 0, 190);
  ASSERT_TRUE(known && unknown);
  EXPECT_LT(known->to_hours - known->from_hours, unknown->to_hours - unknown->from_hours);
}

TEST(DryingForecast, SaysNothingOfALossThatTheScaleIsNotSureOf) {
  const std::vector<DryPoint> all{{0, 1000, 2}, {4, 998, 2}, {8, 1001, 2}};
  EXPECT_FALSE(drying_forecast(all, 144, 190).has_value());
}

TEST(DryingForecast, SaysNothingOnceTheTargetIsReached) {
  EXPECT_FALSE(drying_forecast(weighed_at({0, 3, 30}), 144, 190).has_value());
}

// Standing still for days is no drying: what comes after it is judged by the newest rate.
TEST(DryingForecast, GoesByTheNewestRateMoreThanByAnOldOne) {
  auto all = weighed_at({0, 2, 4, 6, 8});
  const auto before = drying_forecast(all, 144, 190);
  // From here on half as fast.
  for (const double later : {4.0, 8.0, 12.0}) {
    const double left_g = all[4].mass_g - stays_g;
    all.push_back({8 + later, stays_g + left_g * std::exp(-rate_h / 2 * later), 0.5});
  }
  const auto after = drying_forecast(all, 144, 170);
  ASSERT_TRUE(before && after);
  const double truth = std::log((all.back().mass_g - stays_g) / (170 - stays_g)) / (rate_h / 2);
  EXPECT_GT(after->to_hours, truth);
  EXPECT_LT(after->from_hours, truth);
}

TEST(DryingExpected, LiesOnTheLineAndSpreadsWithTheHours) {
  const auto all = weighed_at({0, 3, 5});
  const auto soon = drying_expected(all, 144, 190, 1);
  const auto later = drying_expected(all, 144, 190, 4);
  ASSERT_TRUE(soon && later);
  const double truth_g = stays_g + (1000 - stays_g) * std::exp(-rate_h * 6);
  EXPECT_NEAR(soon->mass_g, truth_g, 2 * soon->spread_g);
  EXPECT_GT(later->spread_g, soon->spread_g);
  EXPECT_LT(later->mass_g, soon->mass_g);
}

TEST(DryingMassBalance, WaterLeftFollowsFromWhatIsLeft) {
  EXPECT_NEAR(water_left_pct(85.56, 0.1805), 20, 1e-9);
  EXPECT_EQ(water_left_pct(80, 0.1), 0);  // less than its dry matter: the table was off
}

}  // namespace
}  // namespace maslin::preserving
