// Formulas that are shipped and have no other test of a whole batch: each is cooked once as it is
// written, undisturbed, and every weighing is held against what the kitchen truly took.
#include <cmath>

#include "kitchens.hpp"

namespace maslin::scenario {
namespace {

constexpr const char* any_kitchen = R"(
seed = 91
[scale]
sleep_s = 600
[pot]
power_w = 1800
boils_at_c = 99.9
)";
Setting batch_of(const std::string& formula, const std::string& cook) {
  Setting setting;
  setting.kitchen = kitchen_of(any_kitchen + cook);
  setting.formula = file_text("daemon/formula/shipped/" + formula + ".toml");
  return setting;
}

// It went through without a hold, all of it is what the record says, and it promises nothing.
void expect_as_written(const Stage& stage, std::size_t weighed) {
  ASSERT_EQ(stage.refused(), "");
  expect_nothing_lost(stage);
  EXPECT_TRUE(stage.all<proto::Deviation>().empty()) << stage.diary();
  std::size_t by_scale = 0;
  for (const auto& [name, weighing] : stage.weighings()) {
    if (weighing.indications == 0) continue;
    ++by_scale;
    const double error_g = static_cast<double>(weighing.net_ug) / 1e6 - stage.truth_g(name);
    EXPECT_LE(std::abs(error_g), 1.5 * static_cast<double>(weighing.expanded_uncertainty_ug) / 1e6)
        << name;
  }
  EXPECT_EQ(by_scale, weighed) << stage.diary();
  const std::string called = stage.status().may_be_called;
  EXPECT_NE(called.find("not for the shelf"), std::string::npos) << called;
  expect_complete(stage);
}

std::string last_place(const Stage& stage) {
  const auto all = stage.all<proto::JarsAre>();
  return all.empty() ? "" : all.back().where;
}

constexpr const char* pickler = R"(
[[ingredient]]
name = "cucumber"
style = "scoop"
scoop_g = 90
has_g = 470
[[answer]]
hears = "slice the cucumbers"
does = "vessel"
after_s = 120
[[answer]]
hears = "bring them to the boil"
does = "heat"
of = ["distilled vinegar", "water", "sugar", "table salt"]
after_s = 12
[[answer]]
hears = "Pack cucumbers"
does = "vessel"
after_s = 8
[[answer]]
hears = "Pack cucumbers"
does = "press"
after_s = 400
[[answer]]
hears = "Let the jars cool"
does = "press"
after_s = 60
)";

TEST(Shipped, CucumberPickleIsBoiledAsABrineAndPouredOverWhatWasWeighed) {
  Stage stage(batch_of("quayside-cucumber-pickle", pickler));
  stage.run(night_s);
  EXPECT_EQ(stage.conditions("boil reached").size(), 1u) << stage.diary();
  EXPECT_EQ(last_place(stage), "refrigerator");
  expect_as_written(stage, 5);
}

// What is poured over the food was boiled, the second brine like the first.
TEST(Shipped, MoreBrineForTheCucumbersIsBoiledBeforeItIsPouredOn) {
  Stage stage(batch_of("quayside-cucumber-pickle", pickler));
  stage.on_cue("step", "If the brine does not cover", 20, [&] { EXPECT_EQ(stage.say("no"), ""); });
  stage.when("fill", 21, [&] { EXPECT_LT(stage.status().aim_g, 150); });
  stage.run(night_s);
  EXPECT_EQ(stage.conditions("boil reached").size(), 2u) << stage.diary();
  EXPECT_EQ(last_place(stage), "refrigerator");
  expect_complete(stage);
}

// Whose vessel comes only then is told of the addition, not of all of it once more.
TEST(Shipped, TheVesselOfAnAdditionIsAnsweredWithTheAddition) {
  auto setting = batch_of("quayside-cucumber-pickle", pickler);
  for (auto& answer : setting.kitchen.answers) {
    if (answer.hears != "Pack cucumbers" || answer.does != kitchen::Does::vessel) continue;
    answer.cue = "advice";
    answer.hears = "Make more of it";
  }
  Stage stage(setting);
  stage.on_cue("step", "If the brine does not cover", 20, [&] { EXPECT_EQ(stage.say("no"), ""); });
  stage.run_to("fill", 60);
  const auto seen = stage.told("vessel_seen");
  ASSERT_FALSE(seen.empty()) << stage.diary();
  EXPECT_LT(seen.back().amount_ug, 150'000'000) << seen.back().text;
  EXPECT_NE(seen.back().text.find("more distilled vinegar"), std::string::npos);
}

