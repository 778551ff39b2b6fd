// The smallest larger batch against a table in exact rationals, and against the
// exact simplex method of GLPK over random kitchens. Tolerances: 1e-6 where the table gives seven
// digits; the factor within 1e-9 of the linear programme's.
#include <glpk.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <random>
#include <string>

#include "daemon/plan/rescue.hpp"
#include "tests/reference/csv.hpp"

namespace maslin::plan {
namespace {

using reference::Row;
using reference::table;

constexpr double kSixDigits = 1e-6;
constexpr double kSameFactor = 1e-9;
constexpr int kCases = 10'000;

// "vinegar" for a band, "stock peppers", "ratio vinegar", "capacity", "s_max": words of the table.
std::string words(RescueLimit limit, const std::string& name) {
  switch (limit) {
    case RescueLimit::none:
      return "none";
    case RescueLimit::band:
      return name;
    case RescueLimit::ratio:
      return "ratio " + name;
    case RescueLimit::stock:
      return "stock " + name;
    case RescueLimit::capacity:
      return "capacity";
    case RescueLimit::largest_factor:
      return "s_max";
  }
  return "";
}

TEST(RescueTable, TheSmallestLargerBatchOfTheWorkedCases) {
  const struct {
    const char* name;
    double nominal_g, lower_g, upper_g;
  } base[] = {{"peppers", 150, 142.5, 157.5},
              {"vinegar", 350, 332.5, 367.5},
              {"sugar", 900, 873, 927},
              {"pectin", 50, 47.5, 52.5}};
  const auto rows = table("rescue.csv");
  EXPECT_EQ(rows.size(), 12u);
  for (const Row& row : rows) {
    SCOPED_TRACE(row.text("case"));
    RescueProblem problem;
    for (const auto& one : base) {
      const std::string name = one.name;
      problem.items.push_back({name, row.number(name + "_in_g"), one.nominal_g, one.lower_g,
                               one.upper_g, row.number(name + "_stock_g")});
    }
    problem.ratios.push_back({"vinegar", {1}, {0}, row.number("ratio_vinegar_per_peppers"), 0});
    problem.capacity_g = row.number("capacity_g");
    problem.largest_factor = row.number("s_max");
    const Rescue found = rescue(problem);
    ASSERT_EQ(found.feasible, row.text("feasible") == "yes");
    EXPECT_NEAR(found.factor, row.number("s"), kSixDigits);
    EXPECT_EQ(found.feasible ? words(found.limited_by, found.limited_name)
                             : words(found.blocked_by, found.blocked_name),
              row.text("limited_by"));
    if (!found.feasible) continue;
    for (std::size_t i = 0; i < problem.items.size(); ++i) {
      const std::string& name = problem.items[i].name;
      EXPECT_NEAR(found.top_up_g[i], row.number("topup_" + name + "_g"), kSixDigits) << name;
      EXPECT_NEAR(found.least_g[i], row.number("least_topup_" + name + "_g"), kSixDigits) << name;
    }
  }
}

// GLPK turns doubles into the nearest short fractions first: these are that already.
double short_fraction(double value) { return std::round(value * 64) / 64; }

// A kitchen at random: three to six ingredients in groups, ratios between groups that go one way,
// pours that went over, cupboards that are empty or full.
RescueProblem random_problem(std::mt19937& random) {
  const auto uniform = [&](double from, double to) {
    return std::uniform_real_distribution<double>(from, to)(random);
  };
  const auto some = [&](double of, double from, double to) {
    return short_fraction(of * uniform(from, to));
  };
  const auto chance = [&](double p) { return uniform(0, 1) < p; };
  RescueProblem problem;
  const int n = std::uniform_int_distribution<int>(3, 6)(random);
  double nominal = 0;
  for (int i = 0; i < n; ++i) {
    RescueItem item;
    item.name = "item " + std::to_string(i);
    item.nominal_g = short_fraction(std::exp(uniform(std::log(10.0), std::log(1000.0))));
    item.lower_g = some(item.nominal_g, 0.9, 1);
    item.upper_g = some(item.nominal_g, 1, 1.1);
    if (chance(0.6)) item.in_g = some(item.nominal_g, 0.85, chance(0.5) ? 1.05 : 1.25);
    if (chance(0.4)) item.stock_g = chance(0.4) ? 0 : some(item.nominal_g, 0, 1.5);
    item.chopped = chance(0.3);
    nominal += std::max(item.nominal_g, item.in_g);
    problem.items.push_back(std::move(item));
  }
  std::vector<std::vector<std::size_t>> groups;
  for (std::size_t i = 0; i < problem.items.size(); ++i) {
    if (groups.empty() || chance(0.7)) groups.emplace_back();
    groups.back().push_back(i);
  }
  const auto mass = [&](const std::vector<std::size_t>& group) {
    double sum = 0;
    for (const std::size_t i : group) sum += problem.items[i].nominal_g;
    return sum;
  };
  for (std::size_t large = 0; large < groups.size(); ++large) {
    for (std::size_t small = large + 1; small < groups.size(); ++small) {
      if (!chance(0.35)) continue;
      RescueRatio ratio{"ratio " + std::to_string(problem.ratios.size()), groups[large],
                        groups[small], 0, 0};
      ratio.least = some(mass(groups[large]) / mass(groups[small]), 0.8, 1.08);
      if (chance(0.5)) ratio.guard_g = some(3, 0, 1);
      problem.ratios.push_back(std::move(ratio));
    }
  }
  if (chance(0.5)) problem.capacity_g = some(nominal, 0.95, 1.3);
  if (chance(0.7)) problem.largest_factor = some(1, 1, 1.4);
  return problem;
}

// The smallest factor by GLPK, in exact arithmetic; empty where there is none.
std::optional<double> by_simplex(const RescueProblem& problem) {
  const int n = static_cast<int>(problem.items.size());
  glp_prob* lp = glp_create_prob();
  glp_set_obj_dir(lp, GLP_MIN);
  glp_add_cols(lp, n + 1);  // what each weighs, and the factor
  const int factor = n + 1;
  glp_set_obj_coef(lp, factor, 1);
  const bool any_most = std::isfinite(problem.largest_factor);
  glp_set_col_bnds(lp, factor,
                   !any_most                      ? GLP_LO
                   : problem.largest_factor > 1.0 ? GLP_DB
                                                  : GLP_FX,
                   1, problem.largest_factor);
  const auto row = [&](int kind, double from, double to, const std::vector<int>& columns,
                       const std::vector<double>& values) {
    std::vector<int> index{0};
    std::vector<double> value{0};
    index.insert(index.end(), columns.begin(), columns.end());
    value.insert(value.end(), values.begin(), values.end());
    const int at = glp_add_rows(lp, 1);
    glp_set_row_bnds(lp, at, kind, from, to);
    glp_set_mat_row(lp, at, static_cast<int>(columns.size()), index.data(), value.data());
  };
  std::vector<int> all;
  for (int i = 0; i < n; ++i) {
    const auto& item = problem.items[static_cast<std::size_t>(i)];
    const bool open = !std::isfinite(item.stock_g);
    glp_set_col_bnds(lp, i + 1,
                     open               ? GLP_LO
                     : item.stock_g > 0 ? GLP_DB
                                        : GLP_FX,
                     item.in_g, item.in_g + item.stock_g);
    row(GLP_LO, 0, 0, {i + 1, factor}, {1, -item.lower_g});
    row(GLP_UP, 0, 0, {i + 1, factor}, {1, -item.upper_g});
    all.push_back(i + 1);
  }
  if (std::isfinite(problem.capacity_g)) {
    row(GLP_UP, 0, problem.capacity_g, all, std::vector<double>(all.size(), 1));
  }
  for (const auto& ratio : problem.ratios) {
    std::vector<int> columns;
    std::vector<double> values;
    for (const std::size_t i : ratio.large) {
      columns.push_back(static_cast<int>(i) + 1);
      values.push_back(1);
    }
    for (const std::size_t i : ratio.small) {
      columns.push_back(static_cast<int>(i) + 1);
      values.push_back(-ratio.least);
    }
    row(GLP_LO, ratio.guard_g, 0, columns, values);
  }
  glp_smcp how;
  glp_init_smcp(&how);
  how.msg_lev = GLP_MSG_OFF;
  EXPECT_EQ(glp_exact(lp, &how), 0);
  std::optional<double> answer;
  if (glp_get_status(lp) == GLP_OPT) answer = glp_get_col_prim(lp, factor);
  glp_delete_prob(lp);
  return answer;
}

// The worst violation of any constraint by these top-ups at this factor, in grams.
double worst_g(const RescueProblem& problem, const Rescue& found) {
  double worst = (found.factor - problem.largest_factor) * 1000;
  double all = 0;
  std::vector<double> weights;
  for (std::size_t i = 0; i < problem.items.size(); ++i) {
    const auto& item = problem.items[i];
    const double weight = item.in_g + found.top_up_g[i];
    worst = std::max({worst, -found.top_up_g[i], found.top_up_g[i] - item.stock_g,
                      found.factor * item.lower_g - weight, weight - found.factor * item.upper_g});
    all += weight;
    weights.push_back(weight);
  }
  worst = std::max(worst, all - problem.capacity_g);
  for (const auto& ratio : problem.ratios) {
    double inside = -ratio.guard_g;
    for (const std::size_t i : ratio.large) inside += weights[i];
    for (const std::size_t i : ratio.small) inside -= ratio.least * weights[i];
    worst = std::max(worst, -inside);
  }
  return worst;
}

TEST(RescueAgainstALinearProgramme, SameFeasibilitySameFactorAndNothingBrokenAfterRounding) {
  std::mt19937 random(20261125);
  int feasible = 0;
  int fit = 0;
  double apart = 0;
  double broken_g = 0;
  for (int i = 0; i < kCases; ++i) {
    SCOPED_TRACE("case " + std::to_string(i));
    const RescueProblem problem = random_problem(random);
    const auto simplex = by_simplex(problem);
    const Rescue found = rescue(problem);
    ASSERT_EQ(found.feasible, simplex.has_value()) << "factor " << found.factor << ", blocked by "
                                                   << words(found.blocked_by, found.blocked_name);
    EXPECT_EQ(found.feasible, found.blocked_by == RescueLimit::none);
    const bool named = found.blocked_by == RescueLimit::ratio ||
                       found.blocked_by == RescueLimit::stock ||
                       found.blocked_by == RescueLimit::band;
    EXPECT_EQ(found.blocked_name.empty(), !named);
    if (!found.feasible) continue;
    ++feasible;
    apart = std::max(apart, std::abs(found.factor - *simplex));
    EXPECT_LT(worst_g(problem, found), kSixDigits);
    std::vector<double> steps;
    for (std::size_t k = 0; k < problem.items.size(); ++k) steps.push_back(k % 2 == 0 ? 1 : 0.1);
    const Rescue told = rounded(problem, found, steps);
    if (!told.feasible) continue;
    ++fit;
    EXPECT_GE(told.factor, found.factor - kSameFactor);
    broken_g = std::max(broken_g, worst_g(problem, told));
    for (std::size_t k = 0; k < steps.size(); ++k) {
      const double counted = told.top_up_g[k] / steps[k];
      EXPECT_NEAR(counted, std::round(counted), kSixDigits);
      EXPECT_TRUE(counted < 0.5 || counted > 3.5) << counted;
    }
  }
  EXPECT_LT(apart, kSameFactor);
  EXPECT_LT(broken_g, kSixDigits);
  // Both answers must have been asked for often enough to mean something.
  EXPECT_GT(feasible, kCases / 5);
  EXPECT_GT(kCases - feasible, kCases / 5);
  EXPECT_GT(fit, feasible * 9 / 10);
  RecordProperty("feasible", feasible);
  RecordProperty("fit", fit);
  RecordProperty("apart", std::to_string(apart * 1e9) + "e-9");
}

}  // namespace
}  // namespace maslin::plan
