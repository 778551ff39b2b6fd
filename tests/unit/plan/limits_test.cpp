// Bands, aims and guards of a plan, and what the scales at hand can check.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "daemon/plan/plan.hpp"
#include "daemon/plan/ratios.hpp"
#include "tests/unit/plan/kitchen.hpp"

namespace maslin::plan {
namespace {

using testing::AllOf;
using testing::Contains;
using testing::HasSubstr;

TEST(Bands, ScaleWithTheAmount) {
  const auto plan = make(formula_of(kRelish), by_factor(2), kitchen()).value();
  EXPECT_EQ(of(plan, "sugar").lower_ug, 285 * kGram);
  EXPECT_EQ(of(plan, "sugar").upper_ug, 315 * kGram);
  EXPECT_EQ(of(plan, "cider vinegar").upper_ug, 788'700'000);  // 717 g and 10 %
}

TEST(Bands, NeverReachAcrossACriticalLimit) {
  // 320 g of onion need 1.1 times as much vinegar: 352 g, more than 358.5 g less 3 %.
  const auto plan =
      make(formula_of(relish_with("\"0.8\"", "\"1.1\"")), by_factor(1), kitchen()).value();
  const auto& vinegar = of(plan, "cider vinegar");
  EXPECT_EQ(vinegar.lower_ug, 352 * kGram);
  EXPECT_GT(vinegar.accept_lower_ug, vinegar.lower_ug);
  EXPECT_TRUE(vinegar.critical);
}

TEST(Aim, IsTheFormulasWhereTheLimitIsFar) {
  const auto plan = make(formula_of(kRelish), by_factor(1), kitchen()).value();
  EXPECT_EQ(of(plan, "cider vinegar").aim_ug, 359 * kGram);  // 358.5 to what the scale shows
  EXPECT_EQ(of(plan, "cider vinegar").reason, "");
}

TEST(Aim, LiesInsideTheLimitByGuardAndUsualSpread) {
  const auto plan =
      make(formula_of(relish_with("\"0.8\"", "\"1.1\"")), by_factor(1), kitchen()).value();
  const auto& vinegar = of(plan, "cider vinegar");
  // Two spreads of 2 % of 358.5 g above what is accepted, on a whole gram.
  EXPECT_GE(vinegar.aim_ug, vinegar.accept_lower_ug + 14 * kGram);
  EXPECT_LE(vinegar.aim_ug, vinegar.accept_upper_ug);
  EXPECT_EQ(vinegar.aim_ug % kGram, 0);
  EXPECT_THAT(vinegar.reason, HasSubstr("acid per low-acid food"));
}

TEST(Aim, OfLowAcidFoodLiesUnderItsLimit) {
  // As above, but the onion is no lead: it must not grow past what the vinegar can carry.
  const std::string text = changed(relish_with("\"0.8\"", "\"1.1\""), "lead = true\n", "");
  const auto plan = make(formula_of(text), by_factor(1), kitchen()).value();
  const auto& onion = of(plan, "onion");
  EXPECT_EQ(onion.upper_ug, 325'900'000);  // 358.5 / 1.1 = 325.909 g, inwards
  EXPECT_LE(onion.accept_upper_ug, onion.upper_ug);
  EXPECT_LT(onion.aim_ug, 320 * kGram);
}

TEST(Aim, IsRefusedWhereBandAndRatioLeaveNoRoom) {
  const std::string text =
      changed(relish_with("\"0.8\"", "\"1.12\""), "above = \"10 %\"", "above = \"0.1 %\"");
  EXPECT_THAT(refusal(make(formula_of(text), by_factor(1), kitchen())),
              AllOf(HasSubstr("no room for the acid per low-acid food"), HasSubstr("finer scale")));
}

TEST(Aim, HoldsOverARangeOfSizesAndScales) {
  const auto relish = formula_of(relish_with("\"0.8\"", "\"1.05\""));
  int checked = 0;
  for (double factor = 0.2; factor <= 2.0; factor += 0.07) {
    for (const std::int64_t interval : {100'000, 500'000, 1'000'000, 2'000'000}) {
      const auto plan =
          make(relish, by_factor(factor), kitchen({scale(proto::Role::bench, interval, 5000)}));
      if (!plan) continue;  // too small for this scale: refused, never bent
      ++checked;
      for (const auto& i : plan->ingredients) {
        SCOPED_TRACE(i.name + " at " + std::to_string(factor) + " on " + std::to_string(interval));
        EXPECT_LE(i.lower_ug, i.accept_lower_ug);
        EXPECT_LE(i.accept_lower_ug, i.aim_ug);
        EXPECT_LE(i.aim_ug, i.accept_upper_ug);
        EXPECT_LE(i.accept_upper_ug, i.upper_ug);
      }
      const auto& vinegar = of(*plan, "cider vinegar");
      EXPECT_GE(vinegar.lower_ug * 100, of(*plan, "onion").nominal_ug * 105);
    }
  }
  EXPECT_GT(checked, 80);
}

// Each ingredient is judged alone; together they must still keep the ratio, whatever mixture of
// accepted weighings comes about.
TEST(Acceptance, OfEachKeepsTheRatioInEveryCombination) {
  const std::string more =
      changed(relish_with("\"0.8\"", "\"0.9\""), "[[ratio]]",
              "[[ingredient]]\nname = \"red sweet pepper\"\namount = \"30 g\"\n"
              "counts_as = \"low-acid food\"\nband = \"30 %\"\n[[ratio]]");
  std::minstd_rand random(5);
  int checked = 0;
  for (const std::string& text :
       {relish_with("\"0.8\"", "\"1.05\""), more, changed(more, "lead = true\n", "")}) {
    for (const std::int64_t interval : {100'000, 1'000'000, 2'000'000}) {
      const auto plan = make(formula_of(text), having({"onion=500 g"}),
                             kitchen({scale(proto::Role::bench, interval, 5000)}));
      if (!plan) continue;
      for (int i = 0; i < 300; ++i) {
        std::vector<WeighedMass> masses;
        for (const auto& p : plan->ingredients) {
          const bool at_an_end = random() % 2 == 0;
          const std::int64_t width = p.accept_upper_ug - p.accept_lower_ug;
          const std::int64_t net =
              at_an_end ? (random() % 2 == 0 ? p.accept_lower_ug : p.accept_upper_ug)
                        : p.accept_lower_ug + static_cast<std::int64_t>(random()) % (width + 1);
          masses.push_back({p.name, net, 0});
        }
        ASSERT_EQ(check_ratio(plan->ratios.front(), masses, 0.02).state, RatioState::satisfied);
        ++checked;
      }
    }
  }
  EXPECT_GE(checked, 1500);
}

TEST(Finalise, HoldsTheRatioToWhatTheLeadWeighs) {
  // The onion is over the largest multiple by its band: 660 g need 726 g of vinegar at least.
  const auto relish = formula_of(relish_with("\"0.8\"", "\"1.1\""));
  const auto plan = finalise(relish, {}, kitchen(), 660 * kGram).value();
  EXPECT_EQ(of(plan, "cider vinegar").lower_ug, 726 * kGram);
  EXPECT_EQ(of(plan, "onion").upper_ug, 660 * kGram);  // no larger than it was weighed already
}

TEST(Scales, LeaveWhatIsTooFineToTheSpoon) {
  const auto plan = make(formula_of(kRelish), by_factor(1), kitchen()).value();
  const auto& salt = of(plan, "table salt");
  EXPECT_EQ(salt.check, "by measure");
  EXPECT_EQ(salt.role, "");
  EXPECT_THAT(salt.reason, HasSubstr("least load is 20 g"));
  EXPECT_THAT(plan.notes, Contains(HasSubstr("table salt is taken by measure, 1 tbsp")));
  EXPECT_THAT(plan.notes, Contains(HasSubstr("judges onion, cider vinegar, sugar.")));
}

TEST(Scales, GiveWhatIsFineToTheFineScale) {
  const auto plan = make(formula_of(kRelish), by_factor(1), kitchen({bench(), fine()})).value();
  EXPECT_EQ(of(plan, "table salt").role, "fine");
  EXPECT_EQ(of(plan, "table salt").check, "weigh");
  EXPECT_EQ(of(plan, "onion").role, "bench");
}

TEST(Scales, KnowHowMuchTheyCarry) {
  const auto plan =
      make(formula_of(kRelish), by_factor(2), kitchen({scale(proto::Role::bench, 100'000, 500)}))
          .value();
  EXPECT_THAT(of(plan, "onion").reason, HasSubstr("more than the bench scale carries, 500 g"));
  EXPECT_EQ(of(plan, "sugar").check, "weigh");
}

TEST(Scales, MissingLeaveAPlanByMeasureThatSaysSo) {
  const auto plan = make(formula_of(kRelish), by_factor(1), kitchen({})).value();
  for (const auto& ingredient : plan.ingredients) EXPECT_EQ(ingredient.check, "by measure");
  EXPECT_THAT(plan.notes, Contains(HasSubstr("A critical limit is then not confirmed by weight.")));
}

TEST(Scales, TurnGramsThatCannotBeWeighedIntoSpoons) {
  const auto plan =
      make(formula_of(relish_with("\"1 tbsp\"", "\"18 g\"")), by_factor(1), kitchen()).value();
  EXPECT_EQ(of(plan, "table salt").amount, "1 tbsp (18 g)");
}

TEST(Scales, NeverTakeGramsByMeasureWhereNoSpoonIsKnown) {
  const auto salt = changed(relish_with("\"1 tbsp\"", "\"5 g\""), "table salt", "pickling salt");
  const auto plan = make(formula_of(salt), by_factor(1), kitchen()).value();
  EXPECT_EQ(of(plan, "pickling salt").amount, "5 g, on another scale");
  EXPECT_THAT(plan.notes, Contains(HasSubstr("pickling salt is not weighed here, 5 g, on another "
                                             "scale: too fine for the bench scale")));
  EXPECT_THAT(plan.notes, Contains(HasSubstr("add weighs = \"1 tsp = ... g\"")));
}

TEST(Scales, PassOverAProbeAndAnUnknownInterval) {
  proto::LeasedDevice probe = bench();
  probe.description.quantity = proto::Quantity::temperature;
  EXPECT_EQ(of(*make(formula_of(kRelish), {}, kitchen({probe})), "onion").reason,
            "no scale at hand");
  EXPECT_THAT(
      of(*make(formula_of(kRelish), {}, kitchen({scale(proto::Role::bench, 0, 0)})), "onion")
          .reason,
      HasSubstr("interval of the bench scale is not known"));
}

constexpr std::string_view kCure = R"(name = "Harbour cure"
status = "own"
keeping = "refrigerator"
largest_multiple = 3
[[ingredient]]
name = "harbour ham"
amount = "2 kg"
counts_as = "meat"
band = "10 %"
[[ingredient]]
name = "table salt"
amount = "50 g"
counts_as = "salt"
band = "10 %"
[[ingredient]]
name = "cure number nine"
amount = "5 g"
counts_as = "curing salt"
nitrite = "6.25 %"
nitrite_limit = "home cure"
band = "10 %"
[[ratio]]
of = "salt"
per = "meat"
least = "2 %"
[[ratio]]
of = "salt"
per = "meat"
most = "3 %"
[[operation]]
kind = "weigh"
)";

Equipment cure_kitchen(std::vector<proto::LeasedDevice> scales) {
  auto there = kitchen(std::move(scales));
  there.facts.nitrite_pct = 6.25;
  return there;
}

TEST(CuringSalt, IsRefusedWhereNoScaleCanJudgeIt) {
  EXPECT_THAT(refusal(make(formula_of(kCure), {}, cure_kitchen({bench()}))),
              HasSubstr("use a scale with steps of 0.10 g or less"));
  EXPECT_THAT(refusal(make(formula_of(kCure), {}, cure_kitchen({}))),
              HasSubstr("no scale at hand"));
}

TEST(CuringSalt, IsGuardedOnBothSides) {
  const auto plan = make(formula_of(kCure), {}, cure_kitchen({bench(), fine()})).value();
  const auto& cure = plan.ingredients.back();
  EXPECT_TRUE(cure.critical);
  EXPECT_GT(cure.accept_lower_ug, cure.lower_ug);
  EXPECT_LT(cure.accept_upper_ug, cure.upper_ug);
  EXPECT_THAT(plan.operations.front().caution, HasSubstr("no table salt"));
}

TEST(CuringSalt, HasItsNitriteAmongTheRatiosAndInThePlan) {
  const auto plan = make(formula_of(kCure), {}, cure_kitchen({bench(), fine()})).value();
  const auto& ratio = plan.ratios.back();
  EXPECT_EQ(ratio.of, "curing salt");
  EXPECT_EQ(ratio.per, "meat");
  EXPECT_FALSE(ratio.least);
  EXPECT_EQ(ratio.limit_ppm, 3200);  // 200 ppm of nitrite, 6.25 % in the mix
  EXPECT_EQ(plan.nitrite_most_ppm, 200);
  EXPECT_EQ(plan.nitrite_for, "home cure");
  EXPECT_THAT(plan.notes, Contains(HasSubstr("156 ppm of sodium nitrite")));
}

TEST(CuringSalt, IsRefusedWithoutItsLabelAndWithAnotherOne) {
  auto there = cure_kitchen({bench(), fine()});
  there.facts.nitrite_pct.reset();
  EXPECT_THAT(refusal(make(formula_of(kCure), {}, there)), HasSubstr("a mix without a label"));
  there.facts.nitrite_pct = 0.5;
  EXPECT_THAT(refusal(make(formula_of(kCure), {}, there)), HasSubstr("yours has 0.5 %"));
}

constexpr std::string_view kBrine = R"(name = "Harbour brine"
status = "own"
keeping = "refrigerator"
[[ingredient]]
name = "water"
amount = "1 kg"
counts_as = "water"
band = "5 %"
[[ingredient]]
name = "table salt"
amount = "60 g"
counts_as = "salt"
band = "10 %"
[[ratio]]
of = "salt"
per = "salt and water"
least = "5 %"
[[ratio]]
of = "salt"
per = "salt and water"
most = "6.5 %"
[[operation]]
kind = "weigh"
)";

// Whatever is accepted of both keeps the strength of the brine between its two limits.
TEST(Brine, KeepsItsStrengthAtEveryAcceptedEnd) {
  const auto plan = make(formula_of(kBrine), {}, kitchen()).value();
  const auto& water = plan.ingredients[0];
  const auto& salt = plan.ingredients[1];
  EXPECT_TRUE(salt.unsafe_under);
  EXPECT_TRUE(salt.unsafe_over);
  EXPECT_TRUE(water.unsafe_over);
  const auto strength = [](std::int64_t salt_ug, std::int64_t water_ug) {
    return static_cast<double>(salt_ug) / static_cast<double>(salt_ug + water_ug);
  };
  EXPECT_GT(strength(salt.accept_lower_ug, water.accept_upper_ug), 0.05);
  EXPECT_LT(strength(salt.accept_upper_ug, water.accept_lower_ug), 0.065);
  EXPECT_EQ(plan.ratios.front().share_ppm, 50'000);
  EXPECT_EQ(plan.ratios.front().per, "salt and water");
}

// ---- ratios over what was weighed ------------------------------------------------------------

const proto::PlannedRatio kAcid{"acid",      "low-acid food",     true, 800'000,
                                {"vinegar"}, {"onion", "pepper"}, 0,    {}};
const proto::PlannedRatio kWater{"water", "acid", false, 600'000, {"water"}, {"vinegar"}, 0, {}};
WeighedMass weighed(std::string name, std::int64_t grams) {
  return {std::move(name), grams * kGram, 720'000};
}

TEST(CheckRatio, IsSatisfiedByTheGuard) {
  const std::vector<WeighedMass> masses{weighed("vinegar", 360), weighed("onion", 320),
                                        weighed("pepper", 75)};
  const RatioCheck check = check_ratio(kAcid, masses, 0.02);
  EXPECT_EQ(check.state, RatioState::satisfied);
  EXPECT_EQ(check.margin_ug, 44 * kGram);
  EXPECT_GT(check.guard_ug, 2 * kGram);
  EXPECT_EQ(check.add_ug, 0);
}

TEST(CheckRatio, IsUndecidedInsideTheGuardAndBrokenBeyondTheLimit) {
  const auto state = [](std::int64_t vinegar) {
    const std::vector<WeighedMass> masses{weighed("vinegar", vinegar), weighed("onion", 320),
                                          weighed("pepper", 75)};
    return check_ratio(kAcid, masses, 0.02).state;
  };
  EXPECT_EQ(state(320), RatioState::satisfied);
  EXPECT_EQ(state(317), RatioState::undecided);
  EXPECT_EQ(state(316), RatioState::undecided);  // on the limit itself
  EXPECT_EQ(state(315), RatioState::broken);
}

TEST(CheckRatio, WaitsForAllThatCount) {
  const std::vector<WeighedMass> masses{weighed("vinegar", 360), weighed("onion", 320)};
  const RatioCheck check = check_ratio(kAcid, masses, 0.02);
  EXPECT_EQ(check.state, RatioState::undecided);
  EXPECT_THAT(check.missing, testing::ElementsAre("pepper"));
  EXPECT_EQ(check.add_ug, 0);
}

TEST(CheckRatio, SaysHowMuchMendsIt) {
  std::vector<WeighedMass> masses{weighed("vinegar", 300), weighed("onion", 320),
                                  weighed("pepper", 75)};
  const RatioCheck broken = check_ratio(kAcid, masses, 0.02);
  EXPECT_EQ(broken.add, "acid");
  masses.push_back({"vinegar", broken.add_ug, 0});
  EXPECT_EQ(check_ratio(kAcid, masses, 0.02).state, RatioState::satisfied);
}

TEST(CheckRatio, MendsTooMuchWaterWithAcid) {
  std::vector<WeighedMass> masses{weighed("water", 300), weighed("vinegar", 400)};
  const RatioCheck broken = check_ratio(kWater, masses, 0.02);
  EXPECT_EQ(broken.state, RatioState::broken);
  EXPECT_EQ(broken.add, "acid");
  masses.push_back({"vinegar", broken.add_ug, 0});
  EXPECT_EQ(check_ratio(kWater, masses, 0.02).state, RatioState::satisfied);
}

TEST(CheckRatio, ComparesExactly) {
  // In doubles 0.1 + 0.2 is not 0.3; a third of the readings on a limit would fall on the wrong
  // side.
  proto::PlannedRatio exact{"acid", "food", true, 300'000, {"a"}, {"f"}, 0, {}};
  for (std::int64_t food = 1; food < 2000; ++food) {
    const std::vector<WeighedMass> on{{"a", food * 300'000, 0}, {"f", food * kGram, 0}};
    EXPECT_EQ(check_ratio(exact, on, 0.02).state, RatioState::satisfied);
    const std::vector<WeighedMass> off{{"a", food * 300'000 - 1, 0}, {"f", food * kGram, 0}};
    EXPECT_EQ(check_ratio(exact, off, 0.02).state, RatioState::broken);
  }
}

}  // namespace
}  // namespace maslin::plan
