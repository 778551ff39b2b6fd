// The charts of the review against the NIST/SEMATECH e-Handbook's worked examples, tables computed
// outside the project, and the certified autocorrelation of the statistical reference datasets.
#include <gtest/gtest.h>

#include <cctype>
#include <cmath>
#include <string>
#include <vector>

#include "daemon/review/chart.hpp"
#include "daemon/review/tolerance.hpp"
#include "tests/reference/csv.hpp"

namespace maslin::review {
namespace {

using reference::Row;
using reference::table;

std::vector<double> column(const std::string& file, const char* name) {
  std::vector<double> values;
  for (const Row& row : table(file)) values.push_back(row.number(name));
  return values;
}

// Printed to six and five decimals. The product draws charts of ranges; c4, A3, B3 and B4 belong to
// charts of standard deviations, which it does not draw.
TEST(ControlChartConstants, FactorsOfRanges) {
  for (const Row& row : table("control_chart_constants.csv")) {
    SCOPED_TRACE(row.shown());
    const auto found = range_factors(static_cast<std::size_t>(row.number("n")));
    EXPECT_NEAR(found.d2, row.number("d2"), 1e-6);
    EXPECT_NEAR(found.d3, row.number("d3"), 1e-6);
    EXPECT_NEAR(found.a2, row.number("A2"), 1e-5);
    EXPECT_NEAR(found.lower, row.number("D3"), 1e-5);
    EXPECT_NEAR(found.upper, row.number("D4"), 1e-5);
    EXPECT_NEAR(found.e2, row.number("E2"), 1e-5);
  }
}

// e-Handbook 6.3.2.2. It multiplies with d2 = 1.128 and D4 = 3.267, which moves its limits by 2e-3;
// the exact figures give 55.8024.
TEST(HandbookFlowrate, ChartOfIndividuals) {
  for (const Row& row : table("nist_ehb_flowrate.csv")) {
    if (row.empty("MR")) continue;
    SCOPED_TRACE(row.shown());
    const auto at = static_cast<std::size_t>(row.number("batch")) - 1;
    const auto all = column("nist_ehb_flowrate.csv", "flowrate");
    EXPECT_NEAR(std::abs(all[at] - all[at - 1]), row.number("MR"), 1e-9);
  }
  const auto chart = individuals(column("nist_ehb_flowrate.csv", "flowrate"));
  EXPECT_NEAR(chart.mean, 50.81, 1e-9);
  EXPECT_NEAR(chart.step_mean, 1.8778, 5e-5);
  EXPECT_NEAR(chart.upper, 55.8024, 5e-5);
  EXPECT_NEAR(chart.mean + (chart.upper - chart.mean) * 1.128379 / 1.128, 55.8041, 5e-5);
  EXPECT_NEAR(chart.mean - (chart.mean - chart.lower) * 1.128379 / 1.128, 45.8159, 5e-5);
  EXPECT_NEAR(chart.step_upper * 3.267 / 3.26653, 6.1347, 5e-5 + 1e-4);
  EXPECT_TRUE(chart.outside.empty());
}

// e-Handbook 6.3.2.3: target 325, k 0.3175, h 4.1959; printed to two decimals, and the 16.00 of
// group 17 and on carry earlier roundings.
TEST(HandbookCusum, CumulativeSums) {
  const auto values = column("nist_ehb_cusum.csv", "x");
  const auto sums = cumulative_sums(values, 325, 0.3175);
  std::size_t at = 0;
  std::size_t first = 0;
  for (const Row& row : table("nist_ehb_cusum.csv")) {
    SCOPED_TRACE(row.shown());
    EXPECT_NEAR(sums.high[at], row.number("S_hi_printed"), 0.011);
    EXPECT_NEAR(sums.low[at], row.number("S_lo_printed"), 0.011);
    if (first == 0 && sums.high[at] > 4.1959) first = at + 1;
    ++at;
  }
  EXPECT_EQ(first, 14U);
  const auto found = drift(values, 325, 0.3175, 4.1959);
  ASSERT_TRUE(found);
  EXPECT_TRUE(found->higher);
  EXPECT_EQ(found->since + 1, 13U);
}

TEST(NistStatisticalReferenceDatasets, LagOneAutocorrelation) {
  for (const Row& row : table("strd_certified.csv")) {
    const std::string& dataset = row.text("dataset");
    SCOPED_TRACE(dataset);
    std::string file = "strd_" + dataset + ".csv";
    for (char& c : file) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    const double certified = row.number("lag1_autocorrelation");
    // NumAcc4 lies at 10 000 000 with a spread of 0.1: its values are rounded to 1e-8 of that.
    const double tolerance = dataset == "NumAcc4" ? 1e-7 : 1e-11;
    EXPECT_NEAR(individuals(column(file, "y")).autocorrelation, certified, tolerance);
  }
}

// Exact columns to their printed digits; the closed approximations beside them (k1 of Natrella, k2
// of Howe) are not what the product computes, and lie within 7 % and 1 % of it.
TEST(ToleranceFactors, OneAndTwoSided) {
  for (const Row& row : table("tolerance_factors.csv")) {
    SCOPED_TRACE(row.shown());
    const auto n = static_cast<std::size_t>(row.number("n"));
    const double coverage = row.number("coverage");
    const double confidence = row.number("confidence");
    const double one = one_sided_factor(n, coverage, confidence);
    const double two = two_sided_factor(n, coverage, confidence);
    EXPECT_NEAR(one, row.number("k1_exact"), 1e-6);
    EXPECT_NEAR(two, row.number("k2_exact"), 1e-6);
    EXPECT_NEAR(row.number("k1_natrella") / one, 1, 0.07);
    EXPECT_NEAR(row.number("k2_howe") / two, 1, 0.01);
  }
}

}  // namespace
}  // namespace maslin::review
