// Calibration of scales, the combination of uncertainties and air buoyancy against tables computed
// outside the project and the worked example of the GUM; the source stands in each file's first
// line.
#include "daemon/weighing/calibration.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "daemon/weighing/buoyancy.hpp"
#include "daemon/weighing/coverage.hpp"
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

}  // namespace
}  // namespace maslin::weighing
