// The water bath as the cook meets it: whatever happens, no time counts that was not spent at the
// boil and watched.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "evening.hpp"

namespace maslin::batch {
namespace {

using testing::HasSubstr;

// Invented, and not tested for safety: a jar of vinegar with a bath of ten minutes.
constexpr const char* kFormula = R"(
name = "Lantern vinegar"
status = "tested"
source = "invented for this test"
keeping = "shelf"
jars = 2
jar = "250 mL"

[[ingredient]]
name = "cider vinegar"
amount = "2 cups"
counts_as = "acid"
band = "10 %"

[[operation]]
kind = "weigh"

[[operation]]
kind = "water bath"
text = "Jars into the water bath."
rows = ["10 min to 1000 ft", "15 min above"]

[[operation]]
kind = "cool"
time = "12 h"

[[operation]]
kind = "seal check"
)";

class BathTest : public ::testing::Test {
 protected:
  explicit BathTest(bool thermometer = true) : evening("quayside-onion-relish", false) {
    evening.start.formula_text = kFormula;
    if (thermometer) {
      proto::DeviceDescription probe;
      probe.id = "test:canner";
      probe.quantity = proto::Quantity::temperature;
      probe.period_ms = 1000;
      evening.start.devices.push_back({proto::Role::canner, probe});
    }
  }
  void SetUp() override {
    evening.begin();
    evening.put(400);
    evening.pour(evening.aim_g("cider vinegar"));
    ASSERT_EQ(evening.engine.status().phase, "water bath");
  }
  // The canner's thermometer for so long, on its way to a temperature. The boil is at 99.6 °C here.
  void canner(double seconds, double to_c, double kelvin_a_second = 0.1) {
    for (double left = seconds; left > 1e-9; left -= 1) {
      const double step = std::clamp(to_c - canner_c, -kelvin_a_second, kelvin_a_second);
      canner_c += step;
      evening.wait(1);
      evening.send(1, std::llround(canner_c * 10), proto::Unit::celsius,
                   proto::Quantity::temperature, 0);
    }
  }
  std::int64_t left_s() const { return evening.engine.status().left_ms.value_or(-1000) / 1000; }
  bool saw(const std::string& what, const std::string& evidence) const {
    for (const auto& one : evening.all<proto::Condition>()) {
      if (one.what == what && one.evidence == evidence) return true;
    }
    return false;
  }
  // Jars in, at the boil, and two minutes of the time gone.
  void two_minutes_in() {
    canner(5, 99.9, 100);
    evening.say("ok");
    canner(60, 99.1);  // cold glass
    canner(60, 99.9);
    ASSERT_GE(evening.cues("boil_asked"), 1);
    evening.say("ok");
    ASSERT_TRUE(saw("water bath began", "seen by the cook"));
    asked_before = evening.cues("boil_asked");
    while (left_s() > 480) canner(1, 99.9);
  }

  // Questions since the time began.
  int asked() const { return evening.cues("boil_asked") - asked_before; }

