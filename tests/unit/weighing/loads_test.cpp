// Trays on a scale, one after the other: which count, and what they weigh whatever the zero is.
#include "daemon/weighing/loads.hpp"

#include <gtest/gtest.h>

#include "bench_scale.hpp"

namespace maslin::weighing {
namespace {

class LoadsTest : public ::testing::Test {
 protected:
  void SetUp() override {
    scale.heard = [this](std::int64_t at_ms, const PanChange& change) {
      const auto found = loads.feed(at_ms, scale.pan, change);
      taken += found.taken ? 1 : 0;
      too_soon += found.too_soon ? 1 : 0;
      warm += found.warm ? 1 : 0;
      removed_g += static_cast<double>(found.removed_ug) / 1e6;
    };
    scale.wait(3);
  }
  void tray(double grams, double seconds = 8) {
    scale.put(grams);
    scale.wait(seconds - 6 + 3);  // put waits six
    scale.empty();
  }
  double gross_g(std::size_t i) const {
    return static_cast<double>(loads.taken()[i].gross_ug) / 1e6;
  }

  BenchScale scale;
  Loads loads;
  int taken = 0;
  int too_soon = 0;
  int warm = 0;
  double removed_g = 0;
};

TEST_F(LoadsTest, EachIsTakenOnceAndSumsUp) {
  tray(612);
  tray(655);
  tray(640, 60);
  EXPECT_EQ(taken, 3);
  ASSERT_EQ(loads.taken().size(), 3U);
  EXPECT_NEAR(gross_g(1), 655, 0.6);
  EXPECT_NEAR(static_cast<double>(loads.sum_ug()) / 1e6, 1907, 1.5);
  EXPECT_EQ(too_soon, 0);
  EXPECT_EQ(warm, 0);
}

TEST_F(LoadsTest, OneThatIsLiftedTooSoonDoesNotCount) {
  scale.put(612);  // and off after six seconds, before it had rested for so long
  scale.empty();
  EXPECT_EQ(taken, 0);
  EXPECT_EQ(too_soon, 1);
  tray(612);
  EXPECT_EQ(taken, 1);
}

// Straight from the drier: the air over it lifts it, and it settles slowly.
TEST_F(LoadsTest, AWarmOneSlidesAndDoesNotCount) {
  scale.put(606);
  scale.slide(6, 40);
  scale.empty();
  EXPECT_EQ(warm, 1);
  EXPECT_TRUE(loads.taken().empty());
  tray(612);
  EXPECT_EQ(loads.taken().size(), 1U);
}

TEST_F(LoadsTest, OneExchangedForAnotherInOneGoIsAnother) {
  scale.put(612);
  scale.wait(4);
  scale.lift(1.5, 30);  // off, and another one on at once
  scale.wait(4);
  scale.empty();
  ASSERT_EQ(loads.taken().size(), 2U);
  EXPECT_NEAR(gross_g(1), 642, 0.6);
}

TEST_F(LoadsTest, OneUponTheOtherCountsAsItWeighsInTheEnd) {
  scale.put(612);
  scale.wait(4);
  scale.put(640);
  scale.wait(4);
  scale.empty();
  ASSERT_EQ(loads.taken().size(), 1U);
  EXPECT_NEAR(gross_g(0), 1252, 0.6);
}

TEST_F(LoadsTest, WhatIsTakenOffOneThatWasTakenIsToldAndItCountsWithout) {
  scale.put(612);
  scale.wait(4);
  scale.take_out(25);
  scale.wait(4);
  scale.empty();
  EXPECT_NEAR(removed_g, 25, 1);
  ASSERT_EQ(loads.taken().size(), 1U);
  EXPECT_NEAR(gross_g(0), 587, 0.6);
}

TEST_F(LoadsTest, TheTareKeyUnderALoadMakesTheNextNoLighter) {
  scale.put(612);
  scale.wait(4);
  scale.zero_key();
  scale.empty();
  tray(640);
  ASSERT_EQ(loads.taken().size(), 2U);
  EXPECT_NEAR(gross_g(0), 612, 0.6);
  EXPECT_NEAR(gross_g(1), 640, 0.6);
}

TEST_F(LoadsTest, AScaleThatSleptBetweenTwoHasANewZeroAndTheSameLoads) {
  tray(612);
  loads.unwatched();
  scale.lose_power(200);
  tray(640);
  ASSERT_EQ(loads.taken().size(), 2U);
  EXPECT_NEAR(gross_g(1), 640, 0.6);
}

TEST_F(LoadsTest, AScaleThatSleptUnderALoadKnowsTheNextOne) {
  scale.put(612);
  scale.wait(4);
  loads.unwatched();
  scale.lose_power(200);
  scale.empty();
  tray(640);
  ASSERT_EQ(loads.taken().size(), 2U);
  EXPECT_NEAR(gross_g(1), 640, 0.6);
}

TEST_F(LoadsTest, WhatLiesThereWhenAWeighInIsOverIsNotTakenAgain) {
  scale.put(612);
  scale.wait(4);
  loads.begin();
  scale.wait(20);
  EXPECT_TRUE(loads.taken().empty());
  scale.empty();
  tray(640);
  EXPECT_EQ(loads.taken().size(), 1U);
}

TEST_F(LoadsTest, WhatIsNoLoadIsDropped) {
  scale.put(180);
  scale.wait(4);
  loads.drop();
  scale.wait(10);
  scale.empty();
  EXPECT_TRUE(loads.taken().empty());
  EXPECT_EQ(too_soon, 0);
}

}  // namespace
}  // namespace maslin::weighing
