// The tolerance report: what it says of each ingredient, and what a batch may be called.
#include <gmock/gmock.h>

#include "evening.hpp"

namespace maslin::review {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::StartsWith;

TEST(Report, SaysForEveryIngredientWhatWasAimedAtAndWeighed) {
  const auto report = Evening().begin().all_within().end("complete").report();
  EXPECT_EQ(report.batch, "2026-11-25-1");
  EXPECT_EQ(report.formula, "Lantern relish");
  EXPECT_EQ(report.state, "complete");
  EXPECT_EQ(report.started_utc, "2026-11-25T12:00:00Z");
  EXPECT_EQ(report.chain, "abcdef0123456789");
  ASSERT_EQ(report.ingredients.size(), 4U);
  const auto& vinegar = report.ingredients[0];
  EXPECT_EQ(vinegar.name, "vinegar");
  EXPECT_DOUBLE_EQ(vinegar.aim_g, 240);
  EXPECT_DOUBLE_EQ(*vinegar.weighed_g, 241);
  EXPECT_DOUBLE_EQ(*vinegar.deviation_g, 1);
  EXPECT_DOUBLE_EQ(*vinegar.standard_uncertainty_g, 0.5);
  EXPECT_EQ(vinegar.verdict, "within");
  EXPECT_EQ(vinegar.how, "poured");
  EXPECT_THAT(report.remarks, IsEmpty());
  EXPECT_THAT(report.deviations, IsEmpty());
}

TEST(Report, TakesTheNewestWordWhereAWeighingWasCorrected) {
  const auto report =
      Evening().begin().all_within().weighed("sugar", 204, "within").end("complete").report();
  EXPECT_DOUBLE_EQ(*report.ingredients[2].weighed_g, 204);
}

TEST(Report, TellsAPourThatWentOverAndWasPutRight) {
  const auto report = Evening()
                          .begin()
                          .all_within()
                          .at(60)
                          .weighed("sugar", 222, "over")
                          .at(75)
                          .weighed("sugar", 201, "within")
                          .end("complete")
                          .report();
  EXPECT_EQ(report.ingredients[2].verdict, "within");
  ASSERT_EQ(report.deviations.size(), 1U);
  EXPECT_EQ(report.deviations[0].from_ms, 75'000);
  EXPECT_EQ(report.deviations[0].what, "sugar over: 222 g, band 190 to 210 g");
  EXPECT_EQ(report.deviations[0].detail, "put right: 201 g");
}

TEST(Report, SaysAcceptedWithItsReasonAndNotWithin) {
  const auto report =
      Evening()
          .begin()
          .all_within()
          .outcome(proto::Deviation{"sugar", false, "222 g, over", "accepted: sweet tooth"})
          .weighed("sugar", 222, "over", true)
          .end("complete")
          .report();
  EXPECT_EQ(report.ingredients[2].verdict, "accepted");
  ASSERT_EQ(report.deviations.size(), 1U);
  EXPECT_THAT(report.deviations[0].detail, HasSubstr("sweet tooth"));
}

TEST(Report, WhatChangesAfterItWasAcceptedIsNoLongerAccepted) {
  const auto report = Evening()
                          .begin()
                          .all_within()
                          .weighed("vinegar", 222, "under", true)
                          .weighed("vinegar", 214, "under")
                          .end("complete")
                          .report();
  EXPECT_EQ(report.ingredients[0].verdict, "under");
}

TEST(Report, SaysWhenNothingWasDoneAboutADeviation) {
  const auto report =
      Evening().begin().all_within().weighed("sugar", 222, "over").end("stopped").report();
  ASSERT_EQ(report.deviations.size(), 1U);
  EXPECT_EQ(report.deviations[0].detail, "nothing was done about it");
}

TEST(Report, SaysWhatIsUnfinishedAndWhatWasNotWeighed) {
  const auto report = Evening()
                          .begin()
                          .weighed("vinegar", 240, "within")
                          .by_measure("salt")
                          .end("stopped")
                          .report();
  EXPECT_THAT(report.remarks,
              ElementsAre("Unfinished: the batch is stopped.", "Not weighed: onion.",
                          "Not weighed: sugar.", "By measure, not weighed: salt, 1 cup."));
  EXPECT_EQ(report.ingredients[1].verdict, "not weighed");
  EXPECT_FALSE(report.ingredients[3].weighed_g.has_value());
  EXPECT_THAT(report.may_be_called,
              StartsWith("Ended before it was finished (stopped): it may not be called anything."));
}

TEST(Report, MayBeCalledWhatThePlanSaysOnlyWhenEveryCriticalLimitWasKept) {
  EXPECT_EQ(Evening().begin().all_within().end("complete").report().may_be_called,
            "For the shelf, as its source says.");
}

TEST(Report, TakesTheShelfBackWhenACriticalRatioIsBrokenByWhatWasWeighed) {
  // 219 g to 400 g is below 0.55; each ingredient alone could still be called within.
  const auto report = Evening()
                          .begin()
                          .all_within()
                          .weighed("vinegar", 219, "within")
                          .weighed("onion", 400, "within")
                          .end("complete")
                          .report();
  EXPECT_THAT(report.may_be_called,
              StartsWith("Not for the shelf: acid per low-acid food is below its critical limit"));
}

TEST(Report, GivesEachCriticalLimitWithWhatWasAchieved) {
  const auto kept = Evening().begin().all_within().end("complete").report();
  ASSERT_EQ(kept.ratios.size(), 1U);
  EXPECT_EQ(kept.ratios[0].of, "acid");
  EXPECT_EQ(kept.ratios[0].per, "low-acid food");
  EXPECT_DOUBLE_EQ(kept.ratios[0].limit, 0.55);
  EXPECT_DOUBLE_EQ(*kept.ratios[0].achieved, 241.0 / 402.0);
  // Each weighing 0.5 g: sqrt(0.25 (1 + r + r^2)) / 402 g, twice (Guide to the expression of
  // uncertainty in measurement, law of propagation with one shared indication).
  EXPECT_NEAR(*kept.ratios[0].expanded_uncertainty, 0.003481, 1e-6);
  EXPECT_EQ(kept.ratios[0].verdict, "kept");
  const auto verdict = [](Evening evening) { return evening.report().ratios[0].verdict; };
  EXPECT_EQ(
      verdict(Evening().begin().weighed("vinegar", 219, "under").weighed("onion", 400, "within")),
      "broken");
  EXPECT_EQ(
      verdict(Evening().begin().weighed("vinegar", 221, "within").weighed("onion", 400, "within")),
      "undecided");
  EXPECT_EQ(verdict(Evening().begin().weighed("vinegar", 240, "within")), "not weighed");
}

TEST(Report, TellsWhatHappenedInACooksWords) {
  const auto report = Evening()
                          .begin()
                          .outcome(proto::Condition{"dwell began", "measured", 0})
                          .outcome(proto::Condition{"prepare done", "seen by the cook", 0})
                          .report();
  EXPECT_EQ(report.conditions[0].what, "the time began to count");
  EXPECT_EQ(report.conditions[1].what, "prepared");
}

TEST(Report, ARatioExactlyAtItsLimitIsKept) {
  const auto report = Evening()
                          .begin()
                          .all_within()
                          .weighed("vinegar", 220, "within")
                          .weighed("onion", 400, "within")
                          .end("complete")
                          .report();
  EXPECT_THAT(report.may_be_called, StartsWith("For the shelf"));
}

TEST(Report, MoreOfTheAcidIsNotUnsafeButMoreOfTheVegetableIs) {
  const auto acid =
      Evening().begin().all_within().weighed("vinegar", 320, "over").end("complete").report();
  EXPECT_THAT(acid.may_be_called, StartsWith("For the shelf"));
  const auto undecided =
      Evening().begin().all_within().weighed("vinegar", 249, "undecided").end("complete").report();
  EXPECT_THAT(undecided.may_be_called, StartsWith("For the shelf"));
  const auto vegetable =
      Evening().begin().all_within().weighed("onion", 425, "over").end("complete").report();
  EXPECT_THAT(vegetable.may_be_called, HasSubstr("onion is over its critical limit"));
}

TEST(Report, ACriticalIngredientThatWasOnlyMeasuredOrUndecidedKeepsTheBatchOffTheShelf) {
  const auto measured =
      Evening().begin().all_within().by_measure("vinegar").end("complete").report();
  EXPECT_THAT(measured.may_be_called, HasSubstr("vinegar was not weighed"));
  const auto undecided =
      Evening().begin().all_within().weighed("vinegar", 231, "undecided").end("complete").report();
  EXPECT_THAT(undecided.may_be_called, HasSubstr("cannot tell whether the vinegar"));
}

TEST(Report, SaysHowItTurnedOut) {
  Evening evening;
  evening.begin().all_within().end("complete");
  evening.outcome(proto::Rated{{"good", "too hot", "", "for friends only"}, 86'400'000});
  const auto report = evening.report();
  ASSERT_EQ(report.outcomes.size(), 1U);
  EXPECT_EQ(report.outcomes[0].what, "set good, heat too hot");
  EXPECT_EQ(report.outcomes[0].detail, "for friends only");
  EXPECT_EQ(report.outcomes[0].from_ms, 86'400'000);
  EXPECT_THAT(diary(evening.entries),
              testing::Contains(HasSubstr("It turned out: set good, heat too hot. for friends")));
}

TEST(Report, CuringSaltMayBeOnNeitherSide) {
  Evening evening;
  evening.start.plan.keeping = "refrigerator";
  evening.start.plan.ingredients.push_back(planned("curing salt", 6, 5, 7, true));
  evening.start.plan.ingredients.back().unsafe_over = true;
  evening.begin().all_within().weighed("curing salt", 9, "over").end("complete");
  EXPECT_THAT(evening.report().may_be_called,
              HasSubstr("Outside its formula: curing salt is over its critical limit"));
}

TEST(Report, TimesEveryHoldAndSaysWhoEndedIt) {
  const auto report = Evening()
                          .begin()
                          .at(10)
                          .outcome(proto::Held{"device lost", "The scale is away.", "", "", 0})
                          .at(17)
                          .outcome(proto::Released{"device lost", "the device"})
                          .at(30)
                          .outcome(proto::Held{"cook", "Held by the cook.", "", "", 0})
                          .report();
  ASSERT_EQ(report.holds.size(), 2U);
  EXPECT_EQ(report.holds[0].from_ms, 10'000);
  EXPECT_EQ(report.holds[0].lasted_ms, 7000);
  EXPECT_EQ(report.holds[0].ended_by, "the device");
  EXPECT_EQ(report.holds[1].lasted_ms, std::nullopt);
}

TEST(Report, TellsADeviceThatWentAndCameBackInOneLine) {
  const auto report = Evening()
                          .begin()
                          .at(10)
                          .input(proto::DeviceEvent{0, "lost", "unplugged"})
                          .at(13)
                          .input(proto::DeviceEvent{0, "back", ""})
                          .outcome(proto::ZeroEpoch{0, 2, "lost and back"})
                          .report();
  ASSERT_EQ(report.deviations.size(), 1U);
  EXPECT_EQ(report.deviations[0].what, "bench lost");
  EXPECT_EQ(report.deviations[0].detail, "unplugged; back after 3 s");
  ASSERT_EQ(report.epochs.size(), 1U);
  EXPECT_EQ(report.epochs[0].what, "bench scale: zero found anew");
  EXPECT_EQ(report.epochs[0].detail, "the scale was away and came back");
}

TEST(Report, AScaleThatFallsAsleepBetweenWeighingsIsNoDeviation) {
  const auto report = Evening()
                          .begin()
                          .at(10)
                          .outcome(proto::PhaseBegan{0, "weigh", "onion", ""})
                          .at(20)
                          .input(proto::DeviceEvent{0, "silent", "no reading for 3 s"})
                          .at(23)
                          .input(proto::DeviceEvent{0, "back", ""})
                          .at(30)
                          .outcome(proto::PhaseBegan{1, "heat", "", ""})
                          .at(40)
                          .input(proto::DeviceEvent{0, "silent", "no reading for 3 s"})
                          .at(50)
                          .input(proto::DeviceEvent{1, "silent", "no reading for 3 s"})
                          .report();
  ASSERT_EQ(report.deviations.size(), 2U);
  EXPECT_EQ(report.deviations[0].what, "bench silent");
  EXPECT_EQ(report.deviations[1].what, "pan silent");
}

TEST(Report, GivesTemperaturesByStepAndLeavesFaultsOut) {
  Evening evening;
  evening.begin().pan_shows(20);
  evening.outcome(proto::PhaseBegan{0, "heat", "", "Heat to the boil."}).pan_shows(80);
  evening.pan_shows(100).pan_shows(85, proto::state::fault_power_on);
  evening.outcome(proto::PhaseBegan{1, "dwell", "", "Keep it at the boil."}).pan_shows(101.5);
  const auto rows = evening.report().temperatures;
  ASSERT_EQ(rows.size(), 2U) << "before it is over the heat it shows the kitchen";
  EXPECT_EQ(rows[0].device, "pan");
  EXPECT_EQ(rows[0].phase, "Heat to the boil.");
  EXPECT_EQ(rows[0].readings, 2);
  EXPECT_DOUBLE_EQ(rows[0].least_c, 80);
  EXPECT_DOUBLE_EQ(rows[0].mean_c, 90);
  EXPECT_DOUBLE_EQ(rows[0].greatest_c, 100);
  EXPECT_DOUBLE_EQ(rows[1].mean_c, 101.5);
}

TEST(Report, UsesTheFinalPlanOnceTheLeadIsWeighed) {
  Evening evening;
  evening.start.plan.provisional = true;
  evening.start.plan.lead = "onion";
  evening.begin();
  EXPECT_THAT(evening.report().remarks, testing::Contains(StartsWith("Provisional: the onion")));
  proto::Plan final = evening.start.plan;
  final.provisional = false;
  final.ingredients[2].aim_ug = 250 * kGram;
  evening.outcome(proto::PlanFinal{final, "the prepared onion is weighed"});
  EXPECT_DOUBLE_EQ(evening.report().ingredients[2].aim_g, 250);
  EXPECT_FALSE(evening.report().provisional);
}

TEST(Report, SaysThatTheBatchWasNotAlwaysWatched) {
  const auto report = Evening()
                          .begin()
                          .at(5)
                          .input(proto::Suspend{90'000})
                          .input(proto::Restart{"", 400, true})
                          .report();
  ASSERT_EQ(report.deviations.size(), 2U);
  EXPECT_EQ(report.deviations[0].detail, "not watched for 1 min 30 s");
  EXPECT_EQ(report.deviations[1].detail, "not watched for 0.4 s");
}

TEST(Report, StandsForAnEmptyRecordToo) {
  const auto report = review::report({}, {}, "");
  EXPECT_THAT(report.may_be_called, StartsWith("Not finished"));
}

// However well it was weighed.
TEST(Report, IsNotForTheShelfWhileAPhIsOpenOrWhereItDriedTooLong) {
  const auto found = [](const char* verdict, const char* by, std::int64_t jar) {
    proto::Finding finding;
    finding.what = "equilibrium pH";
    finding.by = by;
    finding.value = 4.58;
    finding.limit = 4.6;
    finding.verdict = verdict;
    finding.jar = jar;
    return finding;
  };
  const std::string open = "equilibrium pH of jar 3 4.58, not decided yet";
  Evening evening;
  evening.begin().all_within().end("complete").outcome(found("undecided", "pH meter", 3));
  evening.outcome(found("within", "pH meter", 2)).outcome(found("within", "pH paper", 3));
  EXPECT_THAT(evening.report().may_be_called,
              testing::AllOf(testing::HasSubstr("Not for the shelf"), testing::HasSubstr(open)));
  evening.outcome(found("within", "pH meter", 3));
  EXPECT_EQ(evening.report().may_be_called, "For the shelf, as its source says.");

  Evening dried;
  dried.begin().all_within().outcome(proto::Deviation{"drying time", true, "not dry", "told"});
  dried.outcome(proto::Deviation{"drying time", true, "dried on", "thick"}).end("complete");
  EXPECT_THAT(dried.report().may_be_called,
              testing::AllOf(testing::HasSubstr("Not for the shelf: drying time, not dry."),
                             testing::Not(testing::HasSubstr("dried on"))));
}

TEST(Report, IsNotForTheShelfOnceItBoiledTooLongOrStoodUnwatched) {
  for (const char* about : {"time at the boil", "food left standing"}) {
    Evening evening;
    evening.begin().all_within().outcome(proto::Deviation{about, true, "for hours", "told"});
    evening.end("complete");
    EXPECT_THAT(evening.report().may_be_called,
                testing::AllOf(testing::HasSubstr("Not for the shelf"),
                               testing::HasSubstr(std::string(about) + ", for hours")));
  }
  // A boil that was lost in the bath began its time again.
  Evening bath;
  bath.begin().all_within().outcome(proto::Deviation{"water bath", true, "lost", "begun again"});
  EXPECT_EQ(bath.end("complete").report().may_be_called, "For the shelf, as its source says.");
}

}  // namespace
}  // namespace maslin::review