TEST(Shipped, MoreBrineAfterItsSaltWasLeftOutIsStillANumber) {
  Stage stage(batch_of("quayside-cucumber-pickle", pickler));
  proto::Amendment none;
  none.what = "left out";
  none.of = "table salt";
  stage.on_cue("step", "If the brine does not cover", 20, [&] {
    stage.give(none);
    EXPECT_EQ(stage.say("no"), "");
  });
  stage.run(night_s);
  const double planned_g =
      static_cast<double>(stage.engine().status().state == "complete"
                              ? stage.all<proto::PlanFinal>().back().plan.ingredients[4].nominal_ug
                              : 0) /
      1e6;
  EXPECT_GT(planned_g, 27) << stage.diary();
  EXPECT_LT(planned_g, 60);
}

TEST(Shipped, SaltedChiliIsWeighedAndNeverHeated) {
  Stage stage(batch_of("quayside-salted-chili", R"(
[[ingredient]]
name = "red chili"
style = "scoop"
scoop_g = 40
has_g = 205
[[ingredient]]
name = "table salt"
style = "scoop"
scoop_g = 12
[[answer]]
hears = "stem and chop"
does = "vessel"
after_s = 120
[[answer]]
hears = "Mix in the bowl"
does = "press"
after_s = 120
[[answer]]
hears = "Straight into"
does = "press"
after_s = 60
)"));
  stage.run(night_s);
  EXPECT_TRUE(stage.conditions("boil reached").empty());
  EXPECT_FALSE(stage.told("caution", "Wear gloves").empty()) << stage.diary();
  EXPECT_EQ(last_place(stage), "refrigerator");
  expect_as_written(stage, 3);
}

TEST(Shipped, StrawberryJamEndsByItsTemperatureAndGoesIntoTheFreezer) {
  auto setting = batch_of("quayside-strawberry-jam", R"(
[[ingredient]]
name = "strawberries"
style = "scoop"
scoop_g = 90
has_g = 456
[[answer]]
hears = "hull and halve"
does = "vessel"
after_s = 120
[[answer]]
hears = "All into the pan"
does = "heat"
after_s = 12
[[answer]]
hears = "Heat off"
does = "off"
after_s = 2
[[answer]]
hears = "Skim"
does = "press"
after_s = 150
)");
  setting.kitchen.pot.solids_share = 0.54;
  Stage stage(setting);
  stage.run(3 * night_s);
  ASSERT_EQ(stage.conditions("temperature reached").size(), 1u) << stage.diary();
  EXPECT_EQ(stage.conditions("temperature reached")[0].evidence, "measured");
  EXPECT_EQ(last_place(stage), "freezer");
  expect_as_written(stage, 3);
}

constexpr const char* soft_jelly = R"(
[[ingredient]]
name = "soft jelly"
style = "scoop"
scoop_g = 200
has_g = 1290
[[answer]]
hears = "Open the soft jars"
does = "vessel"
after_s = 120
[[answer]]
cue = "dwell_done"
does = "off"
after_s = 2
[[answer]]
hears = "Skim and ladle"
does = "press"
after_s = 150
[[answer]]
hears = "Let the jars stand"
does = "press"
after_s = 60
)";

TEST(Shipped, TheRemakeWithPowderedPectinBoilsTwiceAndStandsHalfAMinute) {
  Stage stage(batch_of("remake-with-powdered-pectin", std::string(soft_jelly) + R"(
[[answer]]
hears = "to the boil, stirring"
does = "heat"
of = ["sugar", "water", "bottled lemon juice", "powdered pectin"]
after_s = 12
[[answer]]
hears = "The jelly in"
does = "heat"
of = ["soft jelly"]
after_s = 6
)"));
  stage.run(night_s);
  EXPECT_EQ(stage.conditions("boil reached").size(), 2u) << stage.diary();
  EXPECT_EQ(last_place(stage), "refrigerator");
  expect_as_written(stage, 4);
}

TEST(Shipped, TheRemakeWithLiquidPectinTakesItInAfterTheFirstBoil) {
  Stage stage(batch_of("remake-with-liquid-pectin", std::string(soft_jelly) + R"(
[[answer]]
hears = "The jelly alone"
does = "heat"
of = ["soft jelly"]
after_s = 12
[[answer]]
hears = "in quickly"
does = "heat"
of = ["sugar", "bottled lemon juice", "liquid pectin"]
after_s = 6
)"));
  stage.run(night_s);
  EXPECT_EQ(stage.conditions("boil reached").size(), 2u) << stage.diary();
  EXPECT_EQ(last_place(stage), "refrigerator");
  expect_as_written(stage, 4);
}

}  // namespace
}  // namespace maslin::scenario
