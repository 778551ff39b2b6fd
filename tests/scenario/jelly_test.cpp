// A jelly without added pectin, of juice and sugar, that ends by its temperature: the whole batch,
// and what the tool says of its solids and its yield against what the kitchen truly has.
#include <algorithm>
#include <cmath>

#include "kitchens.hpp"

namespace maslin::scenario {
namespace {

constexpr const char* kitchen_text = R"(
seed = 77
[scale]
sleep_s = 600
[pot]
power_w = 1800
loss_w_per_k = 5
boils_at_c = 99.9
solids_share = 0.46
[[ingredient]]
name = "clear apple juice"
style = "scoop"
scoop_g = 150
has_g = 900
[[answer]]
hears = "Strain the juice"
does = "vessel"
after_s = 30
[[answer]]
hears = "Everything into the pan"
does = "heat"
after_s = 12
[[answer]]
hears = "Heat off"
does = "off"
after_s = 2
[[answer]]
hears = "adle"
does = "press"
after_s = 150
[[answer]]
hears = "cool"
does = "press"
after_s = 60
)";

Setting apple_jelly() {
  Setting setting;
  setting.kitchen = kitchen_of(kitchen_text);
  setting.formula = file_text("daemon/formula/shipped/quayside-apple-jelly.toml");
  setting.facts.jar_ml = 250;
  return setting;
}

std::vector<proto::Finding> of(const Stage& stage, std::string_view what) {
  std::vector<proto::Finding> found;
  for (const auto& one : stage.all<proto::Finding>()) {
    if (one.what == what) found.push_back(one);
  }
  return found;
}

struct Pan {
  double content_g = 0;
  double solids_pct = 0;
};

// The batch, and what truly was in the pan when it came off the heat.
Pan run(Stage& stage) {
  Pan pan;
  stage.when("fill", 0, [&] {
    pan.content_g = stage.world().pan().content_g();
    pan.solids_pct = 100 * stage.world().pan().solids_g() / pan.content_g;
  });
  stage.run(night_s);
  return pan;
}

TEST(AppleJelly, EndsByItsTemperatureAndKnowsItsSolidsAndItsYield) {
  Stage stage(apple_jelly());
  const Pan truth = run(stage);
  ASSERT_EQ(stage.conditions("temperature reached").size(), 1u) << stage.diary();
  EXPECT_EQ(stage.conditions("temperature reached")[0].evidence, "measured");
  const auto solids = of(stage, "soluble solids");
  ASSERT_EQ(solids.size(), 1u) << stage.diary();
  EXPECT_EQ(solids[0].by, "boiling point");
  EXPECT_NEAR(solids[0].value, truth.solids_pct, 2 * solids[0].standard_uncertainty);
  const auto mass = of(stage, "mass in the pan");
  ASSERT_EQ(mass.size(), 1u);
  EXPECT_NEAR(mass[0].value, truth.content_g, 2 * mass[0].standard_uncertainty + 0.03 * 1100);
  EXPECT_FALSE(stage.told("step", "By what boiled away the pan holds about").empty());
  EXPECT_FALSE(stage.deviation("soluble solids"));
  expect_complete(stage);
}

TEST(AppleJelly, WithSugarInItTheFoamIsSaidAheadOfTheBoil) {
  Stage stage(apple_jelly());
  (void)run(stage);
  ASSERT_EQ(stage.told("foam").size(), 1u) << stage.diary();
  EXPECT_LT(stage.told_s("foam"), stage.condition_s("boil reached"));
}

TEST(AppleJelly, ARefractometerThatAgreesIsSaidToAgree) {
  Stage stage(apple_jelly());
  proto::Measured told;
  told.what = "solids";
  told.with = "refractometer";
  told.interval = 0.1;
  told.temperature_c = 25;
  stage.when("fill", 20, [&] {
    told.value = 100 * stage.world().pan().solids_g() / stage.world().pan().content_g() - 0.38;
    stage.give(told);
  });
  stage.run(night_s);
  const auto solids = of(stage, "soluble solids");
  ASSERT_EQ(solids.size(), 2u) << stage.diary();
  EXPECT_EQ(solids[1].by, "refractometer");
  EXPECT_EQ(solids[1].verdict, "agrees");
  EXPECT_FALSE(stage.deviation("soluble solids"));
  expect_complete(stage);
}

// The scoop of sugar that never went in, or a probe that touches the bottom: the sides differ.
TEST(AppleJelly, ARefractometerThatDiffersIsSaidOnce) {
  Stage stage(apple_jelly());
  proto::Measured told;
  told.what = "solids";
  told.with = "refractometer that corrects itself";
  told.interval = 0.1;
  told.value = 52;
  stage.when("fill", 20, [&] { stage.give(told); });
  stage.when("fill", 30, [&] { stage.give(told); });
  stage.run(night_s);
  EXPECT_TRUE(stage.deviation("soluble solids", "further apart than both can be off"))
      << stage.diary();
  EXPECT_EQ(stage.told("advice", "do not agree").size(), 1u);
  expect_complete(stage);
}

TEST(AppleJelly, AWeighedYieldGivesTheThirdSide) {
  Stage stage(apple_jelly());
  stage.when("fill", 20, [&] {
    proto::JarWord yield;
    yield.what = "yield";
    yield.mass_ug = std::llround(stage.world().pan().content_g() * 0.97 * 1e6);
    stage.give(yield);
  });
  stage.run(night_s);
  const auto solids = of(stage, "soluble solids");
  ASSERT_EQ(solids.size(), 2u) << stage.diary();
  EXPECT_EQ(solids[1].by, "mass balance");
  EXPECT_EQ(solids[1].verdict, "agrees");
  expect_complete(stage);
}

TEST(AppleJelly, InAShallowPanTheEyeEndsItAndNoBoilTellsTheSolids) {
  auto setting = apple_jelly();
  setting.facts.pan_cm = 40;
  for (auto& answer : setting.kitchen.answers) answer.after_s = std::max(answer.after_s, 5.0);
  Stage stage(setting);
  stage.on_cue("step", "Say ok when it is there", 400, [&] { (void)stage.say("ok"); });
  stage.run(4 * 3600);
  for (const auto& one : of(stage, "soluble solids")) EXPECT_NE(one.by, "boiling point");
}

}  // namespace
}  // namespace maslin::scenario
