// What the kitchen has against what is planned: bottle, package, pan, jars, canner; and the order
// of the evening that follows.
#include <gmock/gmock.h>

#include "daemon/plan/barometer.hpp"
#include "tests/unit/plan/kitchen.hpp"

namespace maslin::plan {
namespace {

using testing::AllOf;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

constexpr const char* kJelly = R"(
name = "Quayside test jelly"
status = "tested"
source = "an invented test kitchen"
invented = true
keeping = "shelf"
jars = 4
jar = "250 mL"
largest_multiple = 1
[[ingredient]]
name = "sweet pepper"
like = "green sweet pepper"
amount = "1 cup"
form = "chopped"
counts_as = "low-acid food"
lead = true
band = "5 %"
[[ingredient]]
name = "cider vinegar"
amount = "1 1/2 cups"
counts_as = "acid"
below = "3 %"
above = "5 %"
[[ingredient]]
name = "powdered pectin"
amount = "1 package"
counts_as = "pectin"
band = "8 %"
[[ingredient]]
name = "sugar"
amount = "3 cups"
counts_as = "sugar"
band = "3 %"
[[ratio]]
of = "acid"
per = "low-acid food"
least = "3/2"
[[operation]]
kind = "prepare"
[[operation]]
kind = "weigh"
[[operation]]
kind = "heat"
ingredients = ["sweet pepper", "cider vinegar", "powdered pectin", "sugar"]
until = "boil"
[[operation]]
kind = "dwell"
time = "1 min"
while = "boiling"
[[operation]]
kind = "fill"
[[operation]]
kind = "water bath"
rows = ["5 min to 1000 ft", "10 min to 6000 ft", "15 min above"]
[[operation]]
kind = "cool"
[[operation]]
kind = "seal check"
)";

class KitchenPlan : public testing::Test {
 protected:
  KitchenPlan() {
    equipment = kitchen();
    equipment.settings.altitude_m = 12;
    equipment.facts.vinegar_pct = 5;
    equipment.facts.jar_ml = 250;
    equipment.facts.lids = 6;
  }
  proto::Results<proto::Plan> made(const std::string& keeping = {}) {
    proto::PlanRequest request;
    request.keeping = keeping;
    return make(formula_of(text), request, equipment);
  }
  std::vector<std::string> steps() {
    std::vector<std::string> kinds;
    const auto plan = made();
    for (const auto& one : plan->operations) kinds.push_back(one.kind);
    return kinds;
  }
  // The acid ratio is then critical for the shelf only.
  void acid_is_for_the_shelf() {
    text = changed(text, "least = \"3/2\"", "least = \"3/2\"\nkeeping = \"shelf\"");
  }
  Equipment equipment;
  std::string text = kJelly;
};

TEST_F(KitchenPlan, AsksForTheShelfWhatDecidesItsSafetyAndNothingForTheRefrigerator) {
  equipment.facts = {};
  EXPECT_THAT(made()->asks,
              ElementsAre(HasSubstr("maslin facts --vinegar"), HasSubstr("maslin facts --jar"),
                          HasSubstr("maslin facts --lids")));
  equipment.settings.altitude_m.reset();
  const auto cold = made("refrigerator");
  ASSERT_TRUE(cold.has_value());
  EXPECT_THAT(cold->asks, IsEmpty());
  for (const auto& one : cold->operations) {
    EXPECT_NE(one.kind, "canner");
    EXPECT_NE(one.kind, "water bath");
    EXPECT_NE(one.kind, "wait");
  }
}

TEST_F(KitchenPlan, TheKeepingDecidesWhichRatiosAreCriticalWhereTheFormulaSaysSo) {
  EXPECT_TRUE(of(*made("refrigerator"), "cider vinegar").critical);
  acid_is_for_the_shelf();
  EXPECT_TRUE(of(*made(), "cider vinegar").critical);
  EXPECT_EQ(made()->ratios.size(), 1U);
  const auto cold = made("refrigerator");
  EXPECT_FALSE(of(*cold, "cider vinegar").critical);
  EXPECT_THAT(cold->ratios, IsEmpty());
  EXPECT_THAT(cold->notes, Contains(HasSubstr("is critical for the shelf only")));
}

TEST_F(KitchenPlan, RefusesWeakVinegarWhereverItsAcidIsCriticalElseMindsIt) {
  equipment.facts.vinegar_pct = 4;
  EXPECT_THAT(refusal(made()), AllOf(HasSubstr("the vinegar has 4 % acid"),
                                     HasSubstr("never more of the weak one")));
  EXPECT_THAT(refusal(made("refrigerator")), HasSubstr("the vinegar has 4 % acid"));
  acid_is_for_the_shelf();
  EXPECT_THAT(refusal(made()), HasSubstr("the vinegar has 4 % acid"));
  EXPECT_THAT(made("refrigerator")->notes, Contains(HasSubstr("the vinegar has 4 % acid")));
}

TEST_F(KitchenPlan, SaysHowMuchWaterStandsOverTheLidsAndRefusesACannerTooLow) {
  equipment.facts.jar_cm = 10;
  equipment.facts.canner_cm = 30;
  equipment.facts.canner_jars = 4;
  // 12.54 cm of 706.9 cm2 less four jars of 250 mL: 7.86 L.
  EXPECT_THAT(made()->notes, Contains(HasSubstr("with 8 L in the canner")));
  equipment.facts.canner_l = 7.5;
  EXPECT_THAT(made()->notes, Contains(HasSubstr("7.5 L in the canner may not stand 2.5 cm over")));
  equipment.facts.canner_l = 8;
  EXPECT_THAT(made()->notes, Not(Contains(HasSubstr("over the lids"))));
  equipment.facts.canner_high_cm = 15;
  EXPECT_THAT(refusal(made()), HasSubstr("too low for jars of 10 cm"));
  equipment.facts.canner_high_cm = 15.1;
  EXPECT_TRUE(made().has_value());
}

TEST_F(KitchenPlan, MindsThatPublishedTimesAreForTwoPieceLids) {
  equipment.facts.jar_kind = "two-piece lid";
  EXPECT_THAT(made()->notes, Not(Contains(HasSubstr("two-piece"))));
  equipment.facts.jar_kind = "clip";
  EXPECT_THAT(made()->notes, Contains(HasSubstr("are for two-piece lids")));
  EXPECT_THAT(made("refrigerator")->notes, Not(Contains(HasSubstr("two-piece"))));
}

TEST_F(KitchenPlan, TakesPectinByTheWeightOfThisPackage) {
  equipment.facts.pectin_package_g = 49;
  EXPECT_EQ(of(*made(), "powdered pectin").nominal_ug, 49 * kGram);
  equipment.facts.pectin = "liquid";
  EXPECT_THAT(refusal(made()), HasSubstr("one does not stand in for the other"));
}

TEST_F(KitchenPlan, FillsTheJarsThatThereAreAndNamesWhatIsShort) {
  equipment.facts.jar_ml = 200;
  EXPECT_EQ(made()->jars, "5 jars of 200 mL");
  equipment.facts.jars = 3;
  equipment.facts.lids = 2;
  EXPECT_EQ(made()->limited_by, "jars, 3 for 5; new lids, 2 for 5");
}

TEST_F(KitchenPlan, GivesNoTimeForAJarLargerThanThePublishedRow) {
  equipment.facts.jar_ml = 500;
  EXPECT_THAT(refusal(made()), HasSubstr("no time in the water bath for jars of 500 mL"));
  equipment.facts.jar_ml = 120;
  const auto plan = made();
  ASSERT_TRUE(plan.has_value()) << refusal(plan);
  for (const auto& one : plan->operations) {
    if (one.kind != "water bath") continue;
    EXPECT_EQ(one.duration_ms, 300'000);
  }
}

TEST_F(KitchenPlan, RefusesAPanThatWouldBoilOverAndABareOne) {
  equipment.facts.pan_l = 4;  // 1.25 kg of what foams
  EXPECT_THAT(refusal(made()), HasSubstr("what foams may fill a quarter of it"));
  equipment.facts.pan_l = 6;
  EXPECT_TRUE(made().has_value());
  equipment.facts.pan_metal = "aluminium";
  EXPECT_THAT(refusal(made()), HasSubstr("a pan of bare aluminium"));
}

TEST_F(KitchenPlan, AsksTheEyeWhereTheSyrupIsTooShallowForAProbe) {
  proto::LeasedDevice probe = bench();
  probe.role = proto::Role::pan;
  equipment.scales.push_back(probe);
  const auto by_eye = [&] {
    const auto plan = made();
    for (const auto& one : plan->operations) {
      if (one.kind == "heat") return one.by_eye;
    }
    return false;
  };
  equipment.facts.pan_cm = 28;
  EXPECT_TRUE(by_eye());
  EXPECT_THAT(made()->notes, Contains(HasSubstr("so your eye is asked")));
  equipment.facts.pan_cm = 18;
  EXPECT_FALSE(by_eye());
}

TEST_F(KitchenPlan, BeginsWithTheCannerAndLetsThePanWaitForIt) {
  EXPECT_THAT(steps(), ElementsAre("canner", "prepare", "weigh", "wait", "heat", "dwell", "fill",
                                   "water bath", "cool", "seal check"));
  equipment.facts.canner_jars = 3;
  EXPECT_EQ(made()->canner_loads, 2);
  EXPECT_THAT(steps(), ElementsAre("canner", "prepare", "weigh", "wait", "heat", "dwell", "fill",
                                   "water bath", "water bath", "cool", "seal check"));
}

// 10 minutes and 1 more for each additional 1,000 ft, where the process is under ten minutes: USDA
// Complete Guide to Home Canning (AIB 539), guide 1; where the thousand is reached, by our reading.
TEST_F(KitchenPlan, BoilsTheJarsBeforehandWhereTheProcessIsShort) {
  EXPECT_EQ(made()->sterilise_ms, 600'000);
  equipment.settings.altitude_m = 999 * 0.3048;
  EXPECT_EQ(made()->sterilise_ms, 600'000);
  equipment.settings.altitude_m = 1000 * 0.3048;
  EXPECT_EQ(made()->sterilise_ms, 660'000);
  equipment.settings.altitude_m = 1001 * 0.3048;
  EXPECT_EQ(made()->sterilise_ms, 0) << "ten minutes in the bath";
}

TEST_F(KitchenPlan, ForeseesTheCannerByWaterAndPowerOrByTheLastTime) {
  equipment.facts.canner_l = 9;
  const auto minutes = [&] { return static_cast<double>(made()->canner_ms) / 60'000; };
  EXPECT_NEAR(minutes(), 32, 3);
  equipment.facts.canner_kw = 3.5;
  EXPECT_LT(minutes(), 22);
  equipment.facts.canner_min = 27;
  EXPECT_EQ(minutes(), 27);
}

// US Standard Atmosphere 1976: 846 hPa at 1,500 m (tests/reference checks the formula itself).
TEST(Barometer, IsNamedAndNotUsedWhereItIsReducedToSeaLevel) {
  EXPECT_THAT(barometer_note(1500, 101'400),
              AllOf(HasSubstr("shows 1014 hPa"), HasSubstr("about 846 hPa at 1500 m"),
                    HasSubstr("It is not used.")));
  EXPECT_THAT(barometer_note(1500, 84'900), HasSubstr("goes by the altitude alone"));
  EXPECT_THAT(barometer_note(1500, 84'556 + 4000), HasSubstr("goes by the altitude alone"));
  EXPECT_EQ(barometer_note(20'000, 5'000), "");
}

TEST_F(KitchenPlan, LeavesTheJarsAloneForTwelveHoursAfterTheBath) {
  const auto plan = made();
  for (const auto& one : plan->operations) {
    if (one.kind != "cool") continue;
    EXPECT_EQ(one.duration_ms, 12 * 3'600'000);
  }
}

}  // namespace
}  // namespace maslin::plan
