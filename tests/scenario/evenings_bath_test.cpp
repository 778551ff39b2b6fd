// Evenings whose water bath goes wrong: what the cook is told, what is recorded, and that no safe
// time is ever shortened.
#include "kitchens.hpp"

namespace maslin::scenario {
namespace {

using kitchen::PotName;
using proto::Role;
using What = kitchen::TroubleModel::What;

constexpr const char* counts = "The water bath counts";

TEST(BathEvening, TheBurnerGoesOutAndTheTimeBeginsAgainFromZero) {
  auto setting = shelf_evening();
  setting.kitchen.troubles = {trouble(What::burner_out, PotName::canner, 240)};
  Stage stage(setting);
  stage.run(night_s);
  EXPECT_EQ(stage.told("off_boil", "the whole 10 min begin again").size(), 1u) << stage.diary();
  ASSERT_EQ(stage.conditions("boil lost").size(), 1u);
  EXPECT_EQ(stage.conditions("boil lost")[0].evidence, "measured");
  EXPECT_TRUE(stage.deviation("water bath", "the boil was lost after"));
  EXPECT_EQ(stage.conditions("water bath began").size(), 2u);
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(BathEvening, TheBurnerGoesOutTwice) {
  auto setting = shelf_evening();
  setting.kitchen.troubles = {trouble(What::burner_out, PotName::canner, 300)};
  auto second = trouble(What::burner_out, PotName::canner, 450);
  second.cue = "off_boil";
  second.hears = "begin again";
  setting.kitchen.troubles.push_back(second);
  Stage stage(setting);
  stage.run(night_s);
  EXPECT_EQ(stage.conditions("boil lost").size(), 2u) << stage.diary();
  EXPECT_EQ(stage.conditions("water bath began").size(), 3u);
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(BathEvening, TheBurnerGoesOutInTheLastMinute) {
  auto setting = shelf_evening();
  setting.kitchen.troubles = {trouble(What::burner_out, PotName::canner, 560)};
  Stage stage(setting);
  stage.run(night_s);
  const auto bath = stage.true_bath();
  EXPECT_GE(bath.credited_s, 600) << stage.diary();
  EXPECT_LT(bath.worst_under_k, 0.8);
  expect_complete(stage);
}

// The cook forgot to light it until the jars went in. The time counts from the hard boil.
TEST(BathEvening, TheCannerIsColdWhenTheJarsGoIn) {
  auto setting = shelf_evening();
  for (auto& answer : setting.kitchen.answers) {
    if (answer.does == kitchen::Does::canner) answer.does = kitchen::Does::press;
  }
  Stage stage(setting);
  stage.run(night_s);
  EXPECT_GT(stage.condition_s("water bath began") - stage.began_s("water bath"), 1200)
      << stage.diary();
  expect_full_bath(stage);
  expect_complete(stage);
}

// It comes to rest two degrees below: flat, and no boil. Nothing counts until the burner is turned
// up.
TEST(BathEvening, AFlatLineBelowTheBoilIsNoBoil) {
  auto setting = shelf_evening();
  setting.kitchen.canner->start_c = 90;
  auto& pot = setting.kitchen.canner->pot;
  pot.power_w = setting.kitchen.canner->lid_loses * pot.loss_w_per_k * (97 - pot.room_c);
  Stage stage(setting);
  stage.run(3 * 3600);
  EXPECT_EQ(stage.status().phase, "water bath") << stage.diary();
  EXPECT_TRUE(stage.conditions("water bath began").empty());
  EXPECT_FALSE(stage.status().left_ms);
  EXPECT_FALSE(stage.told("boil_asked", "takes long").empty());
}

TEST(BathEvening, TheThermometerIsLostForAMinuteAndTheCookSaysItBoiled) {
  Stage stage(shelf_evening());
  stage.on_cue("boil", counts, 120, [&] { stage.drop(Role::canner, 40); });
  stage.run(night_s);
  EXPECT_EQ(stage.told("boil_asked", "Nobody watched").size(), 1u) << stage.diary();
  EXPECT_EQ(stage.conditions("water bath not watched").size(), 1u);
  EXPECT_EQ(stage.conditions("water bath went on").at(0).evidence, "seen by the cook");
  EXPECT_TRUE(stage.conditions("boil lost").empty());
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(BathEvening, TheThermometerIsLostAndNobodyAnswersWithinAMinute) {
  auto setting = shelf_evening();
  for (auto& answer : setting.kitchen.answers) {
    if (answer.cue == "boil_asked") answer.after_s = 90;  // the child has woken
  }
  Stage stage(setting);
  stage.on_cue("boil", counts, 120, [&] { stage.drop(Role::canner, 40); });
  stage.run(night_s);
  EXPECT_EQ(stage.conditions("boil lost").at(0).evidence, "not watched") << stage.diary();
  EXPECT_TRUE(stage.deviation("water bath", "the boil was lost"));
  EXPECT_EQ(stage.conditions("water bath began").size(), 2u);
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(BathEvening, TheThermometerDiesAndTheRestGoesByTheEye) {
  Stage stage(shelf_evening());
  stage.on_cue("boil", counts, 120, [&] { stage.drop(Role::canner, night_s); });
  stage.run(night_s);
  EXPECT_FALSE(stage.told("boil_asked").empty()) << stage.diary();
  EXPECT_EQ(stage.conditions("water bath done").at(0).evidence, "seen by the cook");
  expect_full_bath(stage);
  expect_complete(stage);
}

// 85.0 °C for ever is what a broken sensor sends: it is no boil and ends none.
TEST(BathEvening, TheThermometerShows85ForEver) {
  Stage stage(shelf_evening());
  stage.at(0, [&] { stage.stick(Role::canner, 85.0, night_s); });
  stage.run(night_s);
  EXPECT_EQ(stage.conditions("water bath began").at(0).evidence, "seen by the cook")
      << stage.diary();
  EXPECT_FALSE(stage.told("advice", "measured nothing").empty());
  EXPECT_EQ(stage.conditions("water bath done").at(0).evidence, "seen by the cook");
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(BathEvening, OkPressedTwiceShortensNothing) {
  Stage stage(shelf_evening());
  for (const double after_s : {0.2, 0.5, 1.5, 3.0, 400.0, 580.0}) {
    stage.on_cue("boil", counts, after_s, [&] { (void)stage.say("ok"); });
  }
  stage.on_cue("dwell_done", "in the water bath", 1, [&] { EXPECT_NE(stage.say("ok"), ""); });
  stage.run(night_s);
  expect_full_bath(stage);
  expect_complete(stage);
}

// The question has gone, the boil counts as lost; the ok that was meant for it begins no time.
TEST(BathEvening, OkForAQuestionThatHasGoneBeginsNothing) {
  auto setting = shelf_evening();
  for (auto& answer : setting.kitchen.answers) {
    if (answer.cue == "boil_asked") answer.after_s = 200;
  }
  Stage stage(setting);
  stage.on_cue("boil", counts, 120, [&] { stage.drop(Role::canner, 90); });
  stage.on_cue("off_boil", "has lost its boil", 0.6, [&] { EXPECT_NE(stage.say("ok"), ""); });
  stage.run(night_s);
  EXPECT_EQ(stage.conditions("boil lost").size(), 1u) << stage.diary();
  expect_full_bath(stage);
  expect_complete(stage);
}

// 1,000 ft is 304.8 m and still the first row; one foot more is the second.
TEST(BathEvening, TheAltitudeDecidesTheRowToTheFoot) {
  for (const auto& [feet, minutes] : {std::pair{1000, 10}, {1001, 15}, {6000, 15}, {6001, 20}}) {
    auto setting = shelf_evening();
    setting.altitude_m = feet * 0.3048;
    const double lower_k = feet / 1000.0;  // about a kelvin for a thousand feet (common practice)
    setting.kitchen.pot.boils_at_c -= lower_k;
    setting.kitchen.canner->pot.boils_at_c -= lower_k;
    Stage stage(setting);
    stage.run(night_s);
    EXPECT_NEAR(stage.true_bath().credited_s, minutes * 60, 61) << feet << " ft";
    expect_full_bath(stage, minutes);
    expect_complete(stage);
  }
}

TEST(BathEvening, WithoutAnAltitudeThereIsNoShelfBath) {
  auto setting = shelf_evening();
  setting.altitude_m.reset();
  Stage stage(setting);
  EXPECT_NE(stage.refused().find("altitude"), std::string::npos) << stage.refused();
  setting.request.keeping = "refrigerator";
  Stage cold(setting);
  EXPECT_EQ(cold.refused(), "");
  EXPECT_EQ(cold.plan().keeping, "refrigerator");
}

}  // namespace
}  // namespace maslin::scenario
