// Syrup, brine, cures, process times and probes against published tables; the source and how sure
// we are of it stand in the first line of each file.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "daemon/preserving/activity.hpp"
#include "daemon/preserving/boiling.hpp"
#include "daemon/preserving/brine.hpp"
#include "daemon/preserving/drying.hpp"
#include "daemon/preserving/lethality.hpp"
#include "daemon/preserving/probe.hpp"
#include "daemon/preserving/process_times.hpp"
#include "daemon/preserving/setting.hpp"
#include "daemon/preserving/syrup.hpp"
#include "tests/reference/csv.hpp"

namespace maslin::preserving {
namespace {

using reference::Row;
using reference::table;

constexpr double kStandardPa = 101325;

// Both ways; the table is printed to a tenth of a millikelvin.
TEST(StarzakPeacockTable, BoilingPointElevationOfSucrose) {
  for (const Row& row : table("sucrose_bpe.csv")) {
    SCOPED_TRACE(row.shown());
    const double pct = row.number("mass_pct");
    const double printed = row.number("bpe_K_table");
    EXPECT_NEAR(elevation_k(pct, kStandardPa).value(), printed, 1e-4);
    const double boiling_k = saturation_temperature_k(kStandardPa).value() + printed;
    EXPECT_NEAR(solids_of_boiling_pct(boiling_k, kStandardPa).value(), pct, 0.005);
  }
}

// Apparent, in air; the last column is the same times the apparent density of water, 0.99717.
TEST(NbsCircular440Table114, SpecificGravityOfSucrose) {
  for (const Row& row : table("nbs_c440_table114_sg20.csv")) {
    SCOPED_TRACE(row.shown());
    const double density = syrup_density_kg_m3(row.number("brix")).value();
    EXPECT_NEAR((density - 1.2) / (998.207 - 1.2), row.number("apparent_sg_20_20"), 2e-5);
    EXPECT_NEAR((density - 1.2) / 1000, row.number("gnu_units_density_g_cm3"), 2.5e-4);
  }
}

TEST(IcumsaTable, RefractiveIndexOfSucroseBothWays) {
  for (const Row& row : table("refractive_index_icumsa_20C.csv")) {
    SCOPED_TRACE(row.shown());
    const double pct = row.number("mass_pct");
    EXPECT_NEAR(refractive_index(pct).value(), row.number("n_D20"), 5e-5);
    EXPECT_NEAR(solids_of_refraction_pct(row.number("n_D20"), 20).value(), pct, 0.03);
  }
}

// The first model is the one that the file calls its own; ours is the second, but for its molar
// mass of water, 18.02. They part by 0.0016 at 70 %.
TEST(SucroseActivityTable, NorrishWithinTheModelsDifference) {
  for (const Row& row : table("sucrose_aw.csv")) {
    const double pct = row.number("mass_pct");
    if (pct > kMostBoilingPct) continue;  // beyond what we answer
    SCOPED_TRACE(row.shown());
    const double activity = water_activity({.sucrose_g = pct, .water_g = 100 - pct}).value();
    EXPECT_NEAR(activity, row.number("aw_norrish_K6.47"), 6e-5);
    EXPECT_NEAR(activity, row.number("aw_SP_25C"), 0.002);
  }
}

TEST(RobinsonStokesTable, ActivityOfSaltInWater) {
  for (const Row& row : table("nacl_osmotic_25C.csv")) {
    SCOPED_TRACE(row.shown());
    const double activity = brine_activity(row.number("mass_pct")).value();
    EXPECT_NEAR(activity, row.number("aw_RS"), 3e-5);
    EXPECT_NEAR(activity, row.number("aw_pitzer"), 3e-4);
  }
  EXPECT_NEAR(brine_activity(kSaturatedBrinePct).value(), 0.753, 0.0015);  // saturated, 25 °C
}

TEST(SodiumChlorideTable, DensityAtTwentyDegrees) {
  for (const Row& row : table("nacl_density.csv")) {
    SCOPED_TRACE(row.shown());
    const double pct = row.number("mass_pct");
    const double density = brine_density_kg_m3(pct).value();
    EXPECT_NEAR(density, row.number("rho_20C"), 0.05);
    EXPECT_NEAR(density * pct / 100, row.number("g_per_L_20C"), 0.08);
  }
}

TEST(SalometerDefinition, DegreesOfABrine) {
  for (const Row& row : table("salometer.csv")) {
    SCOPED_TRACE(row.shown());
    EXPECT_NEAR(salometer_deg(row.number("pct_NaCl_by_weight")).value(), row.number("deg_SAL"),
                0.002);
  }
}

TEST(NitriteRule, LimitsByProduct) {
  std::vector<double> ours;
  for (const auto& limit : nitrite_limits()) ours.push_back(limit.most_ppm);
  std::vector<double> printed;
  for (const Row& row : table("nitrite_limits.csv")) {
    if (!row.empty("max_ingoing_NaNO2_ppm")) printed.push_back(row.number("max_ingoing_NaNO2_ppm"));
  }
  EXPECT_EQ(ours, printed);
}

// Sodium nitrite of the two worked examples: 0.25 % of a cure of 6.25 %, and 0.40 % in 5 lb of rub
// on 100 lb.
TEST(NitriteHandbook, WorkedExamples) {
  const auto rows = table("nitrite_worked.csv");
  ASSERT_EQ(rows.size(), 2U);
  EXPECT_NEAR(nitrite_ppm(0.25, 0.0625, 100).value(), rows[0].number("printed"), 1e-6);
  EXPECT_NEAR(nitrite_ppm(5, 0.004, 100).value(), rows[1].number("printed"), 1e-6);
}

TEST(DryingYield, MassBalance) {
  for (const Row& row : table("drying_yield.csv")) {
    SCOPED_TRACE(row.shown());
    const double left =
        dried_g(row.number("W0_g"), row.number("M0_pct"), row.number("Mf_pct")).value();
    EXPECT_NEAR(left, row.number("Wf_g"), 0.006);
    EXPECT_NEAR(row.number("W0_g") / left, row.number("drying_ratio"), 6e-4);
  }
}

// Every row at both ends of its band, with the jar that it is printed for.
TEST(ProcessTimeTable, EveryRowAtBothEdgesOfItsBand) {
  const std::map<std::string, std::string> ours = {
      {"jelly/jam (with or without added pectin), sterilised jars", "jelly or jam"},
      {"pickled yellow (banana) pepper rings", "yellow pepper rings, pickled"},
      {"pickled hot peppers / jalapeno rings", "hot pepper rings, pickled"},
      {"peaches (generic +5 min ladder)", "peaches"},
      {"apricot-pineapple reduced-sugar spread", "apricot-pineapple reduced-sugar spread"}};
  int held = 0;
  for (const Row& row : table("process_times_boiling_water.csv")) {
    SCOPED_TRACE(row.shown());
    const std::string& printed = row.text("product");
    if (printed.find("LOW ACID") != std::string::npos) {
      const auto none = process_time("plain peppers", 200, 100);
      ASSERT_FALSE(none.has_value());
      EXPECT_THAT(none.error().what, testing::HasSubstr("pressure canner only"));
      ++held;
      continue;
    }
    const double jar_ml =
        row.text("jar").find("half") == 0 && row.text("jar").size() < 12 ? 236.6 : 473.2;
    std::vector<double> feet = {row.number("alt_min_ft")};
    feet.push_back(row.empty("alt_max_ft") ? 9999 : row.number("alt_max_ft"));
    for (const double edge : feet) {
      const auto time = process_time(ours.at(printed), jar_ml, edge * 0.3048);
      ASSERT_TRUE(time.has_value()) << proto::line(time.error());
      EXPECT_EQ(static_cast<double>(time->minutes), row.number("minutes"));
      EXPECT_EQ(time->checked, row.text("status").starts_with("verified"));
    }
    ++held;
  }
  EXPECT_EQ(held, 18);
}

TEST(SterilisingJars, TenMinutesAndOneForEachThousandFeet) {
  for (const Row& row : table("rule_altitude_add_minutes.csv")) {
    if (!row.text("rule").starts_with("jar steril")) continue;
    SCOPED_TRACE(row.shown());
    for (const char* edge : {"alt_min_ft", "alt_max_ft"}) {
      const double feet = row.number(edge);
      EXPECT_EQ(static_cast<double>(sterilise_minutes(feet * 0.3048).value()),
                10 + row.number("add_min"));
    }
  }
}

TEST(ProbeTwoPointTable, CorrectedByIceAndByTheLocalBoil) {
  for (const Row& row : table("probe_two_point.csv")) {
    SCOPED_TRACE(row.shown());
    const auto probe = calibrate_probe(row.number("reading_ice_c"), row.number("reading_boil_c"),
                                       row.number("pressure_pa"), 900, 0.1);
    ASSERT_TRUE(probe.has_value()) << proto::line(probe.error());
    EXPECT_NEAR(probe->boiling_c, row.number("boiling_point_c"), 6e-5);
    EXPECT_NEAR(probe->slope, row.number("gain"), 6e-7);
    const double corrected = probe->corrected_c(row.number("reading_c"));
    EXPECT_NEAR(corrected, row.number("temp_c"), 6e-5);
    EXPECT_NEAR(corrected - probe->boiling_c, row.number("above_local_boiling_k"), 6e-5);
  }
}

// Simulated elsewhere: at the setting point 0.28 K by altitude alone, 0.08 K with a barometer good
// to a hectopascal.
TEST(ProbeTwoPointTable, UncertaintyAtTheSettingPoint) {
  const auto altitude = calibrate_probe(0, 100, kStandardPa, 900, 0.1).value();
  EXPECT_NEAR(altitude.standard_uncertainty_c(104.4), 0.28, 0.02);
  const auto barometer = calibrate_probe(0, 100, kStandardPa, 100, 0.1).value();
  EXPECT_NEAR(barometer.standard_uncertainty_c(104.4), 0.08, 0.02);
}

// The file prints both the trapezoid over the lethal rate, which is our rule, and the exact
// integral.
TEST(LethalityProfile, TrapezoidRule) {
  std::vector<Point> profile;
  for (const Row& row : table("lethality_worked.csv")) {
    profile.push_back({row.number("t_min"), row.number("T_F")});
  }
  EXPECT_NEAR(lethality_min(profile, 200, 16).value(), 11.276064, 5e-7);
}

TEST(UsdaJellyTable, SettingPointBothWays) {
  for (const Row& row : table("altitude_boiling_gel.csv")) {
    if (row.empty("gel_F")) continue;
    SCOPED_TRACE(row.shown());
    const auto point = setting_point(row.number("altitude_ft") * 0.3048).value();
    EXPECT_NEAR(point.table_c * 1.8 + 32, row.number("gel_F"), 1e-9);
    EXPECT_NEAR(point.boiling_c, row.number("T_boil_C"), 6e-4);
    EXPECT_NEAR(point.rule_c * 1.8 + 32, row.number("T_boil_F") + 8, 2e-3);
  }
}

}  // namespace
}  // namespace maslin::preserving
