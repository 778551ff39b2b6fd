// Kitchens at random in which a pour went over: whatever batch is made of it keeps every critical
// ratio by its guard, also where each amount still to come lies at the worst end of what will be
// accepted of it.
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <iterator>
#include <random>

#include "daemon/plan/enlarge.hpp"
#include "daemon/plan/ratios.hpp"
#include "kitchen.hpp"

namespace maslin::plan {
namespace {

constexpr int kCases = 400;

formula::Formula shipped(const std::string& name) {
  std::ifstream file(MASLIN_SOURCE_DIR "/daemon/formula/shipped/" + name + ".toml");
  return formula_of(
      std::string(std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()));
}

class RandomKitchen {
 public:
  RandomKitchen(formula::Formula written, std::mt19937& random)
      : formula(std::move(written)), random_(random) {
    const std::int64_t intervals[] = {100'000, 500'000, 1'000'000, 2'000'000};
    equipment.scales = {scale(proto::Role::bench, intervals[random_() % 4], 5000)};
    if (chance(0.4)) equipment.scales.push_back(fine());
    formula.largest_multiple = uniform(1.2, 3);
    if (chance(0.3)) equipment.facts.pan_l = uniform(3, 12);
    // So near its limits that they decide.
    for (auto& ratio : formula.ratios) {
      double of = 0;
      double per = 0;
      for (const auto& one : formula.ingredients) {
        if (one.counts_as == ratio.of) of += static_cast<double>(one.mass_ug);
        if (one.counts_as == ratio.per) per += static_cast<double>(one.mass_ug);
      }
      ratio.limit_ppm = std::llround(1e6 * of / per / uniform(1.01, 1.12));
    }
    for (const auto& one : formula.ingredients) {
      if (one.lead) {
        lead_ug = std::llround(static_cast<double>(one.mass_ug) * uniform(0.8, 1.2));
      } else if (chance(0.15)) {
        const double grams = static_cast<double>(one.mass_ug) / 1e6 * uniform(1.2, 1.6);
        request.have.push_back(one.name + "=" + std::to_string(std::llround(grams)) + " g");
      }
    }
  }

  // Everything up to one ingredient is in, that one too far.
  bool pour() {
    const auto made = finalise(formula, request, equipment, lead_ug);
    if (!made) return false;
    plan = *made;
    const std::size_t last = 1 + random_() % (plan.ingredients.size() - 1);
    for (std::size_t i = 0; i <= last; ++i) {
      const auto& one = plan.ingredients[i];
      Holding holding;
      holding.name = one.name;
      double grams = static_cast<double>(one.aim_ug) / 1e6 * uniform(0.99, 1.01);
      if (one.lead) grams = static_cast<double>(lead_ug) / 1e6;
      if (i == last) grams = static_cast<double>(one.upper_ug) / 1e6 * uniform(1, 1.35);
      holding.in_ug = std::llround(grams * 1e6);
      holding.standard_uncertainty_ug = one.check == "weigh" ? std::int64_t(uniform(5e4, 8e5)) : 0;
      holdings.push_back(std::move(holding));
    }
    return true;
  }

  // Every mass at the worst end for that ratio.
  std::vector<WeighedMass> worst(const Enlarged& found, const proto::PlannedRatio& ratio) const {
    std::vector<WeighedMass> masses;
    for (const auto& one : found.plan.ingredients) {
      const auto in = [&](const std::vector<std::string>& names) {
        return std::find(names.begin(), names.end(), one.name) != names.end();
      };
      const bool large = ratio.least ? in(ratio.of_names) : in(ratio.per_names);
      std::int64_t mass = large ? one.accept_lower_ug : one.accept_upper_ug;
      std::int64_t u = 300'000;
      for (const auto& holding : holdings) {
        if (holding.name != one.name) continue;
        const bool more = std::any_of(found.top_ups.begin(), found.top_ups.end(),
                                      [&](const TopUp& top_up) { return top_up.name == one.name; });
        if (!more) mass = holding.in_ug;
        mass = std::max(mass, holding.in_ug);
        u = holding.standard_uncertainty_ug;
      }
      masses.push_back({one.name, mass, u});
    }
    return masses;
  }

  formula::Formula formula;
  Equipment equipment;
  proto::PlanRequest request;
  proto::Plan plan;
  std::int64_t lead_ug = 0;
  std::vector<Holding> holdings;

 private:
  double uniform(double from, double to) {
    return std::uniform_real_distribution<double>(from, to)(random_);
  }
  bool chance(double p) { return uniform(0, 1) < p; }
  std::mt19937& random_;
};

TEST(EnlargeAtRandom, NoBatchMadeOfAnOverPourCanLeaveACriticalRatio) {
  const formula::Formula formulas[] = {shipped("quayside-onion-relish"),
                                       shipped("quayside-cucumber-pickle"),
                                       shipped("quayside-pepper-jelly")};
  std::mt19937 random(7251);
  int made = 0;
  int blocked = 0;
  for (int i = 0; i < kCases; ++i) {
    RandomKitchen one(formulas[i % 3], random);
    if (!one.pour()) continue;
    const auto found = enlarge(one.formula, one.request, one.equipment, one.plan, one.holdings);
    if (!found) {
      ++blocked;
      EXPECT_FALSE(found.error().by.empty());
      EXPECT_FALSE(found.error().what.empty());
      continue;
    }
    ++made;
    SCOPED_TRACE(i);
    EXPECT_LE(found->plan.factor, one.formula.largest_multiple * (1 + 1e-9));
    for (const auto& ratio : found->plan.ratios) {
      const auto masses = one.worst(*found, ratio);
      const auto check = check_ratio(ratio, masses, one.equipment.settings.usual_spread);
      EXPECT_EQ(check.state, RatioState::satisfied) << check.margin_ug << " " << check.guard_ug;
    }
    for (const auto& top_up : found->top_ups) EXPECT_GT(top_up.add_ug, 0);
  }
  EXPECT_GT(made, kCases / 5);
  EXPECT_GT(blocked, kCases / 20);
}

}  // namespace
}  // namespace maslin::plan
