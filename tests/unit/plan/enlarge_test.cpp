// The plan after an over-pour, over the invented relish: 320 g onion set the size.
#include "daemon/plan/enlarge.hpp"

#include <gmock/gmock.h>

#include <cmath>

#include "daemon/plan/ratios.hpp"
#include "kitchen.hpp"

namespace maslin::plan {
namespace {

using ::testing::HasSubstr;

std::int64_t ug(double grams) { return std::llround(grams * 1e6); }

class EnlargeTest : public ::testing::Test {
 protected:
  void formula_is(const std::string& text) { formula = formula_of(text); }
  void lead_weighs(double grams) {
    const auto made = finalise(formula, request, equipment, ug(grams));
    ASSERT_TRUE(made.has_value()) << refusal(made);
    plan = *made;
    in("onion", grams);
  }
  void in(const std::string& name, double grams) {
    Holding holding;
    holding.name = name;
    holding.in_ug = ug(grams);
    holding.standard_uncertainty_ug = 450'000;
    holdings.push_back(holding);
  }
  double nominal(const std::string& name) const {
    return static_cast<double>(of(plan, name).nominal_ug) / 1e6;
  }
  double aim(const std::string& name) const {
    return static_cast<double>(of(plan, name).aim_ug) / 1e6;
  }
  Enlarged larger() {
    auto found = enlarge(formula, request, equipment, plan, holdings);
    EXPECT_TRUE(found.has_value()) << found.error().by << ": " << found.error().what;
    return found ? *found : Enlarged{};
  }
  Blocked refused() {
    const auto found = enlarge(formula, request, equipment, plan, holdings);
    EXPECT_FALSE(found.has_value());
    return found ? Blocked{} : found.error();
  }
  static double added(const Enlarged& found, const std::string& name) {
    for (const auto& one : found.top_ups) {
      if (one.name == name) return static_cast<double>(one.add_ug) / 1e6;
    }
    return 0;
  }
  // Every ratio with its guard, over what is in with its top-ups and what is still aimed at.
  void expect_kept(const Enlarged& found) {
    std::vector<WeighedMass> masses;
    for (const auto& one : found.plan.ingredients) {
      std::int64_t mass = one.aim_ug;
      for (const auto& holding : holdings) {
        if (holding.name == one.name) mass = holding.in_ug + ug(added(found, one.name));
      }
      masses.push_back({one.name, mass, 500'000});
    }
    for (const auto& ratio : found.plan.ratios) {
      EXPECT_EQ(check_ratio(ratio, masses, 0.02).state, RatioState::satisfied);
    }
  }

  formula::Formula formula = formula_of(kRelish);
  Equipment equipment = kitchen();
  proto::PlanRequest request;
  proto::Plan plan;
  std::vector<Holding> holdings;
};

TEST_F(EnlargeTest, TooMuchSugarMakesABatchSoLargeThatItIsInBandWithoutMoreChopping) {
  lead_weighs(320);
  in("cider vinegar", aim("cider vinegar"));
  in("sugar", nominal("sugar") * 1.08);
  const Enlarged found = larger();
  EXPECT_NEAR(found.factor, 1.08 / 1.05, 0.005);
  EXPECT_EQ(added(found, "onion"), 0);
  EXPECT_GE(of(found.plan, "sugar").upper_ug, holdings.back().in_ug);
  EXPECT_NEAR(found.plan.factor, plan.factor * found.factor, 1e-12);
  EXPECT_GT(of(found.plan, "table salt").nominal_ug, of(plan, "table salt").nominal_ug);
  expect_kept(found);
}

TEST_F(EnlargeTest, WhatIsInAlreadyIsToppedUpWhereTheLargerBatchNeedsMoreOfIt) {
  lead_weighs(320);
  in("cider vinegar", nominal("cider vinegar") * 0.98);
  in("sugar", nominal("sugar") * 1.2);
  const Enlarged found = larger();
  EXPECT_GT(added(found, "cider vinegar"), 20);
  EXPECT_GT(added(found, "onion"), 20);
  EXPECT_TRUE(found.top_ups.front().chopped);
  // Of the chopped onion no more than the lower end of its band.
  EXPECT_NEAR(320 + added(found, "onion"), 320 * found.factor * 0.95, 2);
  expect_kept(found);
}

TEST_F(EnlargeTest, TooMuchVegetableAsksForMoreVinegarAndForNothingElse) {
  formula_is(changed(relish_with("least = \"0.8\"", "least = \"0.85\""), "[[ratio]]",
                     "[[ingredient]]\nname = \"sweet pepper\"\namount = \"80 g\"\n"
                     "counts_as = \"low-acid food\"\nband = \"30 %\"\n[[ratio]]"));
  lead_weighs(320);
  in("cider vinegar", static_cast<double>(of(plan, "cider vinegar").accept_lower_ug) / 1e6);
  // Inside its own band, beyond what the vinegar that is in allows.
  in("sweet pepper", 100);
  EXPECT_LT(of(plan, "sweet pepper").accept_upper_ug, ug(100));
  const Enlarged found = larger();
  EXPECT_DOUBLE_EQ(found.factor, 1);
  EXPECT_GT(added(found, "cider vinegar"), 0);
  EXPECT_EQ(found.top_ups.size(), 1u);
  expect_kept(found);
}

TEST_F(EnlargeTest, NothingIsMadeLargerThanTheLargestMultiple) {
  lead_weighs(640);
  in("sugar", nominal("sugar") * 1.2);
  EXPECT_EQ(refused().by, "largest multiple");
  EXPECT_THAT(refused().what, HasSubstr("ends at 2"));
}

TEST_F(EnlargeTest, WhatIsNotAtHandIsNamed) {
  request = having({"onion=320 g", "sugar=400 g"});
  lead_weighs(320);
  in("sugar", nominal("sugar") * 1.2);
  EXPECT_EQ(refused().by, "at hand");
  EXPECT_EQ(refused().of, "onion");
}

TEST_F(EnlargeTest, APanThatIsTooSmallIsNamed) {
  lead_weighs(320);
  double all = 0;
  for (const auto& one : plan.ingredients) all += static_cast<double>(one.aim_ug) / 1e9;
  equipment.facts.pan_l = all * 4 * 1.02;
  in("sugar", nominal("sugar") * 1.3);
  EXPECT_EQ(refused().by, "pan");
}

TEST_F(EnlargeTest, WhatIsStillToComeIsPlannedLargerAndKeepsItsRoomFromTheLimit) {
  lead_weighs(320);
  in("sugar", nominal("sugar") * 1.08);
  const Enlarged found = larger();
  EXPECT_TRUE(found.top_ups.empty());
  EXPECT_GE(of(found.plan, "cider vinegar").aim_ug, of(plan, "cider vinegar").aim_ug);
  EXPECT_GT(of(found.plan, "cider vinegar").aim_ug,
            of(found.plan, "cider vinegar").accept_lower_ug);
  expect_kept(found);
}

TEST_F(EnlargeTest, APlanThatIsProvisionalHasNoSizeToMakeLarger) {
  const auto made = make(formula, request, equipment);
  ASSERT_TRUE(made.has_value());
  plan = *made;
  in("sugar", 300);
  EXPECT_EQ(refused().by, "plan");
}

TEST_F(EnlargeTest, NoBatchMadeLargerBreaksARatioWhateverIsIn) {
  int feasible = 0;
  for (int i = 0; i < 400; ++i) {
    holdings.clear();
    lead_weighs(150 + i % 7 * 60);
    const double over = 1 + 0.004 * (i % 50);
    in("cider vinegar", aim("cider vinegar") * (i % 3 == 0 ? over : 1 + 0.01 * (i % 4 - 1)));
    if (i % 3 != 0) in("sugar", nominal("sugar") * over);
    const auto found = enlarge(formula, request, equipment, plan, holdings);
    if (!found) continue;
    ++feasible;
    expect_kept(*found);
    EXPECT_GE(found->factor, 1);
    EXPECT_LE(found->plan.factor, formula.largest_multiple * (1 + 1e-9));
  }
  EXPECT_GT(feasible, 200);
}

}  // namespace
}  // namespace maslin::plan
