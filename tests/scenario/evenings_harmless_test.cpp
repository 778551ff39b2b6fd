// Twenty harmless evenings: what happens in every kitchen, and holds nothing, begins no time again
// and asks no doubting question.
#include "kitchens.hpp"

namespace maslin::scenario {
namespace {

using kitchen::PotName;
using proto::Role;
using What = kitchen::TroubleModel::What;

// Lives through the evening, which must end as if nothing had been.
void live_through(Stage& stage, double longest_s = night_s) {
  stage.run(longest_s);
  expect_undisturbed(stage);
  expect_complete(stage);
}
void live_through_with_bath(Stage& stage) {
  live_through(stage);
  expect_full_bath(stage);
  EXPECT_EQ(stage.conditions("water bath began").size(), 1u);
}

TEST(HarmlessEvening, NothingHappens) {
  Stage stage(shelf_evening());
  live_through_with_bath(stage);
  EXPECT_EQ(stage.conditions("boil reached").at(0).evidence, "measured");
}

// A probe in the air shows no boil: the time waits for it, and goes on where it was.
TEST(HarmlessEvening, TheProbeIsOutOfThePanForAStir) {
  auto setting = shelf_evening();
  for (const double after_s : {60.0, 200.0, 400.0}) {
    setting.kitchen.troubles.push_back(trouble(What::probe_out, PotName::pan, after_s, 6));
  }
  Stage stage(setting);
  stage.run(night_s);
  expect_nothing_lost(stage);
  expect_complete(stage);
  expect_full_bath(stage);
  EXPECT_LE(stage.began_s("fill") - stage.began_s("dwell"), 600 + 3 * 60);
}

TEST(HarmlessEvening, TwoSamplesAreLostInThePanAndTwoInTheCanner) {
  Stage stage(shelf_evening());
  stage.when("dwell", 100, [&] { stage.drop(Role::pan, 2.5); });
  stage.on_cue("boil", "The water bath counts", 100, [&] { stage.drop(Role::canner, 2.5); });
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, NineSecondsWithoutTheCannersThermometerAreNotedAndPass) {
  Stage stage(shelf_evening());
  stage.on_cue("boil", "The water bath counts", 100, [&] { stage.drop(Role::canner, 9); });
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, TheLidOfTheCannerIsLiftedForALook) {
  auto setting = shelf_evening();
  setting.kitchen.troubles = {trouble(What::lid_lifted, PotName::canner, 60, 15),
                              trouble(What::lid_lifted, PotName::canner, 300, 15)};
  Stage stage(setting);
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, ColdJarsGoIntoTheBoilingCanner) {
  auto setting = shelf_evening();
  setting.kitchen.canner->start_c = 90;
  setting.kitchen.canner->jars_c = 55;
  Stage stage(setting);
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, TheWeatherMovesTheBoilByHalfAKelvin) {
  for (const double weather_k : {-0.5, 0.5}) {
    auto setting = shelf_evening();
    setting.kitchen.pot.boils_at_c += weather_k;
    setting.kitchen.canner->pot.boils_at_c += weather_k;
    Stage stage(setting);
    live_through_with_bath(stage);
  }
}

TEST(HarmlessEvening, TheCannerBoilsNearlyAKelvinHotter) {
  auto setting = shelf_evening();
  setting.kitchen.canner->pot.boils_at_c = 100.8;  // deep water
  Stage stage(setting);
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, BothThermometersAreOffByHalfAKelvin) {
  for (const double off_k : {-0.5, 0.5}) {
    auto setting = shelf_evening();
    setting.kitchen.probe.offset_k = off_k;
    setting.kitchen.canner_probe.offset_k = off_k;
    Stage stage(setting);
    live_through_with_bath(stage);
  }
}

TEST(HarmlessEvening, TheCookRestsLongBetweenScoops) {
  auto setting = shelf_evening();
  for (auto& one : setting.kitchen.ingredients) {
    one.style = "scoop";
    one.scoop_g = 25;
  }
  setting.kitchen.cook.reaction_s = 3;
  Stage stage(setting);
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, ASpoonLiesOnTheScaleWhileThePanBoils) {
  auto setting = shelf_evening();
  for (const double after_s : {5.0, 90.0, 300.0}) {
    setting.kitchen.troubles.push_back(
        trouble(What::spoon_on_scale, PotName::pan, after_s, after_s / 5));
  }
  Stage stage(setting);
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, ASpoonLiesOnTheScaleWhileTheOnionsAreChopped) {
  auto setting = shelf_evening();
  auto spoon = trouble(What::spoon_on_scale, PotName::pan, 60, 15);
  spoon.cue = "step";
  spoon.hears = "chop both fine";
  setting.kitchen.troubles.push_back(spoon);
  Stage stage(setting);
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, TheScaleSleepsWithNothingOnIt) {
  auto setting = shelf_evening();
  setting.kitchen.scale.sleep_s = 25;  // the chopping takes longer
  Stage stage(setting);
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, AScaleThatIsNotNeededIsUnpluggedDuringTheBath) {
  Stage stage(shelf_evening());
  stage.when("water bath", 60, [&] { stage.give(proto::DeviceEvent{0, "lost", "unplugged"}); });
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, ThePanIsTakenAwayAndItsThermometerPutOffAfterFilling) {
  Stage stage(shelf_evening());
  stage.when("water bath", 5, [&] { stage.drop(Role::pan, night_s); });
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, TheThermometersAreSwitchedOffForTheNight) {
  Stage stage(shelf_evening());
  stage.when("cool", 60, [&] {
    stage.drop(Role::pan, night_s);
    stage.drop(Role::canner, night_s);
  });
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, ASlowThermometerAndASmallBurner) {
  auto setting = shelf_evening();
  setting.kitchen.probe.lag_s = 12;
  setting.kitchen.canner_probe.lag_s = 20;
  setting.kitchen.canner->pot.power_w = 1300;
  Stage stage(setting);
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, AThermometerThatSendsEveryTwoSeconds) {
  auto setting = shelf_evening();
  setting.kitchen.probe.period_s = 2;
  setting.kitchen.canner_probe.period_s = 2;
  Stage stage(setting);
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, ARestlessThermometer) {
  auto setting = shelf_evening();
  setting.kitchen.probe.noise_k = 0.1;
  setting.kitchen.canner_probe.noise_k = 0.08;
  Stage stage(setting);
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, TheClockIsSetRightInTheMiddleOfTheBath) {
  Stage stage(shelf_evening());
  stage.on_cue("boil", "The water bath counts", 200,
               [&] { stage.give(proto::ClockStep{-3'600'000}); });
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, NotesAreWrittenWhileTheTimesRun) {
  Stage stage(shelf_evening());
  stage.when("dwell", 30, [&] { EXPECT_EQ(stage.say("note", "smells of clove"), ""); });
  stage.on_cue("boil", "The water bath counts", 30,
               [&] { EXPECT_EQ(stage.say("note", "lid rattles"), ""); });
  live_through_with_bath(stage);
  EXPECT_EQ(stage.all<proto::Noted>().size(), 2u);
}

TEST(HarmlessEvening, OkIsSaidWhileTheTimesRunAndRefused) {
  Stage stage(shelf_evening());
  stage.when("dwell", 30, [&] { EXPECT_NE(stage.say("ok"), ""); });
  stage.on_cue("boil", "The water bath counts", 30, [&] { EXPECT_NE(stage.say("ok"), ""); });
  live_through_with_bath(stage);
}

TEST(HarmlessEvening, TheRefrigeratorRelishNeedsNoAltitudeAndNoCanner) {
  auto setting = refrigerator_evening();
  setting.altitude_m.reset();
  setting.pan = false;
  Stage stage(setting);
  live_through(stage);
  EXPECT_EQ(stage.began_s("canner"), -1);
  EXPECT_EQ(stage.began_s("water bath"), -1);
  EXPECT_TRUE(stage.plan().asks.empty());
}

TEST(HarmlessEvening, TheJellyDipsWhenTheSugarGoesInAndHasItsMinute) {
  Stage stage(jelly_evening());
  live_through(stage);
  EXPECT_EQ(stage.conditions("boil reached").size(), 2u);
  EXPECT_EQ(stage.conditions("dwell done").at(0).evidence, "measured");
}

}  // namespace
}  // namespace maslin::scenario
