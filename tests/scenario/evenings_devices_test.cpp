// The same evenings with fewer devices: with a scale only, with nothing but a clock. The batch
// runs, the cook's word stands in, and the record says what was not measured.
#include "kitchens.hpp"

#include <algorithm>

namespace maslin::scenario {
namespace {

using kitchen::PotName;
using What = kitchen::TroubleModel::What;

void expect_seen_by_the_cook(const Stage& stage) {
  for (const auto& one : stage.all<proto::Condition>()) {
    EXPECT_NE(one.evidence, "measured") << one.what << stage.diary();
    EXPECT_EQ(one.temperature_mk, 0) << one.what;
  }
  EXPECT_EQ(stage.conditions("boil reached").at(0).evidence, "seen by the cook");
}

void expect_by_measure(const Stage& stage) {
  const auto weighed = stage.weighings();
  EXPECT_EQ(weighed.size(), stage.plan().ingredients.size());
  for (const auto& [name, weighing] : weighed) {
    EXPECT_EQ(weighing.how, "by measure") << name;
    EXPECT_EQ(weighing.device, -1) << name;
  }
}

TEST(FewDevices, TheShelfEveningWithAScaleOnly) {
  Stage stage(with_a_scale_only(shelf_evening()));
  stage.run(night_s);
  expect_seen_by_the_cook(stage);
  EXPECT_EQ(stage.weighings().at("cider vinegar").device, 0);
  EXPECT_EQ(stage.conditions("water bath done").at(0).evidence, "seen by the cook");
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(FewDevices, TheShelfEveningWithNothingButAClock) {
  Stage stage(with_nothing_but_a_clock(shelf_evening()));
  stage.run(night_s);
  expect_seen_by_the_cook(stage);
  expect_by_measure(stage);
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(FewDevices, TheRefrigeratorRelishWithAScaleOnly) {
  Stage stage(with_a_scale_only(refrigerator_evening()));
  stage.run(night_s);
  expect_undisturbed(stage);
  expect_seen_by_the_cook(stage);
  expect_complete(stage);
}

TEST(FewDevices, TheRefrigeratorRelishWithNothingButAClock) {
  Stage stage(with_nothing_but_a_clock(refrigerator_evening()));
  stage.run(night_s);
  expect_undisturbed(stage);
  expect_seen_by_the_cook(stage);
  expect_by_measure(stage);
  expect_complete(stage);
}

TEST(FewDevices, TheJellyWithAScaleOnly) {
  Stage stage(with_a_scale_only(jelly_evening()));
  stage.run(night_s);
  expect_undisturbed(stage);
  expect_seen_by_the_cook(stage);
  expect_complete(stage);
}

TEST(FewDevices, TheJellyWithNothingButAClock) {
  Stage stage(with_nothing_but_a_clock(jelly_evening()));
  stage.run(night_s);
  expect_undisturbed(stage);
  expect_by_measure(stage);
  expect_complete(stage);
}

// Jar by jar, by the cook's word alone.
TEST(FewDevices, AnUnsealedJarWithNothingButAClock) {
  auto setting = with_nothing_but_a_clock(shelf_evening());
  setting.kitchen.unsealed = {2};
  Stage stage(setting);
  stage.run(night_s);
  EXPECT_EQ(stage.told("jars", "Jar 2 did not seal").size(), 1u) << stage.diary();
  expect_complete(stage);
}

// The pan of the scale is the button: no pedal, no keyboard.
TEST(FewDevices, EveryQuestionIsAnsweredByAFirmPressOfTheScale) {
  auto setting = with_a_scale_only(refrigerator_evening());
  setting.pedal = false;
  setting.kitchen.cook.presses = "scale";
  setting.kitchen.scale.sleep_s = 0;
  Stage stage(setting);
  stage.run(night_s);
  int by_scale = 0;
  for (const auto& one : stage.conditions("ok"))
    by_scale += one.evidence == "by a press of the scale";
  EXPECT_GE(by_scale, 3) << stage.diary();  // the boil, the jars, the end
  EXPECT_EQ(stage.conditions("boil reached").at(0).evidence, "seen by the cook");
  expect_complete(stage);
}

// By the eye alone nobody sees the fall but the cook, who may say so.
TEST(FewDevices, KilledInTheBathWithoutAThermometerTheCookIsAsked) {
  Stage stage(with_a_scale_only(shelf_evening()));
  stage.on_cue("boil", "The water bath counts", 200, [&] { stage.restart(6); });
  stage.run(night_s);
  EXPECT_EQ(stage.told("boil_asked", "Nobody watched").size(), 1u) << stage.diary();
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(FewDevices, WithAThermometerInTheCannerOnly) {
  auto setting = shelf_evening();
  setting.pan = false;
  setting.kitchen.troubles = {trouble(What::burner_out, PotName::canner, 240)};
  Stage stage(setting);
  stage.run(night_s);
  EXPECT_EQ(stage.conditions("boil reached").at(0).evidence, "seen by the cook");
  EXPECT_EQ(stage.conditions("boil lost").at(0).evidence, "measured") << stage.diary();
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(FewDevices, WithAThermometerInThePanOnly) {
  auto setting = shelf_evening();
  setting.canner = false;
  Stage stage(setting);
  stage.run(night_s);
  EXPECT_EQ(stage.conditions("boil reached").at(0).evidence, "measured");
  EXPECT_EQ(stage.conditions("water bath done").at(0).evidence, "seen by the cook");
  expect_full_bath(stage);
  expect_complete(stage);
}

}  // namespace
}  // namespace maslin::scenario
