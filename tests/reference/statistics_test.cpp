// The variance over batches against the NIST statistical reference datasets, and the factors of
// coverage against the GNU Scientific Library.
#include <gsl/gsl_cdf.h>
#include <gtest/gtest.h>

#include <cctype>
#include <cmath>
#include <string>
#include <vector>

#include "daemon/review/review.hpp"
#include "daemon/weighing/coverage.hpp"
#include "tests/reference/csv.hpp"

namespace maslin {
namespace {

using reference::Row;
using reference::table;

// As many batches as the set has values, each with one ingredient that is off by one of them.
proto::ReviewRow reviewed(const std::string& file) {
  std::vector<proto::Report> batches;
  for (const Row& row : table(file)) {
    proto::ReportIngredient one;
    one.name = "sugar";
    one.deviation_g = row.number("y");
    one.verdict = "within";
    batches.emplace_back().ingredients.push_back(one);
  }
  return review::review(batches, "").rows.at(0);
}

// Certified to 15 digits. What doubles can give of them: all but the last digits of the mean, and
// of the spread what is left of the mean's: NumAcc3 and NumAcc4 lie at 10 000 000 with a spread of
// 1 and 0.1, so that a single rounding of a value is already 1e-9 of one and 1e-8 of the other.
double spread_tolerance(const std::string& dataset) {
  if (dataset == "NumAcc4") return 1e-7;
  return dataset == "NumAcc1" ? 1e-8 : 1e-11;
}

TEST(NistStatisticalReferenceDatasets, MeanAndStandardDeviationOfTheReview) {
  for (const Row& row : table("strd_certified.csv")) {
    const std::string dataset = row.text("dataset");
    SCOPED_TRACE(dataset);
    std::string file = "strd_" + dataset + ".csv";
    for (char& c : file) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    const auto found = reviewed(file);
    EXPECT_EQ(static_cast<double>(found.count), row.number("n"));
    const double mean = row.number("mean");
    EXPECT_NEAR(found.mean_deviation_g, mean,
                1e-13 * static_cast<double>(found.count) * std::abs(mean));
    const double spread = row.number("sd");
    EXPECT_NEAR(found.spread_g, spread, spread_tolerance(dataset) * spread);
  }
}

TEST(GnuScientificLibrary, StudentsFactorsOfCoverage) {
  for (int dof = 1; dof <= 120; ++dof) {
    SCOPED_TRACE(dof);
    const std::vector<weighing::Component> one{
        {.name = "one", .standard_g = 2.0, .dof = 1.0 * dof}};
    const auto combined = weighing::combine(one);
    EXPECT_NEAR(combined.dof, dof, 1e-9);
    const double factor = gsl_cdf_tdist_Pinv(0.975, dof);
    EXPECT_NEAR(combined.coverage_factor, factor, 1e-9 * factor);
  }
}

}  // namespace
}  // namespace maslin
