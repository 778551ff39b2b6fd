// One voice: what is said again, what waits, what is dropped, and when it is quiet.
#include "daemon/batch/voice.hpp"

#include <gmock/gmock.h>

#include "evening.hpp"

namespace maslin::batch {
namespace {

using testing::ElementsAre;

constexpr std::int64_t hour_ms = 3'600'000;

class VoiceTest : public testing::Test {
 protected:
  void say(const std::string& id, const std::string& text = {}) {
    const auto* kind = proto::find_cue(id);
    ASSERT_NE(kind, nullptr);
    if (auto cue = voice.say({id, kind->urgency, text, "", 0}, *kind, now_ms)) keep(*cue);
  }
  void wait(std::int64_t seconds, bool answerable = true) {
    const std::int64_t end_ms = now_ms + seconds * 1000;
    while (voice.deadline_ms() && *voice.deadline_ms() <= end_ms) {
      now_ms = *voice.deadline_ms();
      for (const auto& cue : voice.time_passed(now_ms, answerable)) keep(cue);
    }
    now_ms = end_ms;
  }
  void next() {
    if (const auto cue = voice.next_in_turn(now_ms)) keep(*cue);
  }
  void keep(const proto::Cue& cue) {
    said.push_back(cue.id + " " + std::to_string(cue.urgency));
    quietly.push_back(cue.quietly);
  }

