// Curves of a pan's thermometer and what they say: a pot that cools, a thermometer that is lifted.
#include "daemon/preserving/boil_watch.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace maslin::preserving {
namespace {

std::int64_t mk(double celsius) { return 273'150 + std::llround(celsius * 1000); }

class PanBoil : public testing::Test {
 protected:
  void SetUp() override { watch.begin(mk(99.6)); }
  // To there at so many kelvin a second, or for so long where it stands.
  void to(double celsius, double kelvin_a_second) {
    while (std::abs(celsius - shows) > 1e-9) {
      const double step = std::min(kelvin_a_second, std::abs(celsius - shows));
      shows += celsius > shows ? step : -step;
      feed();
    }
  }
  void stand(int seconds) {
    for (int i = 0; i < seconds; ++i) feed();
  }
  void feed() {
    now_ms += 1000;
    const auto change = watch.feed(now_ms, mk(shows));
    if (change != BoilChange::nothing && change != BoilChange::near) said.push_back(change);
  }
  // Heated to its boil at this rate.
  void boil(double kelvin_a_second = 0.1) {
    to(100, kelvin_a_second);
    stand(60);
    ASSERT_EQ(said, std::vector{BoilChange::reached});
    said.clear();
  }

  BoilWatch watch;
  double shows = 70;
  std::int64_t now_ms = 0;
  std::vector<BoilChange> said;
};

TEST_F(PanBoil, APotThatCoolsHasLeftItsBoilAndIsDatedToWhereTheFallBegan) {
  boil();
  const std::int64_t began_ms = now_ms;
  to(98, 0.05);
  EXPECT_EQ(said, (std::vector{BoilChange::falling, BoilChange::left}));
  EXPECT_FALSE(watch.boiling());
  EXPECT_NEAR(static_cast<double>(watch.on_plateau_ms() - began_ms), 0, 4000);
}

TEST_F(PanBoil, AThermometerThatIsLiftedAndPutBackIsAwayAndBack) {
  boil();
  to(92, 1.5);
  stand(3);
  to(100, 1.5);
  stand(30);
  EXPECT_EQ(said, (std::vector{BoilChange::away, BoilChange::back}));
  EXPECT_TRUE(watch.boiling());
}

TEST_F(PanBoil, FoamAboutTheTipIsAwayAndBack) {
  boil();
  shows -= 2;
  stand(20);
  shows += 2;
  stand(30);
  EXPECT_EQ(said, (std::vector{BoilChange::away, BoilChange::back}));
}

TEST_F(PanBoil, APotThatWasCooledComesBackAsFastAsItIsHeatedAndReachesItsBoilAgain) {
  boil(0.1);
  to(94, 2);
  to(100, 0.1);
  stand(40);
  EXPECT_EQ(said, (std::vector{BoilChange::away, BoilChange::reached}));
}

// A burner that heats a spoonful as fast as a thermometer moves: nobody can tell the two apart.
TEST_F(PanBoil, WhereThePotHeatsAsFastAsAThermometerMovesTheBoilIsReachedAgain) {
  boil(1.2);
  to(94, 2);
  to(100, 1.2);
  stand(40);
  EXPECT_EQ(said, (std::vector{BoilChange::away, BoilChange::reached}));
}

TEST_F(PanBoil, BackUnderItsLevelAFallIsDatedToWhereItWasLastThere) {
  boil();
  const std::int64_t began_ms = now_ms;
  to(92, 2);
  to(99.5, 2);  // back, and not quite at its level
  ASSERT_EQ(said, (std::vector{BoilChange::away, BoilChange::back}));
  to(98, 0.05);
  EXPECT_EQ(said.back(), BoilChange::left);
  EXPECT_NEAR(static_cast<double>(watch.on_plateau_ms() - began_ms), 0, 2000);
}

// Lifted far out of a pot that something cold goes into meanwhile: half of the way back is quick
// all the same, and the rest is the pot's.
TEST_F(PanBoil, AThermometerPutBackIntoAPotThatHasGoneColdIsNotBack) {
  for (const double heats_k_s : {0.1, 0.2, 0.3}) {
    SCOPED_TRACE(heats_k_s);
    watch.begin(mk(99.6));
    said.clear();
    shows = 70;
    boil(heats_k_s);
    to(33, 20);
    stand(4);
    to(93, 20);
    stand(6);
    EXPECT_FALSE(watch.returning());  // the question is not put off
    to(100, heats_k_s);
    stand(40);
    EXPECT_EQ(said, (std::vector{BoilChange::away, BoilChange::reached}));
  }
}

TEST_F(PanBoil, AThermometerThatIsLongInComingToItsLevelIsNotBack) {
  boil();
  to(33, 20);
  to(98.5, 20);
  stand(40);
  to(100, 0.1);
  stand(40);
  EXPECT_EQ(said, (std::vector{BoilChange::away, BoilChange::reached}));
}

// A lag of eight seconds: ever slower towards the end, and still no pot.
TEST_F(PanBoil, ASlowThermometerThatIsPutBackIsBack) {
  boil();
  to(70, 4);
  for (int i = 0; i < 60; ++i) {
    shows += (100 - shows) * (1 - std::exp(-1.0 / 8));
    feed();
  }
  EXPECT_EQ(said, (std::vector{BoilChange::away, BoilChange::back}));
}

TEST_F(PanBoil, WhatStandsUnderItsBoilAfterwardsContradictsAWord) {
  boil();
  to(60, 3);
  EXPECT_FALSE(watch.stands_under());
  to(98, 2);
  EXPECT_FALSE(watch.stands_under());  // on its way
  stand(30);
  EXPECT_TRUE(watch.stands_under());
}

TEST_F(PanBoil, WhatStandsFarBelowIsToldApartFromWhatTheEyeMayTakeForABoil) {
  boil();
  to(60, 3);
  to(98, 2);
  stand(30);
  EXPECT_FALSE(watch.stands_far_below_mk());
  to(96, 0.5);
  EXPECT_FALSE(watch.stands_far_below_mk());
  stand(30);
  EXPECT_EQ(watch.stands_far_below_mk(), mk(96));
  EXPECT_FALSE(watch.stands_under());
}

TEST_F(PanBoil, ALineFarBelowStandsAndIsNoBoil) {
  to(80, 0.1);
  stand(60);
  EXPECT_TRUE(said.empty());
  EXPECT_EQ(watch.stands_mk(), mk(80));
  EXPECT_FALSE(watch.has_boiled());
}

}  // namespace
}  // namespace maslin::preserving
