// Plans by what is at hand, by jars and by factor; what is refused and what is allowed instead;
// cautions and steps.
#include "daemon/plan/plan.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <set>

#include "tests/unit/plan/kitchen.hpp"

namespace maslin::plan {
namespace {

using testing::AllOf;
using testing::Contains;
using testing::HasSubstr;
using testing::Not;

TEST(Plan, ByWhatIsAtHandScalesAll) {
  const auto plan = make(formula_of(kRelish), having({"onion=640 g"}), kitchen()).value();
  EXPECT_DOUBLE_EQ(plan.factor, 2);
  EXPECT_EQ(of(plan, "onion").nominal_ug, 640 * kGram);
  EXPECT_EQ(of(plan, "cider vinegar").nominal_ug, 717 * kGram);
  EXPECT_EQ(of(plan, "cider vinegar").amount, "3 cups");
  EXPECT_EQ(of(plan, "onion").amount, "4 cups, chopped");
  EXPECT_EQ(of(plan, "sugar").nominal_ug, 300 * kGram);
  EXPECT_EQ(plan.jars, "6 jars of 250 mL");
}

TEST(Plan, ByJarsAndByFactor) {
  EXPECT_DOUBLE_EQ(make(formula_of(kRelish), by_jars(6), kitchen())->factor, 2);
  EXPECT_DOUBLE_EQ(make(formula_of(kRelish), by_factor(0.5), kitchen())->factor, 0.5);
  EXPECT_EQ(make(formula_of(kRelish), by_factor(0.5), kitchen())->jars,
            "1 jar of 250 mL and one part-filled");
  EXPECT_DOUBLE_EQ(make(formula_of(kRelish), {}, kitchen())->factor, 1);
}

TEST(Plan, TakesTheScarcestOfWhatIsAtHand) {
  const auto plan =
      make(formula_of(kRelish), having({"onion=640 g", "sugar=150 g"}), kitchen()).value();
  EXPECT_DOUBLE_EQ(plan.factor, 1);
  EXPECT_EQ(of(plan, "onion").nominal_ug, 320 * kGram);
}

TEST(Plan, IsProvisionalUntilTheLeadIsWeighed) {
  const auto relish = formula_of(kRelish);
  EXPECT_TRUE(make(relish, {}, kitchen())->provisional);
  EXPECT_TRUE(make(relish, by_factor(1), kitchen())->provisional);
  EXPECT_TRUE(make(relish, having({"onion=3 cups"}), kitchen())->provisional);
  EXPECT_TRUE(make(relish, having({"sugar=150 g"}), kitchen())->provisional);
  EXPECT_FALSE(make(relish, having({"onion=640 g"}), kitchen())->provisional);
  EXPECT_FALSE(finalise(relish, by_factor(1), kitchen(), 400 * kGram)->provisional);
}

TEST(Plan, WithoutALeadIsFinal) {
  EXPECT_FALSE(make(formula_of(relish_with("lead = true\n", "")), {}, kitchen())->provisional);
}

TEST(Plan, CooksMoreThanTheLargestMultipleInEqualPotsOneAfterTheOther) {
  const auto relish = formula_of(kRelish);
  const auto by_number = make(relish, by_factor(2.5), kitchen()).value();
  EXPECT_EQ(by_number.pots, 2);
  EXPECT_DOUBLE_EQ(by_number.factor, 1.25);
  EXPECT_THAT(by_number.notes, Contains(HasSubstr("one of 2 pots, cooked one after the other")));
  const auto by_onion = make(relish, having({"onion=900 g"}), kitchen()).value();
  EXPECT_EQ(by_onion.pots, 2);
  EXPECT_EQ(of(by_onion, "onion").nominal_ug, 450 * kGram);
  EXPECT_EQ(make(relish, by_jars(6), kitchen())->pots, 1);
  EXPECT_EQ(make(relish, by_jars(7), kitchen())->pots, 2);
}

TEST(Plan, RefusesMorePotsThanAnyEveningHas) {
  const auto relish = formula_of(kRelish);
  EXPECT_THAT(refusal(make(relish, by_factor(13), kitchen())),
              AllOf(HasSubstr("--factor: this is 13 times the formula"),
                    HasSubstr("at most 6 pots of 2 times"), HasSubstr("640 g of prepared onion")));
  EXPECT_THAT(refusal(make(relish, by_jars(37), kitchen())),
              HasSubstr("at most 6 jars a pot, 6 pots"));
  EXPECT_THAT(refusal(make(relish, having({"onion=9 kg"}), kitchen())),
              AllOf(HasSubstr("by the onion"), HasSubstr("640 g of prepared onion")));
}

TEST(Plan, LetsTheLeadBeOverTheLargestMultipleByItsBand) {
  const auto plan = make(formula_of(kRelish), having({"onion=660 g"}), kitchen()).value();
  EXPECT_DOUBLE_EQ(plan.factor, 2);
  EXPECT_EQ(of(plan, "onion").nominal_ug, 660 * kGram);
  EXPECT_EQ(of(plan, "sugar").nominal_ug, 300 * kGram);
}

TEST(Plan, RefusesNumbersThatAreNoSize) {
  for (const double factor : {0.0, -1.0, 1e9, std::nan(""), std::numeric_limits<double>::infinity(),
                              -std::numeric_limits<double>::infinity(), 1e-12}) {
    SCOPED_TRACE(factor);
    const std::string factors = refusal(make(formula_of(kRelish), by_factor(factor), kitchen()));
    const std::string jars = refusal(make(formula_of(kRelish), by_jars(factor), kitchen()));
    EXPECT_FALSE(factors.empty());
    EXPECT_FALSE(jars.empty());
    if (factor != 1e-12) {
      EXPECT_THAT(factors, HasSubstr("6 pots of 2 times"));
      EXPECT_THAT(jars, HasSubstr("at most 6 jars"));
    }
  }
}

TEST(Plan, NamesWhatIsInTheFormulaWhereSomethingElseIsAtHand) {
  const auto relish = formula_of(kRelish);
  EXPECT_THAT(refusal(make(relish, having({"onoin=640 g"}), kitchen())),
              AllOf(HasSubstr("has no \"onoin\""), HasSubstr("did you mean \"onion\"?"),
                    HasSubstr("\"table salt\"")));
  EXPECT_THAT(refusal(make(relish, having({"onion"}), kitchen())), HasSubstr("\"onion=640 g\""));
  EXPECT_THAT(refusal(make(relish, having({"onion=lots"}), kitchen())), HasSubstr("a number"));
  EXPECT_THAT(refusal(make(relish, having({"onion=0 g"}), kitchen())), HasSubstr("is zero"));
  EXPECT_THAT(refusal(make(relish, having({"onion=3 pieces"}), kitchen())), HasSubstr("in g"));
  EXPECT_THAT(refusal(make(relish, having({"onion=1 g", "onion=2 g"}), kitchen())),
              HasSubstr("given twice"));
  proto::PlanRequest both = by_factor(1);
  both.jars = 3;
  EXPECT_THAT(refusal(make(relish, both, kitchen())), HasSubstr("more than one way"));
}

TEST(Plan, SaysFirstWhatTheBatchMayBeCalled) {
  const auto own = make(formula_of(kRelish), {}, kitchen()).value();
  EXPECT_THAT(own.may_be_called,
              AllOf(HasSubstr("Refrigerator batch"), HasSubstr("not for the shelf")));
  const auto invented =
      make(formula_of(relish_with("status = \"own\"", "status = \"own\"\ninvented = true")), {},
           kitchen())
          .value();
  EXPECT_THAT(invented.may_be_called, HasSubstr("not tested for safety"));
}

TEST(Plan, NeverPutsAnOwnFormulaOnTheShelf) {
  proto::PlanRequest request;
  request.keeping = "shelf";
  EXPECT_THAT(refusal(make(formula_of(kRelish), request, kitchen())),
              AllOf(HasSubstr("not for the shelf"), HasSubstr("\"freezer\"")));
  request.keeping = "freezer";
  EXPECT_THAT(make(formula_of(kRelish), request, kitchen())->may_be_called,
              HasSubstr("Freezer batch"));
  request.keeping = "cellar";
  EXPECT_THAT(refusal(make(formula_of(kRelish), request, kitchen())),
              HasSubstr("no way of keeping"));
}

TEST(Plan, OfARefrigeratorBatchAsksForNoAltitude) {
  const auto plan = make(formula_of(kRelish), {}, kitchen()).value();
  EXPECT_EQ(plan.boiling_point_mk, 0);
  EXPECT_FALSE(plan.altitude_m.has_value());
}

TEST(Plan, TellsThatTheEyeJudgesTheBoilWhereAPanThermometerLacksTheAltitude) {
  const auto note = Contains(HasSubstr("the boil is judged by your eye: maslin settings --alt"));
  proto::LeasedDevice probe = bench();
  probe.role = proto::Role::pan;
  probe.description.quantity = proto::Quantity::temperature;
  Equipment equipment = kitchen({bench(), probe});
  EXPECT_THAT(make(formula_of(kRelish), {}, equipment)->notes, note);
  EXPECT_THAT(make(formula_of(kRelish), {}, kitchen())->notes, Not(note))
      << "no probe, no question";
  equipment.settings.altitude_m = 12;
  EXPECT_THAT(make(formula_of(kRelish), {}, equipment)->notes, Not(note));
}

TEST(Plan, SaysMoreThanWasTestedOnlyWhereSomebodyTested) {
  EXPECT_THAT(refusal(make(formula_of(kRelish), by_factor(13), kitchen())),
              HasSubstr("13 times the formula, more than the formula allows"));
  const std::string tested =
      relish_with("status = \"own\"", "status = \"tested\"\nsource = \"an invented handbook\"");
  EXPECT_THAT(refusal(make(formula_of(tested), by_factor(13), kitchen())),
              HasSubstr("more than was tested"));
}

TEST(Plan, CallsABatchTooSmallForTheScaleOnce) {
  EXPECT_EQ(refusal(make(formula_of(kRelish), by_factor(0.0001), kitchen())),
            ": this batch is too small to be weighed: nothing here can show the band of the onion "
            "at 0.03 g; make a larger batch\n");
}

TEST(Plan, CountsWholeJarsAndNamesThePartFilledOne) {
  const auto jars = [](double factor) {
    return make(formula_of(kRelish), by_factor(factor), kitchen())->jars;
  };
  EXPECT_EQ(jars(1), "3 jars of 250 mL");
  EXPECT_EQ(jars(1.5), "4 jars of 250 mL and one part-filled");
  EXPECT_EQ(jars(0.5), "1 jar of 250 mL and one part-filled");
  EXPECT_EQ(jars(0.2), "about one part-filled jar of 250 mL");
  EXPECT_EQ(jars(1.4), "about 4 jars of 250 mL and one part-filled");
  EXPECT_EQ(jars(1.35), "about 4 jars of 250 mL");
}

TEST(Plan, EndsTheBandOfTheLeadAtTheLargestMultiple) {
  EXPECT_EQ(of(*make(formula_of(kRelish), by_factor(2), kitchen()), "onion").upper_ug, 640 * kGram);
  EXPECT_EQ(of(*make(formula_of(kRelish), by_factor(1), kitchen()), "onion").upper_ug, 336 * kGram);
  EXPECT_THAT(finalise(formula_of(kRelish), {}, kitchen(), 658 * kGram)->notes,
              Contains(HasSubstr("658 g of onion is a little over the largest batch, 640 g")));
  EXPECT_THAT(finalise(formula_of(kRelish), {}, kitchen(), 640 * kGram)->notes,
              Not(Contains(HasSubstr("over the largest batch"))));
}

TEST(Plan, KnowsTheBoilingPointWhereTheAltitudeIsKnown) {
  Equipment high = kitchen();
  high.settings.altitude_m = 1000;
  EXPECT_EQ(make(formula_of(kRelish), {}, high)->boiling_point_mk, 369'799);
  high.settings.altitude_m = 1e6;
  EXPECT_THAT(refusal(make(formula_of(kRelish), {}, high)), HasSubstr("no kitchen"));
}

TEST(Plan, ResolvesATargetAboveTheLocalBoil) {
  const auto jam =
      formula_of(relish_with("until = \"boil\"", "until = \"above boil\"\nabove_boil = \"4.5 K\""));
  Equipment equipment = kitchen();
  EXPECT_THAT(make(jam, {}, equipment)->notes,
              Contains(HasSubstr("so 4.5 °C above the boiling point has no figure here")));
  equipment.settings.altitude_m = 0;
  EXPECT_EQ(make(jam, {}, equipment)->operations[2].target_mk, 373'124 + 4'500);
}

TEST(Plan, SaysWhereBothPublishedRulesSet) {
  const auto relish =
      formula_of(relish_with("until = \"boil\"", "until = \"above boil\"\nabove_boil = \"4.5 K\""));
  Equipment equipment = kitchen();
  equipment.settings.altitude_m = 609.6;  // 2000 ft: the table prints 216 °F
  const auto plan = make(relish, {}, equipment);
  ASSERT_TRUE(plan.has_value());
  EXPECT_THAT(
      plan->notes,
      Contains(HasSubstr("the printed gel table says 102.2 °C, 8 °F over the boil is 102.4 °C")));
}

TEST(Plan, KeepsTheOperationsInOrderWithTheirTimes) {
  const auto plan = make(formula_of(kRelish), {}, kitchen()).value();
  ASSERT_EQ(plan.operations.size(), 6U);
  EXPECT_EQ(plan.operations[1].kind, "weigh");
  EXPECT_EQ(plan.operations[1].ingredients.front(), "onion");
  EXPECT_EQ(plan.operations[2].until, "boil");
  EXPECT_EQ(plan.operations[3].kind, "dwell");
  EXPECT_EQ(plan.operations[3].until, "boil");
  EXPECT_EQ(plan.operations[3].duration_ms, 600'000);
}

TEST(Plan, SaysEachCautionOnceWithItsEvidence) {
  const auto plan = make(formula_of(kRelish), {}, kitchen()).value();
  std::set<std::string> texts;
  for (const auto& caution : plan.cautions) {
    EXPECT_TRUE(texts.insert(caution.text).second) << caution.text;
    EXPECT_FALSE(caution.evidence.empty());
  }
  EXPECT_THAT(texts, Contains(HasSubstr("5 % acidity")));
  EXPECT_EQ(plan.operations[1].caution, "Put nothing hot on the scale.");
}

TEST(Plan, SpeaksOfTheAcidThatIsInTheFormula) {
  const auto texts = [](const formula::Formula& formula) {
    std::string all;
    const auto plan = make(formula, {}, kitchen());
    for (const auto& caution : plan->cautions) all += caution.text + "\n";
    return all;
  };
  const auto lemon = formula_of(
      relish_with("name = \"cider vinegar\"", "name = \"lemon\"\nlike = \"bottled lemon juice\""));
  EXPECT_THAT(texts(lemon), HasSubstr("bottled lemon or lime juice, not fresh"));
  EXPECT_THAT(texts(lemon), Not(HasSubstr("vinegar whose label")));
  EXPECT_THAT(texts(lemon), HasSubstr("bare copper"));
  EXPECT_THAT(texts(formula_of(kRelish)), Not(HasSubstr("not fresh")));
  const auto own = formula_of(
      relish_with("name = \"cider vinegar\"", "name = \"the sour\"\nlike = \"white vinegar\""));
  EXPECT_THAT(texts(own), HasSubstr("vinegar whose label says 5 % acidity"));
}

TEST(Plan, ForTheFreezerSpeaksOfTheFreezer) {
  proto::PlanRequest request;
  request.keeping = "freezer";
  const auto plan = make(formula_of(kRelish), request, kitchen()).value();
  EXPECT_THAT(plan.operations[4].caution, HasSubstr("Leave room at the top"));
  EXPECT_THAT(plan.operations[5].caution, HasSubstr("Into the freezer"));
  for (const auto& caution : plan.cautions) {
    EXPECT_THAT(caution.text, Not(HasSubstr("finger-tight")));
    EXPECT_THAT(caution.text, Not(HasSubstr("Into the refrigerator")));
  }
}

TEST(Plan, WarnsOfHotPeppersWhereTheyAreCut) {
  const auto hot = formula_of(relish_with("name = \"onion\"", "name = \"onion\"\nhot = true"));
  EXPECT_THAT(make(hot, {}, kitchen())->operations[0].caution, HasSubstr("gloves"));
}

constexpr std::string_view kShelf = R"(name = "Lighthouse jelly"
status = "tested"
source = "an invented handbook, page 7"
keeping = "shelf"
[[ingredient]]
name = "distilled vinegar"
amount = "2 cups"
counts_as = "acid"
band = "5 %"
[[operation]]
kind = "weigh"
[[operation]]
kind = "fill"
[[operation]]
kind = "water bath"
rows = ["5 min to 1000 ft", "10 min to 6000 ft"]
jar = "250 mL"
[[operation]]
kind = "cool"
[[operation]]
kind = "seal check"
)";

// The edges of a published table are inclusive below: 1,000 ft is the first row, 1,001 ft the
// second.
TEST(ShelfPlan, TakesTheRowOfItsAltitude) {
  const auto jelly = formula_of(kShelf);
  const auto minutes = [&](double feet) {
    Equipment equipment = kitchen();
    equipment.settings.altitude_m = feet * 0.3048;
    const auto plan = make(jelly, {}, equipment);
    return plan ? plan->operations[2].duration_ms / 60'000 : -1;
  };
  EXPECT_EQ(minutes(0), 5);
  EXPECT_EQ(minutes(1000), 5);
  EXPECT_EQ(minutes(1001), 10);
  EXPECT_EQ(minutes(6000), 10);
  EXPECT_EQ(minutes(6001), -1);
}

TEST(ShelfPlan, IsRefusedWithoutAltitude) {
  EXPECT_THAT(refusal(make(formula_of(kShelf), {}, kitchen())),
              HasSubstr("maslin settings --altitude \"METRES m\""));
}

TEST(ShelfPlan, WithoutAScaleIsForNoShelfFromItsFirstLineOn) {
  const auto pickle = formula_of(std::string(kShelf) + R"(
[[ingredient]]
name = "harbour onion"
amount = "200 g"
counts_as = "low-acid food"
band = "10 %"
[[ratio]]
of = "acid"
per = "low-acid food"
least = "1.5"
)");
  auto there = kitchen();
  there.settings.altitude_m = 12;
  ASSERT_THAT(make(pickle, {}, there)->may_be_called, HasSubstr("For the shelf only as far as"));
  there.scales.clear();
  EXPECT_THAT(
      make(pickle, {}, there)->may_be_called,
      HasSubstr("Not for the shelf: a batch after an invented handbook, page 7; no scale here "
                "confirms distilled vinegar, harbour onion"));
}

TEST(ShelfPlan, KeptColdHasNoBathAndNeedsNoAltitude) {
  proto::PlanRequest request;
  request.keeping = "refrigerator";
  const auto plan = make(formula_of(kShelf), request, kitchen()).value();
  EXPECT_EQ(plan.operations.size(), 3U);
  EXPECT_THAT(plan.may_be_called, HasSubstr("Refrigerator batch after an invented handbook"));
}

TEST(Finalise, TakesTheSizeFromTheWeighedLead) {
  const auto plan = finalise(formula_of(kRelish), by_factor(1), kitchen(), 400 * kGram).value();
  EXPECT_EQ(of(plan, "onion").nominal_ug, 400 * kGram);
  EXPECT_DOUBLE_EQ(plan.factor, 1.25);
  EXPECT_EQ(of(plan, "sugar").nominal_ug, 187'500'000);
}

TEST(Finalise, RefusesMoreThanWasTestedAndSaysWhatToTakeOut) {
  EXPECT_THAT(refusal(finalise(formula_of(kRelish), by_factor(1), kitchen(), 700 * kGram)),
              AllOf(HasSubstr("700 g of onion is more than the formula allows"),
                    HasSubstr("take 60 g out")));
  EXPECT_DOUBLE_EQ(finalise(formula_of(kRelish), {}, kitchen(), 660 * kGram)->factor, 2);
}

TEST(Finalise, RefusesMoreThanTheRestAtHandAllows) {
  EXPECT_THAT(
      refusal(finalise(formula_of(kRelish), having({"sugar=150 g"}), kitchen(), 400 * kGram)),
      AllOf(HasSubstr("the sugar at hand, 150 g"), HasSubstr("take 80 g of onion out"),
            HasSubstr("get 37.5 g more")));
}

TEST(Finalise, RefusesAnEmptyScale) {
  EXPECT_THAT(refusal(finalise(formula_of(kRelish), {}, kitchen(), 0)), HasSubstr("no onion"));
  EXPECT_THAT(refusal(finalise(formula_of(kRelish), {}, kitchen(), -5 * kGram)),
              HasSubstr("no onion"));
}

TEST(Notes, AScaleThatSendsTooSeldomForSlowAndStopIsNamed) {
  auto slow = bench();
  const auto note = Contains(HasSubstr("too few readings"));
  slow.description.period_ms = 200;
  EXPECT_THAT(make(formula_of(kRelish), {}, kitchen({slow}))->notes, Not(note));
  slow.description.period_ms = 500;
  EXPECT_THAT(make(formula_of(kRelish), {}, kitchen({slow}))->notes, note);
}

}  // namespace
}  // namespace maslin::plan
