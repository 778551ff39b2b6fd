// One fault each, from the plan to years later: at which step it is caught, what is to be done, and
// where the jars end.
#include <gmock/gmock.h>

#include "kitchens.hpp"

namespace maslin::scenario {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

std::string replaced(std::string text, const std::string& what, const std::string& with) {
  const auto at = text.find(what);
  EXPECT_NE(at, std::string::npos) << what;
  return at == std::string::npos ? text : text.replace(at, what.size(), with);
}

// Why a formula that was changed so gets no plan.
std::string refusal(const std::string& what, const std::string& with) {
  auto setting = shelf_evening();
  setting.formula = replaced(setting.formula, what, with);
  return Stage(setting).refused();
}

std::string todo_of_jar(const Stage& stage, std::int64_t jar) {
  std::string todo;
  for (const auto& one : stage.all<proto::JarsAre>()) {
    if (std::find(one.jars.begin(), one.jars.end(), jar) != one.jars.end()) todo = one.todo;
  }
  return todo;
}

proto::Amendment weak_vinegar(double percent) {
  proto::Amendment one;
  one.what = "vinegar";
  one.figure = percent;
  return one;
}

TEST(FaultyEvening, PlainVegetablesAreAskedForTheShelfAndGetNoMinutes) {
  auto setting = shelf_evening();
  const auto from = setting.formula.find("[[ratio]]");
  setting.formula.erase(from, setting.formula.find("[[operation]]") - from);
  EXPECT_THAT(Stage(setting).refused(), HasSubstr("least share of acid"));
}

TEST(FaultyEvening, AnOwnFormulaAsksForAWaterBath) {
  EXPECT_THAT(refusal("status = \"tested\"\nsource = \"an invented test kitchen, to try the tool "
                      "with\"",
                      "status = \"own\""),
              Not(IsEmpty()));
}

TEST(FaultyEvening, TheJarIsLargerThanTheRowsArePrintedFor) {
  auto setting = shelf_evening();
  setting.facts.jar_ml = 1000;
  Stage stage(setting);
  EXPECT_THAT(stage.refused(), HasSubstr("jar"));
  setting.request.keeping = "refrigerator";
  EXPECT_EQ(Stage(setting).refused(), "");
}

TEST(FaultyEvening, TheBottleIsWeakAndItsLabelIsReadBeforehand) {
  auto setting = shelf_evening();
  setting.facts.vinegar_pct = 4;
  EXPECT_THAT(Stage(setting).refused(), HasSubstr("4 %"));
}

TEST(FaultyEvening, TheBottleIsWeakAndItsLabelIsReadAfterwards) {
  Stage stage(shelf_evening());
  stage.run(night_s);
  expect_complete(stage);
  stage.give(weak_vinegar(4));
  EXPECT_TRUE(stage.deviation("strength of the cider vinegar"));
  EXPECT_THAT(todo_of_jar(stage, 1), HasSubstr("Not for the shelf"));
  EXPECT_EQ(stage.folds_differently(), "");
}

TEST(FaultyEvening, TheBottleIsWeakAndItsLabelIsReadWhileItBoils) {
  Stage stage(shelf_evening());
  stage.when("dwell", 60, [&] { stage.give(weak_vinegar(4)); });
  stage.run(night_s);
  EXPECT_TRUE(stage.deviation("strength of the cider vinegar"));
  EXPECT_THAT(todo_of_jar(stage, 1), HasSubstr("Into the refrigerator"));
  for (const auto& one : stage.all<proto::JarsAre>()) EXPECT_NE(one.where, "shelf");
}

TEST(FaultyEvening, VinegarEssenceIsRefusedWithItsDanger) {
  Stage stage(shelf_evening());
  stage.run_to("dwell", 30);
  const auto refused = stage.engine().refuses(weak_vinegar(50));
  ASSERT_TRUE(refused.has_value());
  EXPECT_THAT(refused->what, HasSubstr("burns skin and eyes"));
  EXPECT_THAT(refused->todo, HasSubstr("dilute"));
}

// Sugar is quality: said, recorded, and the batch goes on.
TEST(FaultyEvening, TheSugarRunsOut) {
  auto setting = shelf_evening();
  for (auto& one : setting.kitchen.ingredients) {
    if (one.name == "sugar") one.there_is_g = 90;
  }
  Stage stage(setting);
  stage.on_cue("more", "more sugar", 20, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(night_s);
  EXPECT_TRUE(stage.deviation("sugar"));
  for (const auto& one : stage.all<proto::Deviation>()) EXPECT_FALSE(one.critical);
  EXPECT_TRUE(stage.all<proto::Held>().empty());
  expect_complete(stage);
  expect_full_bath(stage);
}

// Vinegar is what the shelf hangs on: less of it is not gone on with.
TEST(FaultyEvening, TheVinegarRunsOut) {
  auto setting = shelf_evening();
  for (auto& one : setting.kitchen.ingredients) {
    if (one.name == "cider vinegar") one.there_is_g = 150;
  }
  Stage stage(setting);
  stage.run(3 * 3600);
  EXPECT_FALSE(stage.ended());
  EXPECT_THAT(stage.told("more", "more cider vinegar"), Not(IsEmpty()));
  EXPECT_NE(stage.say("ok"), "");
  EXPECT_EQ(stage.began_s("heat"), -1);
}

TEST(FaultyEvening, TheAltitudeLiesAFootBeyondTheEdgeOfItsBand) {
  auto setting = shelf_evening();
  setting.altitude_m = 305;  // 1,001 ft: the second row
  setting.kitchen.pot.boils_at_c -= 1;
  setting.kitchen.canner->pot.boils_at_c -= 1;
  Stage stage(setting);
  stage.run(night_s);
  expect_full_bath(stage, 15);
  expect_complete(stage);
}

}  // namespace
}  // namespace maslin::scenario
