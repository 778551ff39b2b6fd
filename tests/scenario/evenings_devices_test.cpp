// The same evenings with fewer devices: with a scale only, with nothing but a clock. The batch
// runs, the cook's word stands in, and the record says what was not measured.
#include "kitchens.hpp"

#include <algorithm>
#include <functional>
#include <utility>

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

// In every phase: the evening ends all the same, and what nobody watched is not credited.
TEST(FewDevices, KilledAndWithoutPowerInEveryPhase) {
  const std::pair<const char*, Setting> kitchens[] = {
      {"a scale only", with_a_scale_only(shelf_evening())},
      {"nothing but a clock", with_nothing_but_a_clock(shelf_evening())}};
  for (const auto& [name, setting] : kitchens) {
    for (const char* phase : {"canner", "prepare", "weigh", "wait", "heat", "fill", "water bath",
                              "cool", "seal check"}) {
      SCOPED_TRACE(std::string(name) + ", " + phase);
      Stage stage(setting);
      // The one for a moment, the other for a day.
      const bool day = setting.scale;
      stage.when(phase, 2, [&stage, day] {
        if (day) {
          stage.power_cut(86'400);
        } else {
          stage.restart(4);
        }
      });
      stage.run(4 * night_s);
      expect_full_bath(stage);
      expect_complete(stage);
    }
  }
}

// Whatever the cook does slowly, noisily or twice needs no thermometer to be harmless.
TEST(FewDevices, HarmlessEveningsStayHarmless) {
  const std::pair<const char*, std::function<void(Setting&)>> evenings[] = {
      {"a hot canner", [](Setting& s) { s.kitchen.canner->start_c = 85; }},
      {"a small burner", [](Setting& s) { s.kitchen.canner->pot.power_w = 1300; }},
      {"weather", [](Setting& s) { s.kitchen.canner->pot.boils_at_c -= 0.5; }},
      {"a slow cook", [](Setting& s) { s.kitchen.cook.reaction_s = 3; }},
      {"a scale asleep", [](Setting& s) { s.kitchen.scale.sleep_s = 25; }},
      {"a spoon on the scale",
       [](Setting& s) {
         s.kitchen.troubles = {trouble(What::spoon_on_scale, PotName::pan, 30, 20)};
       }},
      {"the lid lifted",
       [](Setting& s) {
         s.kitchen.troubles = {trouble(What::lid_lifted, PotName::canner, 60, 15)};
       }},
      {"long scoops", [](Setting& s) {
         for (auto& one : s.kitchen.ingredients) one.style = "scoop";
       }}};
  for (const auto& [name, change] : evenings) {
    for (const bool scale : {true, false}) {
      SCOPED_TRACE(std::string(name) + (scale ? ", a scale only" : ", nothing but a clock"));
      auto setting = shelf_evening();
      change(setting);
      Stage stage(scale ? with_a_scale_only(setting) : with_nothing_but_a_clock(setting));
      stage.run(night_s);
      expect_undisturbed(stage);
      expect_full_bath(stage);
      expect_complete(stage);
    }
  }
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

// What was mistyped is put right by what is told next, also where that is no better than planned.
TEST(FewDevices, AMassThatWasToldWronglyIsPutRightByTheNextOne) {
  Stage stage(with_nothing_but_a_clock(refrigerator_evening()));
  stage.run(night_s);
  proto::Amendment told;
  told.what = "weighed";
  told.of = "cider vinegar";
  const auto last = [&] {
    std::string verdict;
    for (const auto& one : stage.all<proto::Verdict>()) {
      if (one.ingredient == told.of) verdict = one.verdict;
    }
    return verdict;
  };
  told.mass_ug = 20'000'000;
  stage.give(told);
  ASSERT_EQ(last(), "under") << stage.diary();
  told.mass_ug = 425'000'000;
  stage.give(told);
  EXPECT_EQ(last(), "within") << stage.diary();
  EXPECT_EQ(stage.engine().status().may_be_called.find("Outside"), std::string::npos);
}

}  // namespace
}  // namespace maslin::scenario