  Voice voice;
  std::int64_t now_ms = 0;
  std::vector<std::string> said;
  std::vector<bool> quietly;
};

TEST_F(VoiceTest, AQuestionIsSaidTwiceAgainWithMoreWeightThenItStands) {
  say("ask");
  wait(59);
  EXPECT_THAT(said, ElementsAre("ask 2"));
  wait(1);
  EXPECT_THAT(said, ElementsAre("ask 2", "ask 3"));
  wait(3600);
  EXPECT_THAT(said, ElementsAre("ask 2", "ask 3", "ask 3"));
  EXPECT_FALSE(voice.deadline_ms().has_value());
}

TEST_F(VoiceTest, WhoActsIsNotAskedAgain) {
  say("ask");
  wait(30);
  voice.acted();
  wait(3600);
  EXPECT_THAT(said, ElementsAre("ask 2"));
}

TEST_F(VoiceTest, WhatHasHappenedAnswersAQuestion) {
  say("off_boil");
  say("boil");
  wait(3600);
  EXPECT_THAT(said, ElementsAre("off_boil 3", "boil 3"));
}

TEST_F(VoiceTest, AStepThatTakesNoAnswerNowIsNotAsked) {
  say("step");
  wait(3600, false);
  EXPECT_THAT(said, ElementsAre("step 2"));
}

TEST_F(VoiceTest, ALesserQuestionWaitsForTheUrgentOne) {
  say("boil_asked");
  say("seal_asked");
  next();
  EXPECT_THAT(said, ElementsAre("boil_asked 3"));
  voice.acted();
  next();
  EXPECT_THAT(said, ElementsAre("boil_asked 3", "seal_asked 2"));
}

TEST_F(VoiceTest, AnUrgentQuestionTakesTheTurnOfALesserOne) {
  say("seal_asked");
  say("boil_asked");
  wait(3600);
  EXPECT_THAT(said, ElementsAre("seal_asked 2", "boil_asked 3", "boil_asked 3", "boil_asked 3"));
}

TEST_F(VoiceTest, WhatIsStaleIsDropped) {
  say("boil_asked");
  say("seal_asked");
  voice.new_step();
  next();
  wait(3600);
  EXPECT_THAT(said, ElementsAre("boil_asked 3"));
}

TEST_F(VoiceTest, WhatIsNoQuestionNeverWaits) {
  say("boil_asked");
  say("near_boil");
  say("stop");
  EXPECT_THAT(said, ElementsAre("boil_asked 3", "near_boil 2", "stop 4"));
}

TEST_F(VoiceTest, TheMostUrgentIsRepeatedUntilSomethingIsDone) {
  say("too_long");
  wait(60);
  EXPECT_EQ(said.size(), 5U);
  EXPECT_TRUE(voice.insists());
  voice.acted();
  wait(600);
  EXPECT_EQ(said.size(), 5U);
}

TEST_F(VoiceTest, AndNotForEver) {
  say("too_long");
  wait(12 * 3600);
  EXPECT_EQ(said.size(), 21U);  // five minutes of it
}

TEST_F(VoiceTest, QuietMeansLightAndTextButForTheMostUrgent) {
  proto::Settings settings;
  settings.quiet = true;
  voice.begin(settings, 0);
  say("over");
  say("stop");
  EXPECT_THAT(quietly, ElementsAre(true, false));
}

TEST_F(VoiceTest, QuietHoursGoOverMidnightInLocalTime) {
  proto::Settings settings;
  settings.quiet_from_min = 22 * 60;
  settings.quiet_to_min = 7 * 60;
  voice.begin(settings, 20 * hour_ms);  // the batch began at eight in the evening
  say("step");
  now_ms = 2 * hour_ms;
  say("step");
  now_ms = 11 * hour_ms - 1;
  say("step");
  now_ms = 11 * hour_ms;
  say("step");
  EXPECT_THAT(quietly, ElementsAre(false, true, true, false));
}

TEST_F(VoiceTest, WithoutQuietHoursItIsNeverQuiet) {
  voice.begin({}, -5 * hour_ms);
  for (int hour = 0; hour < 24; ++hour) {
    now_ms = hour * hour_ms;
    say("step");
  }
  EXPECT_THAT(quietly, testing::Each(false));
}

// ---- in a batch ----

TEST(Voice, WhoIsToWeighIsToldAgainAndNotWhilePouring) {
  Evening evening;
  evening.begin();
  evening.put(400);
  evening.pour(320);
  evening.say("ok");
  const int weigh = evening.cues("weigh");
  evening.wait(125);
  EXPECT_EQ(evening.cues("weigh"), weigh + 1);
  evening.pour_without_rest(evening.aim_g(evening.waits_for()) / 2, 1);
  evening.wait(400);
  EXPECT_EQ(evening.cues("weigh"), weigh + 1);
}

TEST(Voice, StopIsSaidAgainWhileThePourGoesOn) {
  Evening evening;
  evening.begin();
  evening.put(400);
  evening.pour(320);
  evening.say("ok");
  while (evening.by_measure(evening.waits_for()) || evening.aim_g(evening.waits_for()) < 150) {
    if (evening.by_measure(evening.waits_for())) {
      evening.say("ok");
    } else {
      evening.pour(evening.aim_g(evening.waits_for()));
    }
  }
  const int stops = evening.cues("stop");
  const double aim_g = evening.aim_g(evening.waits_for());
  evening.pour_without_rest(aim_g, 20);
  EXPECT_EQ(evening.cues("stop"), stops + 1);
  evening.pour_without_rest(120, 20);  // six seconds more
  EXPECT_GE(evening.cues("stop"), stops + 3);
}

TEST(Voice, AnOkEndsWhatIsInsistedOnEvenWhereTheStepTakesNone) {
  Evening evening("quayside-onion-relish", false);
  evening.begin();
  evening.put(400);
  evening.pour(320);
  evening.say("ok");
  while (evening.engine.status().phase == "weigh") {
    if (evening.by_measure(evening.waits_for())) {
      evening.say("ok");
    } else {
      evening.pour(evening.aim_g(evening.waits_for()));
    }
  }
  evening.give(proto::StoreEvent{true, "disk full"});
  evening.wait(31);
  EXPECT_EQ(evening.cues("disk"), 3);
  evening.say("ok");
  evening.wait(60);
  EXPECT_EQ(evening.cues("disk"), 3);
  EXPECT_EQ(evening.engine.status().phase, "heat");
  EXPECT_EQ(evening.state(), "held");
}

TEST(Voice, ALostBoilIsSaidTwiceMore) {
  Evening evening("quayside-onion-relish", true);
  evening.begin();
  evening.put(400);
  evening.pour(320);
  evening.say("ok");
  while (evening.engine.status().phase == "weigh") {
    if (evening.by_measure(evening.waits_for())) {
      evening.say("ok");
    } else {
      evening.pour(evening.aim_g(evening.waits_for()));
    }
  }
  evening.heat(200, 100.1);
  ASSERT_EQ(evening.engine.status().phase, "dwell");
  evening.heat(600, 90, 0.2);
  ASSERT_GE(evening.cues("off_boil"), 1);
  EXPECT_EQ(evening.cues("off_boil"), 3);
}

}  // namespace
}  // namespace maslin::batch
