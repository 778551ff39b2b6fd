// From the full pan to the shelf: how many jars, which lids, which seals, and where each jar goes.
#include "kitchens.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace maslin::scenario {
namespace {

using Numbers = std::vector<std::int64_t>;

constexpr double hour_s = 3600;

proto::JarWord word(const std::string& what, Numbers jars = {}) {
  proto::JarWord one;
  one.what = what;
  one.jars = std::move(jars);
  return one;
}

// Where each jar is in the end.
std::map<std::int64_t, std::string> places(const Stage& stage) {
  std::map<std::int64_t, std::string> where;
  for (const auto& one : stage.all<proto::JarsAre>()) {
    for (const auto jar : one.jars) where[jar] = one.where;
  }
  return where;
}

// The evening whose cook says nothing about seals of himself.
Setting silent_about_seals() {
  auto setting = shelf_evening();
  std::erase_if(setting.kitchen.answers,
                [](const auto& answer) { return answer.hears == "Press each lid"; });
  return setting;
}

TEST(JarEvening, SealedJarsStandOnTheShelfAndThePartFilledOneInTheRefrigerator) {
  Stage stage(shelf_evening());
  stage.run(2 * night_s);
  ASSERT_EQ(stage.all<proto::Filled>().size(), 1u) << stage.diary();
  const auto filled = stage.all<proto::Filled>()[0];
  EXPECT_EQ(filled.jars, filled.expected);
  const auto where = places(stage);
  for (std::int64_t jar = 1; jar <= filled.jars; ++jar) EXPECT_EQ(where.at(jar), "shelf") << jar;
  if (filled.part_filled > 0) {
    EXPECT_EQ(where.at(filled.jars + 1), "refrigerator");
  }
  expect_complete(stage);
}

TEST(JarEvening, TheJarThatDidNotSealGoesToTheRefrigerator) {
  auto setting = shelf_evening();
  setting.kitchen.unsealed = {2};
  Stage stage(setting);
  stage.run(2 * night_s);
  EXPECT_EQ(stage.told("jars", "Jar 2 did not seal").size(), 1u) << stage.diary();
  const auto where = places(stage);
  EXPECT_EQ(where.at(1), "shelf");
  EXPECT_EQ(where.at(2), "refrigerator");
  EXPECT_EQ(where.at(3), "shelf");
  expect_complete(stage);
}

TEST(JarEvening, NobodyAnswersForTheJarsAndNoneIsCalledSealed) {
  auto setting = shelf_evening();
  setting.kitchen.unsealed = {1, 2, 3};
  std::erase_if(setting.kitchen.answers, [](const auto& answer) { return answer.cue == "jars"; });
  Stage stage(setting);
  stage.run(3 * night_s);
  const auto where = places(stage);
  for (const std::int64_t jar : {1, 2, 3}) EXPECT_EQ(where.at(jar), "not sealed") << stage.diary();
  EXPECT_EQ(stage.told("jars", "a day is over").size(), 1u);
  expect_complete(stage);
}

TEST(JarEvening, SealsTakenAfterThreeHoursAreRefused) {
  Stage stage(shelf_evening());
  stage.when("cool", 3 * hour_s, [&] {
    EXPECT_TRUE(stage.engine().refuses(word("sealed")));
    EXPECT_TRUE(stage.engine().refuses(word("not sealed", {1})));
  });
  stage.run(2 * night_s);
  EXPECT_GE(stage.told_s("seal_asked") - stage.condition_s("water bath done"), 12 * hour_s);
  expect_complete(stage);
}

TEST(JarEvening, SealsTakenAfterThirtyHoursDiscardWhatIsOpen) {
  Stage stage(silent_about_seals());
  stage.when("cool", 30 * hour_s, [&] {
    EXPECT_FALSE(stage.engine().refuses(word("not sealed", {1})));
    stage.give(word("not sealed", {1}));
  });
  stage.run(3 * night_s);
  EXPECT_EQ(stage.told("jars", "discard").size(), 1u) << stage.diary();
  const auto where = places(stage);
  EXPECT_EQ(where.at(1), "not sealed");
  EXPECT_EQ(where.at(2), "shelf");
  expect_complete(stage);
}

TEST(JarEvening, ANewLidAndTheWholeBathAgain) {
  auto setting = shelf_evening();
  setting.kitchen.unsealed = {3};
  std::erase_if(setting.kitchen.answers, [](const auto& answer) { return answer.cue == "jars"; });
  Stage stage(setting);
  stage.on_cue("jars", "Jar 3 did not seal", 60, [&] {
    stage.world().seal(3);
    EXPECT_FALSE(stage.engine().refuses(word("process again", {3})));
    stage.give(word("process again", {3}));
  });
  stage.run(4 * night_s);
  EXPECT_EQ(stage.conditions("water bath done").size(), 2u) << stage.diary();
  expect_full_bath(stage);  // of the second
  EXPECT_EQ(places(stage).at(3), "shelf");
  expect_complete(stage);
}

TEST(JarEvening, SealsAreAskedAboutInWakingHoursBeforeTheDayIsOver) {
  for (const double starts_h : {6.0, 9.0, 13.0, 17.0, 22.0}) {
    auto setting = shelf_evening();
    setting.starts_h = starts_h;
    Stage stage(setting);
    stage.run(2 * night_s);
    const double asked_s = stage.told_s("seal_asked");
    const double after_s = asked_s - stage.condition_s("water bath done");
    EXPECT_GE(after_s, 12 * hour_s) << starts_h;
    EXPECT_LT(after_s, 24 * hour_s) << starts_h;
    const double of_day_h = std::fmod(starts_h + asked_s / hour_s, 24);
    EXPECT_GE(of_day_h, 7) << starts_h;
    EXPECT_LT(of_day_h, 22.1) << starts_h;
    expect_complete(stage);
  }
}

TEST(JarEvening, ASecondPressAtOnceAnswersForNoOtherJar) {
  auto setting = shelf_evening();
  setting.kitchen.unsealed = {2};
  Stage stage(setting);
  stage.on_cue("seal_asked", "Jar 2?", 0.4, [&] { EXPECT_NE(stage.say("ok"), ""); });
  stage.run(2 * night_s);
  EXPECT_EQ(places(stage).at(2), "refrigerator") << stage.diary();
  expect_complete(stage);
}

TEST(JarEvening, MoreJarsThanNewLids) {
  auto setting = shelf_evening();
  setting.facts.lids = 2;
  Stage stage(setting);
  EXPECT_NE(stage.plan().limited_by.find("lids"), std::string::npos) << stage.plan().limited_by;
  stage.run(2 * night_s);
  EXPECT_EQ(stage.told("jars", "New lids for 2 jars only").size(), 1u) << stage.diary();
  const auto where = places(stage);
  EXPECT_EQ(where.at(2), "shelf");
  EXPECT_EQ(where.at(3), "refrigerator");
  expect_complete(stage);
}

TEST(JarEvening, MoreJarsThanTheCannerHoldsGoInOneLoadAfterTheOther) {
  auto setting = shelf_evening();
  setting.facts.canner_jars = 2;
  Stage stage(setting);
  stage.run(2 * night_s);
  EXPECT_EQ(stage.conditions("water bath done").size(), 2u) << stage.diary();
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(JarEvening, ACountThatThePanCannotHaveGivenIsAskedAbout) {
  auto setting = shelf_evening();
  std::erase_if(setting.kitchen.answers,
                [](const auto& answer) { return answer.hears == "Ladle it"; });
  Stage stage(setting);
  auto nine = word("filled");
  nine.count = 9;
  auto three = word("filled");
  three.count = 3;
  stage.when("fill", 100, [&] { stage.give(nine); });
  stage.when("fill", 160, [&] { stage.give(three); });
  stage.run(2 * night_s);
  EXPECT_EQ(stage.told("ask", "9 jars is not what this pan should give").size(), 1u)
      << stage.diary();
  ASSERT_EQ(stage.all<proto::Filled>().size(), 1u);
  EXPECT_EQ(stage.all<proto::Filled>()[0].jars, 3);
  EXPECT_EQ(stage.all<proto::Filled>()[0].evidence, "counted by the cook");
  expect_complete(stage);
}

TEST(JarEvening, KilledWhileTheSealsAreAskedTheyAreGoneThroughAnew) {
  auto setting = shelf_evening();
  setting.kitchen.unsealed = {1};
  Stage stage(setting);
  stage.on_cue("seal_asked", "Jar 2?", 1.5, [&] { stage.restart(10); });
  stage.run(2 * night_s);
  const auto where = places(stage);
  EXPECT_EQ(where.at(1), "refrigerator") << stage.diary();
  EXPECT_EQ(where.at(2), "shelf");
  expect_complete(stage);
}

TEST(JarEvening, RefrigeratorJarsHaveNoSealsToAskAbout) {
  Stage stage(refrigerator_evening());
  stage.run(night_s);
  EXPECT_TRUE(stage.told("seal_asked").empty());
  for (const auto& [jar, where] : places(stage)) EXPECT_EQ(where, "refrigerator") << jar;
  EXPECT_FALSE(places(stage).empty()) << stage.diary();
  expect_complete(stage);
}

}  // namespace
}  // namespace maslin::scenario
