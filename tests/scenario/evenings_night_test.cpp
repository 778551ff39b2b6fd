// Evenings with a daemon that is killed, a machine that sleeps and a power that is cut: what goes
// on, what begins again, and that the record says so. No time that was not watched is credited.
#include "kitchens.hpp"

namespace maslin::scenario {
namespace {

using kitchen::PotName;
using proto::Role;

constexpr const char* counts = "The water bath counts";
constexpr double day_s = 24 * 3600.0;

TEST(RestartedEvening, KilledInThePectinMinuteTheMinuteWaitsForTheBoil) {
  Stage stage(jelly_evening());
  stage.when("dwell", 20, [&] { stage.restart(5); });
  stage.run(night_s);
  ASSERT_FALSE(stage.conditions("dwell paused").empty()) << stage.diary();
  EXPECT_EQ(stage.conditions("dwell paused")[0].evidence, "not watched");
  EXPECT_EQ(stage.told("off_boil").size(), 1u) << stage.diary();
  // What was not watched does not count, also when the cook says at once that it boils.
  EXPECT_EQ(stage.conditions("dwell began").at(1).evidence, "seen by the cook");
  EXPECT_GE(stage.condition_s("dwell done") - stage.began_s("dwell"), 60 + 5);
  expect_complete(stage);
}

TEST(RestartedEvening, KilledInTheBathTheCookIsAskedAndTheTimeGoesOn) {
  Stage stage(shelf_evening());
  stage.on_cue("boil", counts, 300, [&] { stage.restart(4); });
  stage.run(night_s);
  EXPECT_EQ(stage.told("boil_asked", "Nobody watched").size(), 1u) << stage.diary();
  EXPECT_EQ(stage.conditions("water bath not watched").size(), 1u);
  EXPECT_EQ(stage.conditions("water bath went on").size(), 1u);
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(RestartedEvening, KilledInTheBathWithTheBurnerOutTheTimeBeginsAgain) {
  auto setting = shelf_evening();
  setting.kitchen.troubles = {
      trouble(kitchen::TroubleModel::What::burner_out, PotName::canner, 200)};
  Stage stage(setting);
  stage.on_cue("boil", counts, 210, [&] { stage.restart(240); });
  stage.run(night_s);
  ASSERT_FALSE(stage.conditions("boil lost").empty()) << stage.diary();
  EXPECT_EQ(stage.conditions("water bath began").size(), 2u);
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(RestartedEvening, KilledInTheCoolingNightTheClockRunsOn) {
  Stage stage(shelf_evening());
  stage.when("cool", 3 * 3600, [&] { stage.restart(3600); });
  stage.run(2 * night_s);
  EXPECT_NEAR(stage.condition_s("cool done") - stage.began_s("cool"), 12 * 3600, 2)
      << stage.diary();
  expect_complete(stage);
}

TEST(RestartedEvening, TheMachineSleepsFromMidnightToSeven) {
  Stage stage(shelf_evening());
  stage.at(5 * 3600, [&] { stage.sleep(7 * 3600); });  // begun at seven in the evening
  stage.run(2 * night_s);
  EXPECT_NEAR(stage.condition_s("cool done") - stage.began_s("cool"), 12 * 3600, 2)
      << stage.diary();
  EXPECT_EQ(stage.all<proto::Held>().size(), 0u);
  expect_complete(stage);
}

TEST(RestartedEvening, TheMachineSleepsInTheBath) {
  Stage stage(shelf_evening());
  stage.on_cue("boil", counts, 60, [&] { stage.sleep(400); });
  stage.run(night_s);
  EXPECT_EQ(stage.conditions("water bath not watched").size(), 1u) << stage.diary();
  EXPECT_GE(stage.condition_s("water bath done") - stage.condition_s("water bath began"), 1000);
  expect_full_bath(stage);
  expect_complete(stage);
}

// Killed twenty seconds into every phase, for a moment: the evening ends as it would have.
TEST(RestartedEvening, KilledInEveryPhaseTheEveningStillEnds) {
  for (const char* phase : {"canner", "prepare", "weigh", "wait", "heat", "dwell", "fill",
                            "water bath", "cool", "seal check"}) {
    SCOPED_TRACE(phase);
    Stage stage(shelf_evening());
    bool killed = false;
    stage.when(phase, 2, [&] {
      stage.restart(3);
      killed = true;
    });
    stage.run(2 * night_s);
    EXPECT_TRUE(killed);
    expect_full_bath(stage);
    expect_complete(stage);
  }
}

// A day without power inside every phase. What boiled then is over: only what the cook says or the
// thermometers show afterwards counts.
TEST(RestartedEvening, ADayOfPowerCutInEveryPhaseIsInTheRecordAndCreditsNothing) {
  for (const char* phase :
       {"canner", "prepare", "weigh", "heat", "fill", "water bath", "cool", "seal check"}) {
    SCOPED_TRACE(phase);
    Stage stage(shelf_evening());
    stage.when(phase, 3, [&] { stage.power_cut(day_s); });
    stage.run(4 * night_s);
    expect_full_bath(stage);
    EXPECT_EQ(stage.folds_differently(), "");
    EXPECT_EQ(stage.status().state, "complete") << stage.diary();
  }
}

// After a day nobody knows whether the pan boiled all the time: the longest time is over.
TEST(RestartedEvening, ADayOfPowerCutAtTheBoilSaysThatTheLongestTimeIsOver) {
  Stage stage(shelf_evening());
  stage.when("dwell", 3, [&] { stage.power_cut(day_s); });
  stage.run(2 * night_s);
  EXPECT_EQ(stage.conditions("dwell paused").at(0).evidence, "not watched") << stage.diary();
  EXPECT_GT(stage.told("too_long").size(), 1u);  // nobody has done anything about it
  EXPECT_TRUE(stage.deviation("time at the boil", "over"));
  EXPECT_TRUE(stage.conditions("dwell done").empty());
  EXPECT_EQ(stage.folds_differently(), "");
}

}  // namespace
}  // namespace maslin::scenario
