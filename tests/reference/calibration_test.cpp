// Calibration of scales, the combination of uncertainties and air buoyancy against tables computed
// outside the project and the worked example of the GUM; the source stands in each file's first
// line.
#include "daemon/weighing/calibration.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <map>

#include "daemon/weighing/coverage.hpp"
#include "daemon/weighing/water.hpp"
#include "tests/reference/csv.hpp"

namespace maslin::weighing {
namespace {

using reference::Row;
using reference::table;

// Relative, as the digits of the tables allow.
void expect_close(double found, const Row& row, const char* column) {
  const double given = row.number(column);
  EXPECT_NEAR(found, given, std::max(1e-4 * std::abs(given), 1e-6)) << column;
}

TEST(ScaleTwoPointTable, SlopeUncertaintyAndDecision) {
  for (const Row& row : table("scale_two_point.csv")) {
    SCOPED_TRACE(row.shown());
    const double zero = row.number("zero_indication_g");
    const Calibration found = calibrate({.interval_g = row.number("interval_g"),
                                         .repeatability_g = row.number("repeatability_g"),
                                         .masses = {{row.number("mass_g"), row.number("u_mass_g")}},
                                         .loads = {{{0}, zero, row.number("indication_g")}},
                                         .zero_after_g = zero});
    expect_close(found.slope, row, "span");
    // The column in parts per million has one digit more.
    EXPECT_NEAR(1e6 * found.u_slope, row.number("u_span_ppm"), 0.051);
    EXPECT_EQ(found.refusal == Refusal::none ? (found.apply ? "apply" : "keep") : "refuse",
              row.text("decision"));
  }
}

TEST(ScaleFivePointTable, LineChiSquaredAndDecision) {
  for (const Row& row : table("scale_five_point.csv")) {
    SCOPED_TRACE(row.shown());
    CalibrationLoads loads{.interval_g = row.number("interval_g"),
                           .repeatability_g = row.number("repeatability_g"),
                           .masses = {},
                           .loads = {},
                           .zero_after_g = row.number("zero_g")};
    for (const double mass : {100.0, 200.0, 200.0, 500.0}) {
      loads.masses.push_back({mass, row.number("mpe_rel") * mass / std::sqrt(3.0)});
    }
    const double zero = row.number("zero_g");
    loads.loads = {{{0}, zero, row.number("i100")},
                   {{0, 1}, zero, row.number("i300")},
                   {{3}, zero, row.number("i500")},
                   {{0, 1, 3}, zero, row.number("i800")},
                   {{0, 1, 2, 3}, zero, row.number("i1000")}};
    const Calibration found = calibrate(loads);
    expect_close(found.offset_g, row, "offset_g");
    EXPECT_NEAR(1e6 * (found.slope - 1.0), row.number("span_error_ppm"), 0.051);
    expect_close(found.u_offset_g, row, "u_offset_g");
    EXPECT_NEAR(1e6 * found.u_slope, row.number("u_span_ppm"), 0.0051);
    expect_close(found.chi_squared, row, "chi2");
    const std::string decision = row.text("decision");
    EXPECT_EQ(found.refusal, decision == "use"                  ? Refusal::none
                             : decision == "refuse: not a line" ? Refusal::not_a_line
                                                                : Refusal::wrong_mass);
  }
}

// Tanaka et al. 2001; the last digit given is 1e-4 kg/m3.
TEST(WaterDensityTable, TanakaColumn) {
  int rows = 0;
  for (const Row& row : table("water_density.csv")) {
    if (row.empty("rho_tanaka_kg_m3")) continue;
    SCOPED_TRACE(row.shown());
    EXPECT_NEAR(water_density_kg_m3(row.number("T_C")), row.number("rho_tanaka_kg_m3"), 0.51e-4);
    ++rows;
  }
  EXPECT_EQ(rows, 9);
}

// The mass of the last row of scale_two_point.csv: a litre at 20 °C in air shows 997.156 g.
TEST(ScaleTwoPointTable, ALitreOfWater) {
  const KnownMass litre = known_mass({.volume_ml = 1000, .standard_ml = 0, .celsius = 20});
  EXPECT_NEAR(litre.mass_g, 997.156, 0.0005);
}

// JCGM 100:2008 annex H.1: its components in nm with their degrees of freedom (from memory).
TEST(GumChecks, AnnexH1) {
  std::map<std::string, Row> checks;
  for (const Row& row : table("gum_checks.csv")) checks.emplace(row.text("check"), row);
  const std::vector<Component> components{
      {.name = "calibration of the standard", .standard_g = 25.0, .dof = 18},
      {.name = "difference", .standard_g = 9.7, .dof = 25.6},
      {.name = "expansion", .standard_g = 2.9, .dof = 50},
      {.name = "temperature", .standard_g = 16.6, .dof = 2}};
  const Combined found = combine(components, 0.99);
  EXPECT_NEAR(found.standard, checks.at("H.1 uc (nm)").number("printed"), 0.5);
  EXPECT_EQ(std::floor(found.dof), checks.at("H.1 veff").number("printed"));
  EXPECT_NEAR(found.coverage_factor, checks.at("t99(16)").number("computed"), 0.51e-6);
  // The example multiplies the rounded 32 nm: 93.4, printed 93.
  EXPECT_NEAR(found.expanded, checks.at("H.1 U99 (nm)").number("printed"), 1.0);
}

TEST(GumChecks, CoverageFactors) {
  const double infinite = std::numeric_limits<double>::infinity();
  for (const Row& row : table("gum_checks.csv")) {
    SCOPED_TRACE(row.shown());
    const std::string check = row.text("check");
    const auto expect = [&](double confidence, double dof) {
      EXPECT_NEAR(coverage_factor(confidence, dof), row.number("computed"), 0.51e-4);
    };
    if (check == "t99(16)") expect(0.99, 16);
    if (check == "t95(16)") expect(0.95, 16);
    // 95.45 % stands for the share within two standard deviations of a normal distribution.
    if (check == "t95.45(16)") expect(0.9545, 16);
    if (check == "t95.45(inf)") expect(0.9545, infinite);
  }
  // Between whole numbers the lower one counts (G.4.1).
  EXPECT_EQ(coverage_factor(0.95, 16.66), coverage_factor(0.95, 16));
}

}  // namespace
}  // namespace maslin::weighing
