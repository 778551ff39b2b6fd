// Inside the band or not, and how far inside a critical limit. Figures against outside tables stand
// in tests/reference/weighing_test.cpp.
#include "daemon/weighing/conformity.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

namespace maslin::weighing {
namespace {

constexpr double kInf = std::numeric_limits<double>::infinity();
constexpr NetBudget kScale{.interval_g = 1.0, .repeatability_g = 0.1};

TEST(Conformity, SharesOutOneWhole) {
  for (double net = 90; net <= 110; net += 0.25) {
    const Conformity c = conformity(net, 95.0, 105.0, kScale);
    EXPECT_NEAR(c.within + c.under + c.over, 1.0, 1e-12) << net;
  }
}

TEST(Conformity, OfAOneSidedLimitHasNoOtherSide) {
  EXPECT_EQ(conformity(301, 300, kInf, kScale).over, 0);
  EXPECT_EQ(conformity(299, -kInf, 300, kScale).under, 0);
}

TEST(Guarded, CallsNothingThatItCannotBeSureOf) {
  EXPECT_EQ(guarded(conformity(100, 95, 105, kScale)), Judgement::within);
  EXPECT_EQ(guarded(conformity(95, 95, 105, kScale)), Judgement::undecided);
  EXPECT_EQ(guarded(conformity(93, 95, 105, kScale)), Judgement::under);
  EXPECT_EQ(guarded(conformity(107, 95, 105, kScale)), Judgement::over);
}

TEST(Simple, CountsTheLimitsAsInside) {
  EXPECT_EQ(simple(95, 95, 105, kScale), Judgement::within);
  EXPECT_EQ(simple(94, 95, 105, kScale), Judgement::under);
  EXPECT_EQ(simple(106, 95, 105, kScale), Judgement::over);
}

TEST(Simple, NeverJudgesWhatTheScaleCannot) {
  for (double net = 8; net <= 16; ++net) {
    EXPECT_EQ(simple(net, 11.4, 12.6, kScale), Judgement::undecided) << net;
  }
}

TEST(CriticalGuard, IsNothingWithoutUncertainty) { EXPECT_EQ(critical_guard_g(0, 100, 0.02), 0); }

TEST(CriticalGuard, OfACookWithoutSpreadIsTheScalesOwn) {
  EXPECT_NEAR(critical_guard_g(1.0, 100, 0), 1.645, 1e-3);
}

TEST(CriticalGuard, GrowsWhereTheScaleIsCoarseBesideTheCook) {
  EXPECT_GT(critical_guard_g(0.43, 12, 0.02), critical_guard_g(0.43, 118, 0.02));
}

// "At most 5 % bad at every accepted reading", also for the cook who pours two of his own standard
// deviations short: the promise that the flat prior breaks.
TEST(CriticalGuard, LetsAtMostOneInTwentyBadThrough) {
  std::mt19937 random(977);
  constexpr double kMass = 118.0;
  constexpr double kSpread = 0.02;
  for (const double off : {-2.0, -1.0, 0.0}) {
    for (const double limit : {118.0, 118.3, 118.5, 118.8}) {
      const double sigma = kSpread * kMass;
      const double guard = critical_guard_g(net_uncertainty(kScale).standard_g, kMass, kSpread);
      std::normal_distribution<double> poured(limit + off * sigma, sigma);
      std::uniform_real_distribution<double> vessel(400, 410);
      std::normal_distribution<double> noise(0, 0.1);
      const auto shown = [&](double load) { return std::round(load + noise(random)); };
      int accepted = 0;
      int bad = 0;
      const double lowest = std::ceil(limit + guard);  // where the promise is hardest to keep
      for (int i = 0; i < 400'000; ++i) {
        const double net = poured(random);
        const double tare = vessel(random);
        if (shown(tare + net) - shown(tare) != lowest) continue;
        ++accepted;
        if (net < limit) ++bad;
      }
      ASSERT_GT(accepted, 200);
      EXPECT_LE(static_cast<double>(bad) / accepted, 0.05) << off << " at " << limit;
    }
  }
}

}  // namespace
}  // namespace maslin::weighing
