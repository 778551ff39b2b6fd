// From the boil to the end of the batch, measured or seen.
#include <gtest/gtest.h>

#include "evening.hpp"

namespace maslin::batch {
namespace {

void weigh_all(Evening& evening) {
  evening.begin();
  evening.put(400);
  evening.pour(320);
  evening.say("ok");
  for (const char* name : {"sweet pepper", "cider vinegar", "sugar", "table salt"}) {
    ASSERT_EQ(evening.waits_for(), name);
    if (evening.by_measure(name)) {
      evening.say("ok");
    } else {
      evening.pour(evening.aim_g(name));
    }
  }
  ASSERT_EQ(evening.engine.status().phase, "heat");
}

std::vector<std::string> conditions(const Evening& evening) {
  std::vector<std::string> all;
  for (const auto& one : evening.all<proto::Condition>())
    all.push_back(one.what + ", " + one.evidence);
  return all;
}

TEST(Heat, TheBoilAtThisAltitudeIsMeasuredAndTheDwellRunsByItself) {
  Evening evening;
  weigh_all(evening);
  evening.heat(200, 100.1);
  evening.heat(620, 100.1);
  EXPECT_EQ(evening.cues("foam"), 1);  // there is sugar in it
  EXPECT_EQ(conditions(evening),
            (std::vector<std::string>{"boil reached, measured", "dwell began, measured",
                                      "dwell done, measured"}));
  EXPECT_EQ(evening.engine.status().phase, "fill");
}

TEST(Heat, AFlatLineFarBelowTheBoilIsNoBoil) {
  Evening evening;
  weigh_all(evening);
  evening.heat(600, 97);
  EXPECT_EQ(conditions(evening),
            std::vector<std::string>{"pan's thermometer stands still, measured"});
  EXPECT_EQ(evening.engine.status().phase, "heat");
  EXPECT_EQ(evening.cues("advice"), 1);  // the eye is asked
}

TEST(Heat, WithoutAThermometerTheCookSaysSoAndTheRecordSaysSeen) {
  Evening evening("quayside-onion-relish", false);
  weigh_all(evening);
  evening.say("ok");
  evening.wait(601);
  EXPECT_EQ(conditions(evening), (std::vector<std::string>{"boil reached, seen by the cook",
                                                           "dwell began, seen by the cook",
                                                           "dwell done, seen by the cook"}));
}

TEST(Heat, AnOkAgainstTheThermometerNeedsASecondOne) {
  Evening evening;
  weigh_all(evening);
  evening.heat(5, 21);
  evening.say("ok");
  EXPECT_EQ(evening.cues("ask"), 1);
  EXPECT_EQ(evening.engine.status().phase, "heat");
  evening.say("ok");
  EXPECT_EQ(evening.engine.status().phase, "dwell");
}

TEST(Heat, ADoubtDoesNotOutliveItsStep) {
  Evening evening;
  weigh_all(evening);
  evening.heat(5, 21);
  evening.say("ok");
  evening.say("ok");
  ASSERT_EQ(evening.engine.status().phase, "dwell");
  evening.heat(5, 60);
  evening.give(proto::Restart{"boot", 5'000, true});
  evening.heat(5, 60);
  evening.say("ok");  // off the boil by its thermometer: asked again
  EXPECT_EQ(evening.cues("ask"), 2);
  EXPECT_EQ(conditions(evening).back(), "dwell paused, not watched");
  evening.say("ok");
  EXPECT_EQ(conditions(evening).back(), "dwell began, seen by the cook");
}

TEST(Heat, AVesselOnTheScaleDoesNotEndTheCooling) {
  Evening evening;
  weigh_all(evening);
  evening.heat(200, 100.1);
  evening.heat(620, 100.1);
  ASSERT_EQ(evening.engine.status().phase, "fill");
  evening.empty_pan();
  evening.put(300);  // a jar
  EXPECT_EQ(evening.engine.status().phase, "fill");
}

TEST(Heat, AnOkInsideTheDwellIsRefused) {
  Evening evening("quayside-onion-relish", false);
  weigh_all(evening);
  evening.say("ok");
  EXPECT_NE(evening.refusal("ok"), "");
}

TEST(Heat, ALostBoilPausesTheDwellAndItGoesOnWhenItIsBack) {
  Evening evening;
  weigh_all(evening);
  evening.heat(200, 100.1);
  evening.heat(300, 100.1);
  evening.heat(60, 95, 0.08);  // as a pan cools
  EXPECT_EQ(evening.cues("off_boil"), 1);
  evening.heat(60, 100.1);
  const auto before = evening.engine.status().phase;
  EXPECT_EQ(before, "dwell");
  evening.heat(330, 100.1);
  EXPECT_EQ(conditions(evening).back(), "dwell done, measured");
}

TEST(Heat, TheStatusSaysWhatIsLeftOfTheTimeWhatComesNextAndHowHotThePanIs) {
  Evening evening;
  weigh_all(evening);
  evening.heat(200, 100.1);
  const auto before = evening.engine.status();
  ASSERT_EQ(before.phase, "dwell");
  ASSERT_TRUE(before.left_ms.has_value());
  EXPECT_LE(*before.left_ms, 600'000);
  EXPECT_EQ(before.next, "Ladle it into clean hot jars.");
  ASSERT_TRUE(before.pan_c.has_value());
  EXPECT_NEAR(*before.pan_c, 100.1, 0.05);
  evening.heat(60, 100.1);
  EXPECT_EQ(*before.left_ms - *evening.engine.status().left_ms, 60'000);
  evening.heat(600, 100.1);
  EXPECT_EQ(evening.engine.status().left_ms, std::nullopt);
}

TEST(Heat, AThermometerThatFallsSilentForLongDoesNotCount) {
  Evening evening;
  weigh_all(evening);
  evening.heat(200, 100.1);
  evening.heat(60, 100.1);
  evening.give(proto::DeviceEvent{1, "lost", "unplugged"});
  evening.wait(5);
  EXPECT_EQ(conditions(evening).back(), "dwell began, measured");  // a stir
  evening.wait(10);
  EXPECT_EQ(conditions(evening).back(), "dwell not watched, thermometer silent");
  EXPECT_EQ(evening.cues("pan_asked"), 1);
  evening.wait(61);
  EXPECT_EQ(conditions(evening).back(), "dwell paused, thermometer silent");
  evening.say("ok");
  EXPECT_EQ(conditions(evening).back(), "dwell began, seen by the cook");
}

// Who had a thermometer does not know that nothing watches any more.
TEST(Heat, AWordThatTakesTheThermometersPlaceIsAskedForAgain) {
  Evening evening;
  weigh_all(evening);
  evening.heat(200, 100.1);
  evening.heat(60, 100.1);
  evening.give(proto::DeviceEvent{1, "lost", "unplugged"});
  evening.wait(12);
  evening.say("ok");
  evening.wait(190);
  EXPECT_EQ(evening.cues("pan_asked"), 1);
  EXPECT_NE(evening.refusal("ok"), "");
  EXPECT_NE(evening.refusal("no"), "");
  evening.wait(15);
  EXPECT_EQ(evening.cues("pan_asked"), 2);
  evening.say("ok");
  EXPECT_EQ(conditions(evening).back(), "boiled all the time, seen by the cook");
  evening.wait(210);
  evening.say("no");
  EXPECT_EQ(conditions(evening).back(), "dwell paused, seen by the cook");
  // What was vouched for counts: a minute measured, and the time to the first word of the two.
  EXPECT_NEAR(static_cast<double>(evening.engine.status().left_ms.value_or(0)), 300'000, 60'000);
}

// Half a kelvin a second: no pot cools so, and none that is cooled warms so.
TEST(Heat, AThermometerThatIsLiftedForSomeSecondsChangesNothing) {
  Evening evening;
  weigh_all(evening);
  evening.heat(200, 100.1, 0.3);
  evening.heat(200, 100.1);
  const auto before = evening.engine.status().left_ms;
  evening.heat(6, 90, 2);
  evening.heat(60, 100.1, 2);
  EXPECT_EQ(evening.cues("pan_asked"), 0);
  EXPECT_EQ(conditions(evening).back(), "dwell began, measured");
  EXPECT_EQ(*before - *evening.engine.status().left_ms, 66'000);
}

// Something cold goes in: it comes back as fast as the pan heats, and what it took does not count.
TEST(Heat, WhatTheColdAdditionTookDoesNotCount) {
  Evening evening;
  weigh_all(evening);
  evening.heat(300, 100.1, 0.3);
  evening.heat(100, 100.1);
  evening.heat(4, 92, 2);
  evening.heat(60, 100.1, 0.25);
  const auto said = conditions(evening);
  EXPECT_NE(std::find(said.begin(), said.end(), "dwell paused, measured"), said.end());
  EXPECT_EQ(said.back(), "dwell began, measured");
  EXPECT_EQ(evening.cues("off_boil"), 0);  // it has come back by itself
}

bool said(const Evening& evening, const std::string& condition) {
  const auto all = conditions(evening);
  return std::find(all.begin(), all.end(), condition) != all.end();
}

std::string last_question(const Evening& evening) {
  std::string text;
  for (const auto& cue : evening.all<proto::Cue>()) {
    if (cue.id == "pan_asked") text = cue.text;
  }
  return text;
}

std::int64_t left_ms(const Evening& evening) { return evening.engine.status().left_ms.value_or(0); }

// Lifted for a stir and put back into a pan that something cold has gone into.
TEST(Heat, WhatGoesColdWhileTheThermometerIsLiftedIsAskedAboutAndDoesNotCount) {
  Evening evening;
  weigh_all(evening);
  evening.heat(900, 100.1, 0.1);
  evening.heat(60, 100.1);
  const auto before_ms = left_ms(evening);
  evening.heat(8, 40, 30);
  evening.heat(2, 94, 30);
  evening.heat(20, 100.1, 0.1);
  EXPECT_EQ(evening.cues("pan_asked"), 1);
  evening.heat(42, 100.1, 0.1);
  evening.heat(30, 100.1);
  EXPECT_EQ(conditions(evening).back(), "dwell began, measured");
  EXPECT_LE(before_ms - left_ms(evening), 30'000);
}

TEST(Heat, AShortSilenceOverAPanThatGoesOnBoilingCounts) {
  Evening evening;
  weigh_all(evening);
  evening.heat(300, 100.1);
  const auto before_ms = left_ms(evening);
  evening.give(proto::DeviceEvent{1, "lost", "unplugged"});
  evening.wait(8);
  evening.give(proto::DeviceEvent{1, "back", ""});
  evening.heat(40, 100.1);
  EXPECT_EQ(evening.cues("pan_asked"), 0);
  EXPECT_EQ(before_ms - left_ms(evening), 48'000);
}

TEST(Heat, AShortSilenceAfterWhichThePanShowsNoBoilDoesNotCount) {
  Evening evening;
  weigh_all(evening);
  evening.heat(500, 100.1, 0.2);
  const auto before_ms = left_ms(evening);
  evening.give(proto::DeviceEvent{1, "lost", "unplugged"});
  evening.wait(8);
  evening.give(proto::DeviceEvent{1, "back", ""});
  evening.heat(1, 97, 100);
  evening.heat(16, 100.1, 0.2);
  EXPECT_EQ(evening.cues("pan_asked"), 1);
  evening.heat(30, 100.1);
  EXPECT_TRUE(said(evening, "dwell paused, measured"));
  EXPECT_EQ(conditions(evening).back(), "dwell began, measured");
  EXPECT_LE(before_ms - left_ms(evening), 15'000);
}

// Silent for long, asked about and not answered: a boil shown afterwards does not vouch for it.
TEST(Heat, OnceTheEyeIsAskedABoilThatIsShownAgainDoesNotAnswerForTheSilence) {
  Evening evening;
  weigh_all(evening);
  evening.heat(300, 100.1);
  const auto before_ms = left_ms(evening);
  evening.give(proto::DeviceEvent{1, "lost", "unplugged"});
  evening.wait(8);
  evening.give(proto::DeviceEvent{1, "back", ""});
  evening.heat(1, 99.3, 100);
  evening.heat(42, 99.3);  // no boil by the rule, and none that is lost
  ASSERT_EQ(evening.cues("pan_asked"), 1);
  evening.heat(40, 100.1);
  EXPECT_LE(before_ms - left_ms(evening), 40'000);
}

TEST(Heat, AWordCountsOnlyOnceTheCookWasToldOrAsked) {
  Evening evening;
  weigh_all(evening);
  evening.heat(300, 100.1);
  evening.heat(3, 80, 10);  // lifted for a stir
  EXPECT_NE(evening.refusal("ok"), "");
  evening.heat(12, 80);
  ASSERT_EQ(evening.cues("pan_asked"), 1);
  EXPECT_EQ(evening.refusal("ok"), "");
}

TEST(Heat, AWordCountsAtOnceForAThermometerThatWasToldAsLost) {
  Evening evening;
  weigh_all(evening);
  evening.heat(300, 100.1);
  evening.give(proto::DeviceEvent{1, "lost", "unplugged"});
  ASSERT_EQ(evening.cues("pan_lost"), 1);
  EXPECT_EQ(evening.refusal("ok"), "");
}

// A word taken while nothing was shown, then flat at what is no boil for any eye.
TEST(Heat, AThermometerThatComesBackFarBelowTheWordHasTheEyeAskedAtOnce) {
  Evening evening;
  weigh_all(evening);
  evening.heat(400, 108);
  evening.give(proto::DeviceEvent{1, "lost", "unplugged"});
  evening.wait(12);
  evening.say("ok");
  ASSERT_EQ(evening.cues("pan_asked"), 1);
  evening.give(proto::DeviceEvent{1, "back", ""});
  evening.heat(1, 96, 200);
  evening.heat(30, 96);
  EXPECT_EQ(evening.cues("pan_asked"), 2);
  EXPECT_NE(last_question(evening).find("stands at 96.0 °C"), std::string::npos);
  evening.say("ok");
  evening.heat(60, 96);
  EXPECT_EQ(evening.cues("pan_asked"), 2);  // the cook knows it now
}

// The word was given with the thermometer at the boil, too new for its rule: then it falls.
TEST(Heat, AThermometerThatShowedTheBoilAtTheWordAndFallsHasTheEyeAsked) {
  Evening evening;
  weigh_all(evening);
  evening.heat(500, 100.1, 0.2);
  evening.give(proto::DeviceEvent{1, "lost", "unplugged"});
  evening.wait(12);
  evening.give(proto::DeviceEvent{1, "back", ""});
  evening.heat(2, 100.1);
  evening.say("ok");
  const auto before_ms = left_ms(evening);
  evening.heat(4, 100.1);
  evening.heat(20, 94, 0.5);
  EXPECT_EQ(last_question(evening).find("The pan's thermometer shows 9"), 0u);
  evening.heat(32, 100.1, 0.2);
  evening.heat(30, 100.1);
  EXPECT_EQ(conditions(evening).back(), "dwell began, measured");
  EXPECT_LE(before_ms - left_ms(evening), 25'000);
}

void keep_at_85(Evening& evening) {
  const auto swap = [&](const std::string& from, const std::string& to) {
    const auto at = evening.start.formula_text.find(from);
    ASSERT_NE(at, std::string::npos);
    evening.start.formula_text.replace(at, from.size(), to);
  };
  swap("until = \"boil\"", "until = \"temperature\"\ntemperature = \"85 °C\"");
  swap("while = \"boiling\"", "while = \"at temperature\"");
}

TEST(Heat, ADwellAtATemperatureIsAskedAboutByItsTemperatureAndAgain) {
  Evening evening;
  keep_at_85(evening);
  weigh_all(evening);
  evening.heat(200, 86);
  ASSERT_EQ(evening.engine.status().phase, "dwell");
  evening.give(proto::DeviceEvent{1, "lost", "unplugged"});
  evening.wait(12);
  ASSERT_EQ(evening.cues("pan_asked"), 1);
  EXPECT_NE(last_question(evening).find("85.0 °C or more"), std::string::npos);
  EXPECT_EQ(last_question(evening).find("boil"), std::string::npos);
  evening.say("ok");
  evening.wait(205);
  EXPECT_EQ(evening.cues("pan_asked"), 2);
  EXPECT_EQ(last_question(evening).find("boil"), std::string::npos);
  evening.say("ok");
  EXPECT_EQ(conditions(evening).back(), "hot enough all the time, seen by the cook");
  evening.give(proto::DeviceEvent{1, "back", ""});
  evening.heat(400, 86);
  EXPECT_EQ(evening.cues("pan_asked"), 2);
  EXPECT_EQ(conditions(evening).back(), "dwell done, measured");
}

int told_against_the_altitude(const Evening& evening) {
  const auto all = evening.all<proto::Deviation>();
  return static_cast<int>(std::count_if(all.begin(), all.end(), [](const auto& one) {
    return one.about == "pan's thermometer" && !one.critical;
  }));
}

TEST(Heat, APanThatBoilsUnderWhatTheAltitudeAllowsIsToldAndRecorded) {
  Evening evening;
  weigh_all(evening);
  evening.heat(400, 97.5);  // water boils at 99.6 °C here
  evening.say("ok");
  ASSERT_EQ(evening.engine.status().phase, "dwell");
  evening.heat(110, 97.5);
  EXPECT_EQ(told_against_the_altitude(evening), 0);
  evening.heat(200, 97.5);
  EXPECT_EQ(told_against_the_altitude(evening), 1);
  EXPECT_EQ(evening.cues("off_boil"), 0);  // the cook's word stands
}

TEST(Heat, ASyrupThatBoilsHotterThanWaterContradictsNothing) {
  Evening evening;
  weigh_all(evening);
  evening.heat(300, 103);
  evening.heat(400, 103);
  EXPECT_EQ(told_against_the_altitude(evening), 0);
}

TEST(Heat, ARestartInTheDwellIsAGapThatDoesNotCount) {
  Evening evening;
  weigh_all(evening);
  evening.heat(200, 100.1);
  evening.heat(60, 100.1);
  evening.now_ms += 600'000;  // longer than the whole dwell
  evening.give(proto::Restart{"boot", 600'000, true});
  EXPECT_EQ(conditions(evening).back(), "dwell paused, not watched");
  evening.heat(30, 100.1);
  EXPECT_EQ(conditions(evening).back(), "dwell began, measured");
  evening.heat(300, 100.1);
  EXPECT_EQ(evening.engine.status().phase, "dwell");
}

TEST(Heat, TheLastStepCompletesTheBatch) {
  Evening evening;
  weigh_all(evening);
  evening.heat(200, 100.1);
  evening.heat(620, 100.1);
  evening.say("ok");  // filled
  evening.say("ok");  // cooled
  EXPECT_EQ(evening.state(), "complete");
  EXPECT_NE(evening.refusal("ok"), "");
  EXPECT_EQ(evening.refusal("note", "set well"), "");
}

TEST(Rating, IsTakenOfACompleteBatchAsOftenAsItChanges) {
  Evening evening;
  weigh_all(evening);
  EXPECT_TRUE(evening.engine.refuses(proto::Rating{"good", "", "", ""}).has_value());
  evening.heat(200, 100.1);
  evening.heat(620, 100.1);
  evening.say("ok");  // filled
  evening.say("ok");  // cooled
  EXPECT_FALSE(evening.engine.refuses(proto::Rating{"good", "too hot", "", ""}).has_value());
  EXPECT_TRUE(evening.engine.refuses(proto::Rating{"lovely", "", "", ""}).has_value());
  EXPECT_TRUE(evening.engine.refuses(proto::Rating{"", "", "", "no word for it"}).has_value());
  const auto done_ms = evening.now_ms;
  evening.now_ms += 86'400'000;
  evening.give(proto::Rating{"soft", "", "", "still runs off the spoon"});
  evening.now_ms += 13 * 86'400'000LL;
  evening.give(proto::Rating{"good", "", "", ""});
  const auto rated = evening.all<proto::Rated>();
  ASSERT_EQ(rated.size(), 2u);
  EXPECT_EQ(rated[0].rating.set, "soft");
  EXPECT_NEAR(static_cast<double>(rated[1].after_ms), static_cast<double>(evening.now_ms - done_ms),
              2000);
}

TEST(Heat, AStopKeepsWhatWasWeighed) {
  Evening evening;
  weigh_all(evening);
  evening.say("stop", "burnt");
  EXPECT_EQ(evening.state(), "stopped");
  EXPECT_EQ(evening.all<proto::BatchState>().back().why, "burnt");
}

}  // namespace
}  // namespace maslin::batch
