// Uncertainty and conformity against tables computed outside the project by other means (adaptive
// quadrature, Monte Carlo); the rule behind each is in the first line of its file. Tolerances: half
// a unit of the last digit given, never wider than 1e-6 g where seven digits are given.
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <vector>

#include "daemon/plan/ratios.hpp"
#include "daemon/weighing/conformity.hpp"
#include "daemon/weighing/scale_class.hpp"
#include "daemon/weighing/uncertainty.hpp"
#include "tests/reference/csv.hpp"

namespace maslin::weighing {
namespace {

using reference::Row;
using reference::table;

constexpr double kSixDigits = 1e-6;
constexpr double kFiveDigits = 0.51e-5;

// a1 and a2 are the half widths of two resolutions, so d is twice that and each indication carries
// the Gaussian by the square root of two.
NetBudget from_half_widths(const Row& row) {
  return {.interval_g = 2.0 * row.number("a1"),
          .repeatability_g = row.number("sigma") / std::sqrt(2.0),
          .linearity_g = row.number("a3")};
}

TEST(NetIntervalTable, ConvolutionGivesTheSameIntervals) {
  for (const Row& row : table("net_interval.csv")) {
    SCOPED_TRACE(row.shown());
    const NetBudget budget = from_half_widths(row);
    const NetUncertainty u = net_uncertainty(budget);
    EXPECT_NEAR(u.standard_g, row.number("u"), kSixDigits);
    EXPECT_NEAR(u.half95_g, row.number("half95"), kSixDigits);
    EXPECT_NEAR(u.half90_g, row.number("half90"), kSixDigits);
    EXPECT_NEAR(error_cdf(budget, row.number("x")), row.number("cdf_at_x"), kSixDigits);
  }
}

TEST(NetBudgetTable, BudgetOfTheWorkedWeighings) {
  for (const Row& row : table("net_budget.csv")) {
    SCOPED_TRACE(row.shown());
    const double shown_net = row.number("gross_g") - row.number("tare_g");
    NetBudget budget{.interval_g = row.number("interval_g"),
                     .repeatability_g = row.number("repeatability_g"),
                     .drift_g = row.number("u_evaporation_g_s") * row.number("dt_s")};
    const std::string& linearity = row.text("linearity");
    if (linearity == "net mpe") {
      // The table gives e; capacity/10000 is how the project knows it.
      budget.linearity_g =
          linearity_class3_g(shown_net, row.number("interval_g"), 10'000.0 * row.number("e_g"));
      EXPECT_DOUBLE_EQ(budget.linearity_g, row.number("mpe_net_g"));
    }
    NetUncertainty u = net_uncertainty(budget);
    if (linearity.starts_with("calibrated ")) {
      // A span known to a standard uncertainty adds to the Gaussian like a drift does.
      budget.drift_g = std::hypot(budget.drift_g, shown_net * std::stod(linearity.substr(11)));
      u = net_uncertainty(budget);
    }
    EXPECT_NEAR(u.standard_g, row.number("u_g"), kSixDigits);
    EXPECT_NEAR(u.half95_g, row.number("half95_g"), kSixDigits);
    EXPECT_NEAR(u.half90_g, row.number("half90_g"), kSixDigits);
  }
}

TEST(ConformityTable, ProbabilitiesAndJudgements) {
  for (const Row& row : table("conformity.csv")) {
    SCOPED_TRACE(row.shown());
    const NetBudget budget{.interval_g = row.number("interval_g"),
                           .repeatability_g = row.number("repeatability_g"),
                           .linearity_g = row.number("lin_g")};
    const double inf = std::numeric_limits<double>::infinity();
    const double lower = row.empty("lower_g") ? -inf : row.number("lower_g");
    const double upper = row.empty("upper_g") ? inf : row.number("upper_g");
    const double net = row.number("net_g");
    const Conformity found = conformity(net, lower, upper, budget);
    EXPECT_NEAR(found.within, row.number("p_in"), kSixDigits);
    EXPECT_NEAR(found.under, row.number("p_under"), kSixDigits);
    EXPECT_NEAR(found.over, row.number("p_over"), kSixDigits);
    EXPECT_EQ(name(guarded(found)), row.text("guarded"));
    EXPECT_EQ(name(simple(net, lower, upper, budget)), row.text("simple"));
  }
}

TEST(CriticalGuardTable, GuardWithTheWorstCookAsPrior) {
  for (const Row& row : table("critical_guard.csv")) {
    SCOPED_TRACE(row.shown());
    const NetUncertainty u = net_uncertainty(
        {.interval_g = row.number("interval_g"), .repeatability_g = row.number("repeatability_g")});
    EXPECT_NEAR(u.standard_g, row.number("u_g"), kSixDigits);
    EXPECT_NEAR(u.half90_g, row.number("flat_guard_g"), kFiveDigits);
    EXPECT_NEAR(critical_guard_g(u.standard_g, row.number("mass_g"), row.number("spread")),
                row.number("guard_g"), kFiveDigits);
  }
}

// The guard of the plan for a cook without spread: every pair of nets is taken to share an
// indication, so it is the table's for those that do and wider for those that do not.
TEST(RatioGuardTable, OfADifferenceOfTwoNets) {
  for (const Row& row : table("ratio_guard.csv")) {
    SCOPED_TRACE(row.shown());
    const double d = row.number("interval_g");
    const double net_g = std::sqrt(2 * (d * d / 12.0 + std::pow(row.number("repeatability_g"), 2)));
    proto::PlannedRatio ratio;
    ratio.of_names = {"vinegar"};
    ratio.per_names = {"pepper"};
    ratio.limit_ppm = std::llround(row.number("rho") * 1e6);
    ratio.least = true;
    const auto net_ug = std::llround(net_g * 1e6);
    const std::vector<plan::WeighedMass> in = {{"vinegar", 1'000'000'000, net_ug},
                                               {"pepper", 100'000'000, net_ug}};
    const double guard_g = static_cast<double>(plan::check_ratio(ratio, in, 0).guard_ug) / 1e6;
    if (row.text("shared_indication") == "yes") {
      EXPECT_NEAR(guard_g, row.number("guard95_g"), 1e-5 + 2e-6);  // half a digit, whole micrograms
    } else {
      EXPECT_GT(guard_g, row.number("guard95_g"));
    }
  }
}

TEST(PlanCheckTable, WhatAScaleCanJudge) {
  for (const Row& row : table("plan_check.csv")) {
    SCOPED_TRACE(row.shown());
    const NetBudget budget{.interval_g = row.number("interval_g"),
                           .repeatability_g = row.number("repeatability_g"),
                           .linearity_g = row.number("lin_g")};
    const double tolerance = row.number("mass_g") * row.number("tolerance_pct") / 100.0;
    EXPECT_NEAR(tolerance, row.number("tolerance_g"), 1e-12);
    EXPECT_NEAR(net_uncertainty(budget).half95_g, row.number("half95_g"), kFiveDigits);
    EXPECT_EQ(checkable(tolerance, budget), row.text("checkable") == "yes");
    EXPECT_EQ(comfortable(tolerance, budget), row.text("comfortable") == "yes");
    EXPECT_NEAR(smallest_checkable_mass_g(row.number("tolerance_pct"), budget),
                row.number("smallest_mass_g"), 0.0051);
  }
}

// OIML R 76-1:2006, table 6: class III of the whole table. In service twice the initial limits
// (from memory). Edges belong to the lower step.
TEST(OimlR76Table6, ClassThreeInService) {
  int steps = 0;
  for (const Row& row : table("oiml_r76_mpe.csv")) {
    if (row.text("class") != "III") continue;
    SCOPED_TRACE(row.shown());
    for (const double e : {0.1, 0.5, 1.0, 2.0}) {
      const double twice = 2.0 * row.number("mpe_initial_e") * e;
      const double above = row.number("load_from_e_exclusive") * e * (1.0 + 1e-9) + 1e-9;
      EXPECT_DOUBLE_EQ(linearity_class3_g(above, e, 0), twice);
      EXPECT_DOUBLE_EQ(linearity_class3_g(row.number("load_to_e_inclusive") * e, e, 0), twice);
    }
    ++steps;
  }
  EXPECT_EQ(steps, 3);
}

// OIML R 76-1:2006, table 3: class III ends at 10000 intervals, so that 5 kg cannot have e below
// 0.5 g.
TEST(OimlR76Table3, TheClassLimitsTheInterval) {
  EXPECT_DOUBLE_EQ(linearity_class3_g(150.0, 0.1, 5000.0), 0.5);
}

// At the smallest e of each row and at its largest, where it has one.
TEST(OimlR76Table3, LeastLoadsAndMostIntervalsOfEveryClass) {
  for (const Row& row : table("oiml_r76_classes.csv")) {
    SCOPED_TRACE(row.shown());
    const auto of = scale_class_named(row.text("class"));
    ASSERT_TRUE(of.has_value());
    for (const char* edge : {"e_min", "e_max"}) {
      if (row.empty(edge)) continue;
      const double e_g = row.number(edge);
      EXPECT_NEAR(least_load_g(*of, e_g), row.number("Min") * e_g, 1e-9);
    }
    EXPECT_EQ(most_intervals(*of), row.empty("n_max") ? 0 : row.number("n_max"));
  }
}

// JCGM 106:2012, 7.3.3 example 1 and 7.4: inputs and printed results from memory, recomputed. Only
// Gaussian uncertainty, so one indication without resolution.
TEST(Jcgm106Examples, ProbabilitiesOfConformity) {
  const auto examples = table("jcgm106_examples.csv");
  const double inf = std::numeric_limits<double>::infinity();
  const Conformity breakdown =
      conformity(-5.47, -inf, -5.40, {.indications = 1, .repeatability_g = 0.05});
  EXPECT_NEAR(breakdown.within, examples[0].number("computed"), 0.51e-5);
  EXPECT_NEAR(breakdown.within, examples[0].number("printed"), 0.005);
  const Conformity oil = conformity(13.6, 12.5, 16.3, {.indications = 1, .repeatability_g = 1.8});
  EXPECT_NEAR(oil.within, examples[1].number("computed"), 0.51e-5);
  EXPECT_NEAR(oil.within, examples[1].number("printed"), 0.005);
  // A guard band of 2u leaves 2.28 % at the acceptance limit.
  const Conformity at_limit = conformity(-2.0, -inf, 0, {.indications = 1, .repeatability_g = 1.0});
  EXPECT_NEAR(at_limit.over, examples[2].number("computed"), 0.51e-5);
  const Conformity one_sided =
      conformity(-1.64, -inf, 0, {.indications = 1, .repeatability_g = 1.0});
  EXPECT_NEAR(one_sided.within, examples[3].number("computed"), 0.51e-5);
}

}  // namespace
}  // namespace maslin::weighing
