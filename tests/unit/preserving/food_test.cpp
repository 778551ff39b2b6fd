// What is refused, and why: the limits of syrup, brine, cures, process times, acid and pH.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "daemon/preserving/acidity.hpp"
#include "daemon/preserving/activity.hpp"
#include "daemon/preserving/brine.hpp"
#include "daemon/preserving/drying.hpp"
#include "daemon/preserving/lethality.hpp"
#include "daemon/preserving/probe.hpp"
#include "daemon/preserving/process_times.hpp"
#include "daemon/preserving/setting.hpp"
#include "daemon/preserving/syrup.hpp"

namespace maslin::preserving {
namespace {

using testing::HasSubstr;

template <class T>
std::string why(const proto::Result<T>& result) {
  return result ? "" : proto::line(result.error());
}

TEST(Syrup, AnElevationShrinksWithThePressureAndLeadsBackToItsSolids) {
  const double sea = elevation_k(65, 101325).value();
  const double mountain = elevation_k(65, 75000).value();
  EXPECT_LT(mountain, sea);
  EXPECT_GT(mountain, 0.9 * sea);
  const double water_k = solids_of_boiling_pct(400, 101325) ? 0 : 364.9;  // 400 K is beyond 70 %
  EXPECT_GT(water_k, 0);
  EXPECT_THAT(why(solids_of_boiling_pct(333.15, 101325)), HasSubstr("water boils at 99.97 °C"));
}

TEST(Syrup, IsNotKnownBeyondItsTables) {
  EXPECT_THAT(why(elevation_k(70.1, 101325)), HasSubstr("0 to 70 %"));
  EXPECT_THAT(why(elevation_k(65, 2990)), HasSubstr("500 to 1100 hPa"));
  EXPECT_FALSE(refractive_index(-1).has_value());
  EXPECT_THAT(why(solids_of_refraction_pct(1.45, 12)), HasSubstr("15 to 30 °C"));
}

TEST(Activity, OfAMixtureIsTheProductOfWhatEachMakesAlone) {
  const double sugar = water_activity({.sucrose_g = 100, .water_g = 100}).value();
  const double salt = water_activity({.salt_g = 5, .water_g = 100}).value();
  const double both = water_activity({.sucrose_g = 100, .salt_g = 5, .water_g = 100}).value();
  EXPECT_DOUBLE_EQ(both, sugar * salt);
  EXPECT_FALSE(water_activity({.sucrose_g = 100}).has_value());
  EXPECT_THAT(why(water_activity({.sucrose_g = 80, .water_g = 20})), HasSubstr("holds to 70 %"));
}

TEST(Brine, ThatIsShortIsMadeAgainInItsOwnProportion) {
  const auto more = brine_more(500, 5);
  EXPECT_DOUBLE_EQ(more.salt_g, 25);
  EXPECT_DOUBLE_EQ(more.water_g, 475);
  EXPECT_THAT(why(salometer_deg(27)), HasSubstr("26.395"));
}

TEST(Cure, ItsBasisIsStatedAndGramsPerKilogramAreNoPercent) {
  EXPECT_DOUBLE_EQ(cure_salt_g(1000, 500, 2, CureBasis::meat).value(), 20);
  EXPECT_DOUBLE_EQ(cure_salt_g(1000, 500, 2, CureBasis::meat_and_water).value(), 30);
  EXPECT_THAT(why(cure_salt_g(1000, 0, 26, CureBasis::meat)), HasSubstr("not grams per kilogram"));
}

TEST(Nitrite, TakesAFractionAndNeverPercent) {
  EXPECT_THAT(why(nitrite_ppm(2.5, 6.25, 1000)), HasSubstr("6.25 % is 0.0625"));
  EXPECT_NEAR(nitrite_pumped_ppm(200, 0.0625, 10000, 10).value(), 125, 1e-9);
  EXPECT_EQ(nitrite_limit("sausage of my own"), nullptr);
}

TEST(Drying, LeadsToLessWater) {
  EXPECT_THAT(why(dried_g(1000, 20, 30)), HasSubstr("less water, not to more"));
}

TEST(ProcessTime, HasTheReasonWhereThereIsNone) {
  EXPECT_THAT(why(process_time("pumpkin butter", 250, 0)), HasSubstr("no printed time is known"));
  EXPECT_THAT(why(process_time("green beans", 250, 0)), HasSubstr("pressure canner only"));
  EXPECT_THAT(why(process_time("or", 250, 0)), HasSubstr("no printed time is known"));
  EXPECT_EQ(process_time("jam", 250, 0)->row, process_time("jelly or jam", 250, 0)->row);
  EXPECT_THAT(why(process_time("jelly or jam", 1000, 0)), HasSubstr("jars of 1000 mL"));
  EXPECT_THAT(why(process_time("vegetables in water", 250, 0)), HasSubstr("pressure canner only"));
  EXPECT_FALSE(process_time("jelly or jam", 250, 4000).has_value());
  // A smaller jar has the row in full.
  EXPECT_EQ(process_time("jelly or jam", 120, 0)->minutes, 5);
}

TEST(ProcessTime, AThousandFeetAreInTheFirstBandAndOneMoreInTheSecond) {
  EXPECT_EQ(process_time("jelly or jam", 250, 304.8)->minutes, 5);
  EXPECT_EQ(process_time("jelly or jam", 250, 305.1048)->minutes, 10);
  EXPECT_EQ(process_time("jelly or jam", 250, 304.801)->minutes, 10);
  EXPECT_EQ(process_time("jelly or jam", 250, 1828.8)->minutes, 10);
}

TEST(Probe, WithOtherDegreesOrOffItsBoilIsRefused) {
  EXPECT_THAT(why(calibrate_probe(32, 212, 101325, 900, 0.1)), HasSubstr("read °C"));
  EXPECT_THAT(why(calibrate_probe(0, 85, 101325, 900, 0.1)), HasSubstr("boil water hard"));
}

TEST(Acid, EssenceIsNoVinegar) {
  EXPECT_NEAR(acetic_acid(5)->ph, 2.4, 0.1);
  EXPECT_THAT(why(acetic_acid(50)), HasSubstr("burns skin and eyes"));
}

PhReading jar_of(double ph) { return {.ph = ph, .hours_after = 30}; }

TEST(Ph, IsCalledOnlyWhereItsUncertaintyAllows) {
  EXPECT_EQ(judge_ph(jar_of(4.0), kAcidifiedPh)->verdict, PhVerdict::within);
  EXPECT_EQ(judge_ph(jar_of(4.6), kAcidifiedPh)->verdict, PhVerdict::undecided);
  EXPECT_EQ(judge_ph(jar_of(4.8), kAcidifiedPh)->verdict, PhVerdict::over);
}

TEST(Ph, OfAMeterOrAJarThatIsNotReadyIsRefused) {
  PhReading paper = jar_of(4.0);
  paper.resolution = 0.5;
  EXPECT_THAT(why(judge_ph(paper, kAcidifiedPh)), HasSubstr("paper will not do"));
  PhReading early = jar_of(4.0);
  early.hours_after = 3;
  EXPECT_THAT(why(judge_ph(early, kAcidifiedPh)), HasSubstr("a day or more"));
  PhReading off = jar_of(4.0);
  off.low_shown = 4.3;
  EXPECT_THAT(why(judge_ph(off, kAcidifiedPh)), HasSubstr("two buffers"));
  PhReading far = jar_of(4.0);
  far.low_buffer = far.low_shown = 7;
  far.high_buffer = far.high_shown = 10;
  EXPECT_THAT(why(judge_ph(far, kAcidifiedPh)), HasSubstr("4.01 and 7.00"));
  PhReading below = jar_of(4.0);
  below.low_buffer = below.low_shown = 1.68;
  below.high_buffer = below.high_shown = 4.01;
  EXPECT_THAT(why(judge_ph(below, kAcidifiedPh)), HasSubstr("4.01 and 7.00"));
}

TEST(Lethality, TimeGoesOn) {
  const std::vector<Point> back = {{0, 100}, {2, 100}, {1, 100}};
  EXPECT_FALSE(lethality_min(back, 93.3, 8.9).has_value());
  const std::vector<Point> flat = {{0, 93.3}, {10, 93.3}};
  EXPECT_NEAR(lethality_min(flat, 93.3, 8.9).value(), 10, 1e-12);
}

}  // namespace
}  // namespace maslin::preserving
