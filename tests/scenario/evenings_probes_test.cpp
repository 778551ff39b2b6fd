// Evenings whose thermometers lie: in degrees of Fahrenheit, with a calibration that holds no more,
// at another altitude than was told, in no water at all. Each is told and recorded, the eye is
// asked, and no second of the bath is credited that was not at the boil.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <vector>

#include "canner_stage.hpp"
#include "kitchens.hpp"
#include "pan_stage.hpp"

namespace maslin::scenario {
namespace {

using proto::Role;

// Held against ice and boil last month: nothing was wrong with it.
proto::ProbeCalibration good_probe(double boil_u_k) {
  proto::ProbeCalibration one;
  one.utc_ms = 1'700'000'000'000;
  one.ice_mk = 273'150;
  one.boil_mk = one.boil_true_mk = 273'150 + 99'933;
  one.boil_by = "pressure";
  one.ice_u_mk = 60;
  one.boil_u_mk = std::llround(boil_u_k * 1000);
  return one;
}

TEST(ProbeEvening, DegreesOfFahrenheitTakenForCelsiusDecideNothing) {
  Stage stage(shelf_evening());
  stage.at(0, [&] {
    stage.send_fahrenheit(Role::canner);
    stage.send_fahrenheit(Role::pan);
  });
  stage.run(night_s);
  EXPECT_FALSE(stage.told("advice", "The canner's thermometer shows").empty()) << stage.diary();
  EXPECT_FALSE(stage.told("advice", "The pan's thermometer shows").empty()) << stage.diary();
  for (const auto& one : stage.all<proto::Condition>()) {
    const bool boil =
        one.what == "boil reached" || one.what == "water bath began" || one.what == "canner boils";
    if (boil) {
      EXPECT_EQ(one.evidence, "seen by the cook") << one.what;
    }
  }
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(ProbeEvening, ACalibratedThermometerThatHasChangedIsContradictedByTheBoil) {
  auto setting = shelf_evening();
  setting.canner_probe = good_probe(0.08);
  Stage stage(setting);
  stage.at(0, [&] { stage.shift(-1.2, Role::canner); });
  stage.run(night_s);
  EXPECT_TRUE(stage.deviation("canner's thermometer", "boils at 99.0 °C")) << stage.diary();
  EXPECT_FALSE(stage.told("advice", "it has changed, or the altitude is wrong").empty());
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(ProbeEvening, ACalibratedThermometerThatIsRightContradictsNothing) {
  auto setting = shelf_evening();
  setting.canner_probe = good_probe(0.25);
  Stage stage(setting);
  stage.run(night_s);
  EXPECT_FALSE(stage.deviation("canner's thermometer")) << stage.diary();
  expect_undisturbed(stage);
  expect_complete(stage);
}

// Told to be at the sea, and 1,400 m up: the water boils five kelvin too early, and the row of the
// source is another one.
TEST(ProbeEvening, TheAltitudeIsContradictedByTheBoil) {
  auto setting = shelf_evening();
  setting.kitchen.canner->pot.boils_at_c = 95.3;
  setting.kitchen.pot.boils_at_c = 95.4;
  setting.canner_probe = good_probe(0.25);
  Stage stage(setting);
  stage.on_cue("advice", "if it boils, say ok", 5, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(night_s);
  EXPECT_TRUE(stage.deviation("canner's thermometer", "boils at 95")) << stage.diary();
  EXPECT_FALSE(stage.told("advice", "check the altitude before you go by it").empty());
  expect_complete(stage);
}

TEST(ProbeEvening, APotThatBoilsAtSixtyDegreesNeedsTwoWordsAndStandsInTheRecord) {
  Stage stage(shelf_evening());
  stage.when("water bath", 0, [&] { stage.stick(Role::canner, 60.0, 3600); });
  stage.run(night_s);
  EXPECT_FALSE(stage.told("ask", "60.0 °C").empty()) << stage.diary();
  EXPECT_TRUE(stage.deviation("canner's thermometer", "boils at 60.0 °C"));
  EXPECT_EQ(stage.conditions("water bath done").at(0).evidence, "seen by the cook");
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(ProbeEvening, ASensorThatHasMeasuredNothingForAnHourIsNotBelievedAndComesBack) {
  Stage stage(shelf_evening());
  stage.at(30, [&] { stage.stick(Role::canner, 85.0, 3600); });
  stage.run(night_s);
  EXPECT_EQ(stage.told("advice", "measured nothing").size(), 1u) << stage.diary();
  EXPECT_EQ(stage.conditions("canner's thermometer measures nothing").size(), 1u);
  expect_full_bath(stage);
  expect_complete(stage);
}

// Nine litres without a flame for seventy seconds fall by less than a kelvin, and have not boiled.
TEST(HeatEvening, ABoilLostForSeventySecondsWithoutFallingAKelvinIsLost) {
  auto setting = shelf_evening();
  setting.kitchen.troubles = {
      trouble(kitchen::TroubleModel::What::burner_out, kitchen::PotName::canner, 240, 70)};
  Stage stage(setting);
  stage.run(night_s);
  EXPECT_EQ(stage.told("falling").size(), 1u) << stage.diary();
  EXPECT_EQ(stage.conditions("boil lost").size(), 1u);
  EXPECT_LT(stage.told_s("falling"), stage.condition_s("boil lost"));
  expect_full_bath(stage);
  expect_complete(stage);
}

// While the cook chops, the status says when the canner will boil; it comes within that time.
TEST(HeatEvening, TheCannersBoilIsForetoldWhileThePanWaits) {
  Stage stage(shelf_evening());
  struct Foretold {
    double from_s;
    double to_s;
  };
  std::vector<Foretold> all;
  for (int i = 1; i <= 4; ++i) {
    stage.when("wait", 60.0 * i, [&] {
      const auto status = stage.status();
      if (!status.boil_from_s) return;
      all.push_back({stage.now_s() + *status.boil_from_s, stage.now_s() + *status.boil_to_s});
    });
  }
  double boiled_s = -1;
  for (int i = 1; i < 600; ++i) {
    stage.at(10.0 * i + 0.003, [&] {
      const auto* water = stage.world().canner();
      if (boiled_s < 0 && water != nullptr && water->boiling()) boiled_s = stage.now_s();
    });
  }
  stage.run(night_s);
  ASSERT_FALSE(all.empty()) << stage.diary();
  for (const auto& one : all) {
    EXPECT_GE(boiled_s, one.from_s - 10);
    EXPECT_LE(boiled_s, one.to_s);
  }
}

// Flat as a boil and three degrees short of it: no clock starts, and no second word is asked for.
TEST(HeatEvening, ACannerThatStallsAtNinetySevenDegreesStartsNothing) {
  auto setting = shelf_evening();
  auto& canner = *setting.kitchen.canner;
  const double lost_w = canner.pot.loss_w_per_k * canner.lid_loses * (97 - canner.pot.room_c);
  canner.start_c = 80;
  canner.pot.power_w = lost_w;
  Stage stage(setting);
  stage.run(6 * 3600);
  EXPECT_TRUE(stage.conditions("canner boils").empty()) << stage.diary();
  EXPECT_TRUE(stage.conditions("water bath began").empty());
  EXPECT_FALSE(stage.ended());
}

TEST(HeatEvening, FoamAboutTheThermometerAsksTheEyeAndEndsNothing) {
  auto setting = shelf_evening();
  Stage stage(setting);
  stage.when("dwell", 60, [&] { stage.shift(-2, Role::pan); });
  stage.when("dwell", 100, [&] { stage.shift(0, Role::pan); });
  stage.run(night_s);
  EXPECT_EQ(stage.told("pan_asked").size(), 1u) << stage.diary();
  EXPECT_TRUE(stage.told("off_boil").empty());
  EXPECT_TRUE(stage.conditions("dwell paused").empty());
  EXPECT_EQ(stage.conditions("dwell done").size(), 1u);
  expect_complete(stage);
}

TEST(HeatEvening, AThermometerOutOfThePanForAStirSaysNothing) {
  Stage stage(shelf_evening());
  for (const double at_s : {60, 200, 340}) {
    stage.when("dwell", at_s, [&] { stage.shift(-4, Role::pan); });
    stage.when("dwell", at_s + 8, [&] { stage.shift(0, Role::pan); });
  }
  stage.run(night_s);
  expect_undisturbed(stage);
  EXPECT_TRUE(stage.told("pan_asked").empty()) << stage.diary();
  EXPECT_NEAR(stage.condition_s("dwell done") - stage.condition_s("dwell began"), 600, 2);
  expect_complete(stage);
}

// Out of the pan for good: asked at once, and again each third of the time.
TEST(HeatEvening, AThermometerThatSlipsOutForGoodHasTheEyeAskedAgain) {
  Stage stage(shelf_evening());
  stage.when("dwell", 60, [&] { stage.stick(Role::pan, 40, 3600); });
  stage.run(night_s);
  EXPECT_EQ(stage.told("pan_asked", "shows 40.0 °C").size(), 1u) << stage.diary();
  EXPECT_EQ(stage.told("pan_asked", "all the time").size(), 3u) << stage.diary();
  EXPECT_TRUE(stage.told("off_boil").empty());
  EXPECT_EQ(stage.conditions("dwell done").at(0).evidence, "seen by the cook");
  expect_complete(stage);
}

// The cook takes the boil for granted and answers once: what nobody vouches for does not count.
TEST(HeatEvening, AWordForABoilIsNotCreditedWithoutTheNextOne) {
  auto setting = shelf_evening();
  std::erase_if(setting.kitchen.answers, [](const auto& one) { return one.cue == "pan_asked"; });
  Stage stage(setting);
  stage.when("dwell", 60, [&] { stage.stick(Role::pan, 40, 3600); });
  stage.on_cue("pan_asked", "shows", 5, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(3 * 3600, [&] { return !stage.conditions("dwell paused").empty(); });
  ASSERT_EQ(stage.conditions("dwell paused").size(), 1u) << stage.diary();
  // What was measured before it slipped out is left, and no second of what nobody saw.
  EXPECT_NEAR(static_cast<double>(stage.status().left_ms.value_or(0)) / 1000, 540, 15);
}

TEST(HeatEvening, APanThatBoilsAtSixtyDegreesNeedsTwoWordsAndStandsInTheRecord) {
  Stage stage(refrigerator_evening());
  stage.when("heat", 0, [&] { stage.stick(Role::pan, 60.0, 3600); });
  stage.when("heat", 300, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.when("heat", 310, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(night_s);
  EXPECT_FALSE(stage.told("ask", "60.0 °C").empty()) << stage.diary();
  EXPECT_TRUE(stage.deviation("pan's thermometer", "boils at 60.0 °C")) << stage.diary();
  EXPECT_EQ(stage.told("advice", "was never calibrated").size(), 1u);
  expect_complete(stage);
}

// Canners of 1 to 12 litres, thermometers that lag by 2 to 20 s and are off by 0.7 K: the swap is
// told before anything else is on the heat, and none that stand right are called swapped.
TEST(ProbeEvening, SwappedThermometersAreToldWhateverTheirCannerAndNoOthersAre) {
  constexpr std::uint64_t first_seed = 985'000;
  constexpr std::uint64_t kitchens = 40;
  int told = 0;
  int wrongly = 0;
  std::vector<double> after_s;
  for (std::uint64_t seed = first_seed; seed < first_seed + kitchens; ++seed) {
    const auto canner = draw_canner(seed);
    auto setting = shelf_evening();
    setting.kitchen.canner = canner.canner;
    setting.kitchen.canner->pot.boils_at_c = 99.9 + canner.boils_over_k;
    setting.kitchen.canner_probe = canner.probe;
    setting.kitchen.canner_probe.resolution_k = 0.1;
    setting.kitchen.probe = draw_pan(seed, 1, false).probe;
    const auto swaps = [](const Stage& stage) {
      return !stage.conditions("thermometers taken for one another").empty();
    };
    Stage swapped(setting);
    swapped.swap_probes();
    swapped.run(2 * 3600, [&] { return swaps(swapped) || swapped.began_s("heat") > 0; });
    told += swaps(swapped) ? 1 : 0;
    if (swaps(swapped)) {
      after_s.push_back(swapped.condition_s("thermometers taken for one another") -
                        swapped.condition_s("canner on the heat"));
    }
    Stage right(setting);
    right.run(2 * 3600, [&] { return right.began_s("heat") > 0; });
    wrongly += swaps(right) ? 1 : 0;
  }
  std::sort(after_s.begin(), after_s.end());
  std::printf(
      "swapped: told in %d of %d, median %.0f s, worst %.0f s after the canner was lit; "
      "wrongly %d of %d\n",
      told, static_cast<int>(kitchens), after_s.empty() ? 0 : after_s[after_s.size() / 2],
      after_s.empty() ? 0 : after_s.back(), wrongly, static_cast<int>(kitchens));
  EXPECT_GE(told, static_cast<int>(kitchens) * 9 / 10);
  EXPECT_EQ(wrongly, 0);
}

TEST(HeatEvening, WithoutAnAltitudeNoShelfIsPromisedAndNoneIsAssumed) {
  auto setting = shelf_evening();
  setting.altitude_m.reset();
  Stage stage(setting);
  const bool asks =
      stage.refused().find("altitude") != std::string::npos || !stage.plan().asks.empty();
  EXPECT_TRUE(asks) << stage.refused();
  EXPECT_EQ(stage.plan().boiling_point_mk, 0);
}

}  // namespace
}  // namespace maslin::scenario