  Evening evening;
  double canner_c = 20;
  int asked_before = 0;
};

class BathWithoutThermometer : public BathTest {
 protected:
  BathWithoutThermometer() : BathTest(false) {}
};

TEST_F(BathTest, SaysThePublishedTimeAndCountsFromTheHardBoilAfterLoading) {
  EXPECT_THAT(evening.all<proto::Cue>().back().text, HasSubstr("10 min"));
  canner(100, 99.9, 100);
  EXPECT_EQ(left_s(), -1);  // boiling, and no jar is in yet
  evening.say("ok");
  canner(20, 99.0);
  canner(30, 99.9);
  canner(60, 99.9);
  EXPECT_EQ(left_s(), -1);  // a flat line may stand a little under the boil: the eye decides
  ASSERT_EQ(evening.cues("boil_asked"), 1);
  evening.say("ok");
  ASSERT_TRUE(saw("water bath began", "seen by the cook"));
  EXPECT_NE(evening.refusal("ok"), "");
  canner(620, 99.9);
  EXPECT_TRUE(saw("water bath done", "measured"));
  EXPECT_EQ(evening.engine.status().phase, "water bath");  // five minutes of rest
  EXPECT_NE(evening.refusal("ok"), "");
  canner(300, 80);
  EXPECT_EQ(evening.engine.status().phase, "cool");
}

TEST_F(BathTest, AFlatLineUnderTheBoilIsAskedAboutAndNeverCounts) {
  canner(5, 97, 100);
  evening.say("ok");
  canner(940, 97);
  EXPECT_FALSE(saw("water bath began", "measured"));
  EXPECT_EQ(evening.cues("boil_asked"), 1);
}

TEST_F(BathTest, ALostBoilIsDatedBackAndBeginsAgainFromZero) {
  two_minutes_in();
  canner(120, 95, 0.6 / 60);  // the burner is out: 0.6 K a minute
  ASSERT_TRUE(saw("boil lost", "measured"));
  EXPECT_EQ(left_s(), -1);
  const auto said = evening.all<proto::Deviation>().back();
  EXPECT_TRUE(said.critical);
  EXPECT_THAT(said.what, HasSubstr("after 2 min"));  // not after the minute that it took to notice
  canner(60, 99.9);
  canner(40, 99.9);
  EXPECT_GT(left_s(), 530);
  canner(620, 99.9);
  EXPECT_TRUE(saw("water bath done", "measured"));
}

TEST_F(BathTest, ABurnerTurnedLowIsALossHoweverSlowTheFall) {
  two_minutes_in();
  canner(400, 99.2, 0.002);
  EXPECT_TRUE(saw("boil lost", "measured"));
}

TEST_F(BathTest, AfterALossItMustComeBackToWhereItBoiled) {
  two_minutes_in();
  canner(120, 95, 0.6 / 60);
  ASSERT_TRUE(saw("boil lost", "measured"));
  canner(200, 99.3);  // within what a first boil may show, and 0.6 K under this one
  EXPECT_EQ(left_s(), -1);
  EXPECT_GE(asked(), 1);
  canner(120, 99.9);
  EXPECT_GT(left_s(), 500);
}

TEST_F(BathTest, AThermometerThatShowsTheBoilTooLowIsAskedAboutAndWatchedFromThere) {
  canner(5, 98.9, 100);
  evening.say("ok");
  canner(100, 98.9);
  EXPECT_FALSE(saw("water bath began", "measured"));
  ASSERT_EQ(evening.cues("boil_asked"), 1);
  evening.say("ok");
  ASSERT_TRUE(saw("water bath began", "seen by the cook"));
  canner(120, 98.9);
  canner(120, 90, 0.6 / 60);
  EXPECT_TRUE(saw("boil lost", "measured"));
}

TEST_F(BathTest, AQuestionThatNobodyAnswersIsAskedTwiceMore) {
  canner(5, 99.9, 100);
  evening.say("ok");
  canner(600, 99.9);
  EXPECT_EQ(evening.cues("boil_asked"), 3);
  evening.say("ok");
  EXPECT_EQ(left_s(), 600);
}

TEST_F(BathTest, TheLevelThatCountsIsWhereItStandsWhenTheCookSeesItBoil) {
  canner(5, 99.3, 100);
  evening.say("ok");
  canner(100, 99.3);
  ASSERT_EQ(evening.cues("boil_asked"), 1);  // the cook waits: it only simmers
  canner(30, 99.9, 0.05);
  evening.say("ok");
  canner(60, 99.9);
  EXPECT_GT(left_s(), 500);
  canner(120, 95, 0.6 / 60);
  EXPECT_TRUE(saw("boil lost", "measured"));
}

TEST_F(BathTest, ATimeThatEndsInAFallWaitsForWhatComesOfIt) {
  two_minutes_in();
  while (left_s() > 35) canner(1, 99.9);
  canner(90, 95, 0.6 / 60);
  EXPECT_TRUE(saw("boil lost", "measured"));
  EXPECT_FALSE(saw("water bath done", "measured"));
}

TEST_F(BathTest, ATimeThatEndsALittleUnderTheLevelWaitsAMinuteAtMost) {
  two_minutes_in();
  while (left_s() > 60) canner(1, 99.9);
  canner(70, 99.6, 0.3 / 30);
  EXPECT_FALSE(saw("water bath done", "measured"));
  canner(60, 99.6);
  EXPECT_TRUE(saw("water bath done", "measured"));
}

TEST_F(BathTest, AFewSecondsWithoutTheDaemonAreAskedAboutAndForgetNoLevel) {
  two_minutes_in();
  evening.now_ms += 5000;
  evening.give(proto::Restart{"other", 0, false, 0});  // nobody knows how long it was
  ASSERT_EQ(asked(), 1);
  evening.say("ok");
  canner(150, 95, 0.6 / 60);
  EXPECT_TRUE(saw("boil lost", "measured"));
}

TEST_F(BathTest, AnOkAfterAGapAgainstTheThermometerIsDoubtedAndWatched) {
  two_minutes_in();
  evening.now_ms += 300'000;
  evening.give(proto::Restart{"boot", 300'000, true, 0});
  canner(3, 70, 100);
  evening.say("ok");
  EXPECT_EQ(evening.cues("ask"), 1);
  evening.say("ok");
  canner(60, 70);
  EXPECT_TRUE(saw("boil lost", "measured"));
}

TEST_F(BathTest, ADoubledTapDoesNotSayThatItBoils) {
  canner(5, 99.9, 100);
  evening.say("ok");
  evening.give(proto::Command{"ok", ""});
  EXPECT_EQ(left_s(), -1);
}

TEST_F(BathTest, AThermometerThatGoesBeforeTheOkDoesNotTurnJarsInIntoABoil) {
  canner(5, 99.9, 100);
  evening.give(proto::DeviceEvent{1, "lost", "unplugged"});
  EXPECT_EQ(evening.cues("canner_lost"), 1);
  EXPECT_THAT(evening.all<proto::Cue>().back().text, HasSubstr("and it boils hard"));
}

TEST_F(BathTest, AThermometerThatSendsNothingAnyMoreIsNotTrustedForLong) {
  two_minutes_in();
  evening.wait(59);
  EXPECT_EQ(asked(), 0);
  evening.wait(5);
  EXPECT_EQ(asked(), 1);
}

TEST_F(BathTest, ATimeThatEndsInASilenceWaitsForWhatComesOfIt) {
  two_minutes_in();
  while (left_s() > 5) canner(1, 99.9);
  evening.give(proto::DeviceEvent{1, "lost", "unplugged"});
  evening.wait(9);
  EXPECT_FALSE(saw("water bath done", "measured"));
  evening.wait(5);
  EXPECT_EQ(asked(), 1);
}

TEST_F(BathTest, AFewReadingsMissingAreNoLoss) {
  two_minutes_in();
  const auto before = left_s();
  evening.give(proto::DeviceEvent{1, "silent", "no reading"});
  evening.wait(7);
  evening.give(proto::DeviceEvent{1, "back", ""});
  canner(3, 99.9);
  EXPECT_EQ(asked(), 0);
  EXPECT_NEAR(static_cast<double>(left_s()), static_cast<double>(before) - 10, 1);
}

TEST_F(BathTest, ALongSilenceIsAskedAboutAndTheCooksWordGoesOnWithoutCountingIt) {
  two_minutes_in();
  const auto before = left_s();
  evening.give(proto::DeviceEvent{1, "lost", "unplugged"});
  evening.wait(30);
  ASSERT_EQ(asked(), 1);
  evening.say("ok");
  EXPECT_NEAR(static_cast<double>(left_s()), static_cast<double>(before), 1);
  evening.wait(500);
  EXPECT_TRUE(saw("water bath done", "seen by the cook"));
}

TEST_F(BathTest, ASilenceThatNobodyAnswersForIsALostBoil) {
  two_minutes_in();
  evening.give(proto::DeviceEvent{1, "lost", "unplugged"});
  evening.wait(75);
  EXPECT_TRUE(saw("boil lost", "not watched"));
  evening.say("ok");
  EXPECT_GE(left_s(), 599);
}

TEST_F(BathTest, AReadingAfterALongSilenceDoesNotUndoIt) {
  two_minutes_in();
  evening.give(proto::DeviceEvent{1, "silent", "no reading"});
  evening.now_ms += 30'000;  // no timer came either
  evening.give(proto::DeviceEvent{1, "back", ""});
  canner(1, 99.9);
  EXPECT_EQ(asked(), 1);
}

TEST_F(BathTest, ARestartIsAskedAboutAndADayOfPowerCutBeginsAgain) {
  two_minutes_in();
  evening.now_ms += 86'400'000;
  evening.give(proto::Restart{"other", 86'400'000, false});
  ASSERT_EQ(asked(), 1);
  canner(70, 20, 100);
  EXPECT_TRUE(saw("boil lost", "not watched"));
}

TEST_F(BathTest, AHoldDoesNotStopTheClock) {
  two_minutes_in();
  evening.say("hold", "the telephone");
  canner(500, 99.9);
  EXPECT_TRUE(saw("water bath done", "measured"));
  canner(400, 80);  // the five minutes are over as well, and the step waits for the cook
  EXPECT_EQ(evening.engine.deadline_ms(), std::nullopt);
  evening.say("resume");
  EXPECT_EQ(evening.engine.status().phase, "cool");
}

TEST_F(BathWithoutThermometer, TheCooksWordBeginsTheTimeAndTheRecordSaysSo) {
  EXPECT_THAT(evening.all<proto::Cue>().back().text, HasSubstr("and it boils hard"));
  evening.say("ok");
  ASSERT_TRUE(saw("water bath began", "seen by the cook"));
  evening.wait(610);
  EXPECT_TRUE(saw("water bath done", "seen by the cook"));
}

TEST_F(BathWithoutThermometer, JarsFromTheBathCoolForTwelveHoursAndNoWordShortensThat) {
  evening.say("ok");
  evening.wait(910);
  ASSERT_EQ(evening.engine.status().phase, "cool");
  EXPECT_THAT(evening.all<proto::Cue>().back().text, HasSubstr("12 h to go"));
  evening.wait(2);
  EXPECT_THAT(evening.refusal("ok"), HasSubstr("to stand untouched"));
  const auto early = evening.engine.refuses(proto::JarWord{"sealed", 0, 0, {}, "", ""});
  ASSERT_TRUE(early.has_value());
  EXPECT_THAT(early->what, HasSubstr("to stand untouched"));
  evening.hours(12);
  EXPECT_EQ(evening.engine.status().phase, "seal check");
}

}  // namespace
}  // namespace maslin::batch
