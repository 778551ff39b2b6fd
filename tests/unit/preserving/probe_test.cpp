// A thermometer held against ice and boil: what is no such point, when it stands still, and how its
// readings are corrected from then on.
#include "daemon/preserving/probe.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "daemon/quantity/probe.hpp"

namespace maslin::preserving {
namespace {

using testing::HasSubstr;

constexpr std::int64_t zero_mk = 273'150;
constexpr std::int64_t boil_mk = zero_mk + 99'600;

std::int64_t mk(double celsius) { return zero_mk + std::llround(celsius * 1000); }

proto::ProbeCalibration calibrated(double ice_c, double boil_c) {
  proto::ProbeCalibration one;
  one.ice_mk = mk(ice_c);
  one.boil_mk = mk(boil_c);
  one.boil_true_mk = boil_mk;
  one.boil_by = "altitude";
  one.ice_u_mk = 60;
  one.boil_u_mk = 260;
  return one;
}

TEST(ProbeLine, PassesThroughIceAndBoil) {
  const auto line = calibrated(0.3, 100.2);
  EXPECT_EQ(quantity::corrected_mk(mk(0.3), line), zero_mk);
  EXPECT_EQ(quantity::corrected_mk(mk(100.2), line), boil_mk);
  EXPECT_EQ(quantity::corrected_mk(mk(50.25), line), zero_mk + 49'800);
  EXPECT_EQ(quantity::corrected_mk(mk(-9.69), line), mk(-9.96));
}

TEST(ProbeLine, LeavesWhatWasNeverCalibrated) {
  EXPECT_EQ(quantity::corrected_mk(mk(104.4), std::nullopt), mk(104.4));
  EXPECT_EQ(quantity::probe_u_mk(mk(104.4), std::nullopt), 577);
}

TEST(ProbeLine, IsLessSureTheFurtherItReaches) {
  const auto line = calibrated(0, 99.6);
  EXPECT_EQ(quantity::probe_u_mk(zero_mk, line), 60);
  EXPECT_EQ(quantity::probe_u_mk(boil_mk, line), 260);
  EXPECT_GT(quantity::probe_u_mk(mk(120), line), 310);
}

TEST(ProbeLine, SaysInWordsWhatIsKnown) {
  EXPECT_THAT(quantity::words(calibrated(0, 99.9)), HasSubstr("0.3 K too much at the boil"));
  EXPECT_THAT(quantity::words(calibrated(0, 99.9)), HasSubstr("0.52 K (95 %)"));
}

TEST(ProbePoints, NameWhatTheyLookLike) {
  EXPECT_FALSE(no_ice(mk(0.4)).has_value());
  EXPECT_THAT(no_ice(mk(32.1))->what, HasSubstr("Fahrenheit"));
  EXPECT_THAT(no_ice(mk(21))->what, HasSubstr("no ice"));
  EXPECT_THAT(no_ice(mk(85))->what, HasSubstr("measured nothing"));
  EXPECT_FALSE(no_boil(mk(98.9), boil_mk).has_value());
  EXPECT_THAT(no_boil(mk(211), boil_mk)->what, HasSubstr("Fahrenheit"));
  EXPECT_THAT(no_boil(mk(85), boil_mk)->what, HasSubstr("measured nothing"));
  EXPECT_THAT(no_boil(mk(60), boil_mk)->what, HasSubstr("water boils at 99.6 °C here"));
}

TEST(ProbePoints, ABoilThatIsOffWhereTheIceIsRightSpeaksOfTheAltitude) {
  EXPECT_THAT(no_altitude(mk(0.2), mk(95), boil_mk)->what, HasSubstr("the altitude seems wrong"));
  EXPECT_THAT(no_altitude(mk(0.2), mk(95), boil_mk)->todo, HasSubstr("--altitude \"METRES m\""));
  EXPECT_TRUE(no_altitude(mk(-0.9), mk(101.2), boil_mk).has_value());
  EXPECT_FALSE(no_altitude(mk(0.2), mk(98.3), boil_mk).has_value());
  EXPECT_FALSE(no_altitude(mk(1.9), mk(101.5), boil_mk).has_value());
}

TEST(StillProbe, WaitsForALaggingProbe) {
  StillProbe still;
  std::int64_t at_ms = 0;
  std::optional<std::int64_t> level;
  for (; !level && at_ms < 600'000; at_ms += 1000) {
    const double shown = 100 - 78 * std::exp(-static_cast<double>(at_ms) / 20'000);
    still.feed(at_ms, mk(std::round(shown * 10) / 10), 100);
    level = still.level_mk();
  }
  ASSERT_TRUE(level.has_value());
  EXPECT_NEAR(static_cast<double>(*level), static_cast<double>(mk(100)), 60);
}

TEST(StillProbe, IsNotStillWhileItDriftsOrHasFewReadings) {
  StillProbe still;
  for (std::int64_t at_ms = 0; at_ms < 120'000; at_ms += 1000) {
    still.feed(at_ms, mk(20 + static_cast<double>(at_ms) / 100'000), 10);
    EXPECT_FALSE(still.level_mk().has_value());
  }
  StillProbe sparse;
  for (std::int64_t at_ms = 0; at_ms <= 60'000; at_ms += 20'000) sparse.feed(at_ms, mk(20), 100);
  EXPECT_FALSE(sparse.level_mk().has_value());
}

TEST(StillProbe, KnowsTheWiderStepThatItsReadingsComeIn) {
  StillProbe still;
  still.feed(0, mk(20), 1);
  still.feed(1000, mk(20.0625), 1);
  EXPECT_NEAR(static_cast<double>(still.interval_mk()), 62.5, 1);
}

}  // namespace
}  // namespace maslin::preserving
