// How well a net mass is known: what each part of the budget does. Figures against outside tables
// stand in tests/reference/weighing_test.cpp.
#include "daemon/weighing/uncertainty.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

namespace maslin::weighing {
namespace {

constexpr NetBudget kKitchenScale{.interval_g = 1.0, .repeatability_g = 0.1};

TEST(NetUncertainty, OfNothingIsNothing) {
  const NetUncertainty u = net_uncertainty({});
  EXPECT_EQ(u.standard_g, 0);
  EXPECT_EQ(u.half95_g, 0);
}

TEST(NetUncertainty, GrowsWithEveryPartOfTheBudget) {
  const double base = net_uncertainty(kKitchenScale).half95_g;
  for (const NetBudget& more :
       {NetBudget{.interval_g = 2.0, .repeatability_g = 0.1},
        NetBudget{.interval_g = 1.0, .indications = 3, .repeatability_g = 0.1},
        NetBudget{.interval_g = 1.0, .repeatability_g = 0.2},
        NetBudget{.interval_g = 1.0, .repeatability_g = 0.1, .linearity_g = 0.5},
        NetBudget{.interval_g = 1.0, .repeatability_g = 0.1, .drift_g = 0.3},
        NetBudget{.interval_g = 1.0, .repeatability_g = 0.1, .span_g = 0.3},
        NetBudget{.interval_g = 1.0, .repeatability_g = 0.1, .sticking_g = 0.3},
        NetBudget{.interval_g = 1.0, .repeatability_g = 0.1, .buoyancy_g = 0.3}}) {
    EXPECT_GT(net_uncertainty(more).half95_g, base);
  }
}

TEST(NetUncertainty, WithoutNoiseIsThatOfTwoRoundings) {
  // Two rectangles of +-0.5 make a triangle of +-1: 5 % lie beyond 1 - sqrt(0.05).
  const NetUncertainty u = net_uncertainty({.interval_g = 1.0});
  EXPECT_NEAR(u.standard_g, std::sqrt(1.0 / 6.0), 1e-12);
  EXPECT_NEAR(u.half95_g, 1.0 - std::sqrt(0.05), 1e-9);
}

TEST(NetUncertainty, OfNoiseAloneIsNormal) {
  const NetUncertainty u = net_uncertainty({.indications = 1, .repeatability_g = 2.0});
  EXPECT_NEAR(u.half95_g, 2.0 * 1.959964, 1e-5);
  EXPECT_NEAR(u.half90_g, 2.0 * 1.644854, 1e-5);
}

TEST(NetUncertainty, OfManyIndicationsIsStillOne) {
  const NetUncertainty u =
      net_uncertainty({.interval_g = 1.0, .indications = 40, .repeatability_g = 0.1});
  EXPECT_NEAR(u.standard_g, std::sqrt(40.0 * (1.0 / 12.0 + 0.01)), 1e-9);
  EXPECT_NEAR(u.half95_g / u.standard_g, 1.96, 0.02);
}

TEST(ErrorCdf, HasNoNoiseFarOut) {
  const double inf = std::numeric_limits<double>::infinity();
  EXPECT_EQ(error_cdf(kKitchenScale, -inf), 0.0);
  EXPECT_EQ(error_cdf(kKitchenScale, inf), 1.0);
  EXPECT_EQ(error_cdf(kKitchenScale, -1e9), 0.0);
  double before = 0;
  for (double x = -3.0; x <= 3.0; x += 0.01) {
    const double p = error_cdf(kKitchenScale, x);
    EXPECT_GE(p, before - 1e-12);
    before = p;
  }
}

// The cover of the interval, with vessel and net anywhere between the digits: 93 to 97 % is asked
// where the errors are drawn as the budget says.
TEST(NetUncertainty, CoversNineteenOfTwentyTrueMasses) {
  std::mt19937 random(20260507);
  for (const double d : {0.1, 1.0, 2.0, 5.0}) {
    const NetBudget budget{.interval_g = d, .repeatability_g = 0.1 * d};
    const double half = net_uncertainty(budget).half95_g;
    std::uniform_real_distribution<double> vessel(400 * d, 410 * d);
    std::uniform_real_distribution<double> content(100 * d, 120 * d);
    std::normal_distribution<double> noise(0, 0.1 * d);
    const auto shown = [&](double load) { return std::round((load + noise(random)) / d) * d; };
    int inside = 0;
    constexpr int kDraws = 100'000;
    for (int i = 0; i < kDraws; ++i) {
      const double tare = vessel(random);
      const double net = content(random);
      if (std::abs(shown(tare + net) - shown(tare) - net) <= half) ++inside;
    }
    EXPECT_NEAR(static_cast<double>(inside) / kDraws, 0.95, 0.005) << d;
  }
}

TEST(UncalibratedBudget, TakesTheClassOfTheScale) {
  const NetBudget fine = uncalibrated_budget(150.0, 0.1, 5000.0);
  EXPECT_DOUBLE_EQ(fine.linearity_g, 0.5);  // e is 0.5 g, not d
  EXPECT_DOUBLE_EQ(fine.repeatability_g, 0.01);
  EXPECT_EQ(fine.indications, 2);
}

}  // namespace
}  // namespace maslin::weighing
