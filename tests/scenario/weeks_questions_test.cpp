// What the cook is asked while something stands: no question is lost to another one, and each is
// asked until it is answered.
#include <gmock/gmock.h>

#include "weeks.hpp"

namespace maslin::scenario {
namespace {

using proto::Role;
using testing::HasSubstr;

constexpr double run_s = 40 * day_s;

proto::Amendment added(const std::string& of, std::int64_t grams) {
  proto::Amendment amendment;
  amendment.what = "added";
  amendment.of = of;
  amendment.mass_ug = grams * 1'000'000;
  return amendment;
}

// Each hold that is about a question.
std::vector<std::string> questions(const Stage& stage) {
  std::vector<std::string> found;
  for (const auto& one : stage.all<proto::Held>()) found.push_back(one.what);
  return found;
}

Setting brine_by_eye() {
  auto setting = brine_weeks();
  setting.room = false;
  return setting;
}

// The break is known at night and asked about in the morning; meanwhile the brine is thinned.
TEST(StandQuestions, AnAmendmentDoesNotTakeThePlaceOfAGraverQuestion) {
  auto setting = brine_weeks();
  setting.kitchen.room->warm.push_back({70, 34, 9});
  Stage stage(setting);
  double thinned_s = 0;
  const std::function<void()> thin_at_night = [&] {
    const auto broke = stage.deviation("temperature while it stands", "outside");
    if (broke && stage.told("held").empty()) {
      thinned_s = stage.now_s();
      stage.give(added("water", 400));
    } else if (!broke && stage.now_s() < 6 * day_s) {
      stage.at(stage.now_s() + 600, thin_at_night);
    }
  };
  stage.at(3 * day_s, thin_at_night);
  stage.on_cue("held", "too warm or too cold", 600, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(12 * day_s);
  ASSERT_GT(thinned_s, 0) << stage.diary();
  const auto asked = questions(stage);
  ASSERT_GE(asked.size(), 2u) << stage.diary();
  EXPECT_THAT(asked[0], HasSubstr("too warm or too cold"));
  EXPECT_THAT(asked[1], HasSubstr("What is in is outside the formula"));
}

TEST(StandQuestions, AGapIsAskedAboutOnceTheMixtureIsSettled) {
  Stage stage(brine_weeks());
  stage.at(51 * hour_s, [&] { stage.power_cut(30 * hour_s); });
  stage.on_cue("held", "Nobody knows", 60, [&] { stage.give(added("water", 400)); });
  stage.on_cue("held", "What is in", 60, [&] { EXPECT_EQ(stage.say("accept", "small jar"), ""); });
  stage.run(run_s);
  const auto asked = questions(stage);
  ASSERT_EQ(asked.size(), 3u) << stage.diary();
  EXPECT_THAT(asked[0], HasSubstr("Nobody knows"));
  EXPECT_THAT(asked[1], HasSubstr("What is in"));
  EXPECT_THAT(asked[2], HasSubstr("Nobody knows"));
  EXPECT_FALSE(stage.ended());
}

TEST(StandQuestions, WhatWasAcceptedIsNotAskedAgainByALaterAmendment) {
  Stage stage(brine_weeks());
  stage.when("stand", 3600, [&] { stage.give(added("water", 400)); });
  stage.on_cue("held", "What is in", 60, [&] { EXPECT_EQ(stage.say("accept", "small jar"), ""); });
  stage.when("stand", 2 * day_s, [&] {
    proto::Amendment lot;
    lot.what = "lot";
    lot.of = "table salt";
    lot.with = "bag 7";
    stage.give(lot);
  });
  stage.run(run_s);
  EXPECT_EQ(questions(stage).size(), 1u) << stage.diary();
  EXPECT_TRUE(stage.deviation("salt per low-acid food and water, least", "left as it is"));
  expect_complete(stage);
}

TEST(StandQuestions, WhatWasAcceptedAndGetsWorseIsAskedAgain) {
  Stage stage(brine_weeks());
  stage.when("stand", 3600, [&] { stage.give(added("water", 400)); });
  stage.when("stand", 2 * day_s, [&] { stage.give(added("water", 400)); });
  int accepted = 0;
  const std::function<void()> accept = [&] {
    stage.on_cue("held", "What is in", 60, accept);
    if (stage.say("accept", "small jar").empty()) ++accepted;
  };
  stage.on_cue("held", "What is in", 60, accept);
  stage.run(run_s);
  EXPECT_EQ(questions(stage).size(), 2u) << stage.diary();
  EXPECT_EQ(accepted, 2);
  expect_complete(stage);
}

TEST(StandQuestions, AWordForAGapDoesNotEraseABreakThatWasTaken) {
  auto setting = brine_weeks();
  setting.kitchen.room->warm.push_back({60, 18, 6});
  Stage stage(setting);
  stage.on_cue("held", "too warm or too cold", 600, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.at(8 * day_s, [&] { stage.power_cut(30 * hour_s); });
  stage.on_cue("held", "Nobody knows", 600, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(run_s);
  EXPECT_EQ(stage.conditions("kept while nothing measured").size(), 1u) << stage.diary();
  EXPECT_THAT(stage.status().may_be_called,
              HasSubstr("Outside its formula: temperature while it stands"));
  // Nor do its jars go where they were planned to go as if nothing had been.
  const auto jars = stage.all<proto::JarsAre>();
  ASSERT_FALSE(jars.empty()) << stage.diary();
  EXPECT_THAT(jars.back().why, HasSubstr("outside the formula"));
  EXPECT_THAT(jars.back().todo, HasSubstr("nothing safe can be said of it"));
}

TEST(StandQuestions, OutsideByOneLookCountsUntilTheNextOne) {
  Stage stage(brine_by_eye());
  int looks = 0;
  const std::function<void()> look = [&] {
    stage.on_cue("room_asked", "Is it between", 600, look);
    EXPECT_EQ(stage.say(++looks == 1 ? "no" : "ok"), "");
  };
  stage.on_cue("room_asked", "Is it between", 600, look);
  stage.on_cue("held", "too warm or too cold", 600, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run_to("stand", 3 * day_s);
  ASSERT_GE(looks, 2) << stage.diary();
  EXPECT_GE(stood(stage).outside_ms, 40 * 3'600'000LL) << stage.diary();
  EXPECT_EQ(stood(stage).counted_ms, 0);
}

TEST(StandQuestions, AThermometerInFahrenheitThatIsTakenAwayHoldsNothing) {
  Stage stage(cure_weeks());
  stage.at(40 * hour_s, [&] { stage.shift(34.5, Role::room); });
  stage.at(42 * hour_s, [&] { stage.drop(Role::room, 100 * day_s); });
  bool answered = false;
  stage.on_cue("room_lost", "has not answered", 600, [&] {
    answered = true;
    EXPECT_EQ(stage.say("ok"), "");
  });
  stage.run(4 * day_s);
  ASSERT_EQ(questions(stage).size(), 1u) << stage.diary();
  EXPECT_THAT(questions(stage)[0], HasSubstr("set to °F"));
  const auto released = stage.all<proto::Released>();
  ASSERT_EQ(released.size(), 1u) << stage.diary();
  EXPECT_EQ(released[0].reason, "thermometer");
  EXPECT_TRUE(answered) << stage.diary();
}

TEST(StandQuestions, AThermometerThatComesBackInFahrenheitHoldsAgain) {
  Stage stage(cure_weeks());
  stage.at(40 * hour_s, [&] { stage.shift(34.5, Role::room); });
  stage.at(42 * hour_s, [&] { stage.drop(Role::room, 3 * hour_s); });
  stage.at(50 * hour_s, [&] { stage.shift(0, Role::room); });
  stage.run(run_s);
  EXPECT_EQ(questions(stage).size(), 2u) << stage.diary();
  EXPECT_EQ(stood(stage).outside_ms, 0);
  expect_complete(stage);
}

TEST(StandQuestions, ALookThatNobodyTakesIsAskedForEachMorning) {
  Stage stage(brine_by_eye());
  stage.run_to("stand", 5 * day_s);
  // The first cue is no question: nothing is open yet.
  EXPECT_EQ(stage.told("step", "Is it between").size(), 0u);
  EXPECT_EQ(stage.told("step", "You are asked once a day").size(), 1u) << stage.diary();
  // Once and twice again by the voice, each morning.
  EXPECT_GE(stage.told("room_asked").size(), 4 * 3u) << stage.diary();
}

TEST(StandQuestions, AHoldThatNobodyAnswersIsSaidAgainEachMorning) {
  auto setting = brine_weeks();
  setting.kitchen.room->warm.push_back({60, 18, 6});
  Stage stage(setting);
  stage.run_to("stand", 6 * day_s);
  EXPECT_GE(stage.told("held", "too warm or too cold").size(), 3u) << stage.diary();
  EXPECT_EQ(questions(stage).size(), 1u) << stage.diary();
}

}  // namespace
}  // namespace maslin::scenario
