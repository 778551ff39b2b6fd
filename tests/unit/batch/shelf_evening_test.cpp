// From the canner to the sealed jar: the pan waits for the canner, the jars are counted with one
// bit, their seals are asked about when they have stood, and what did not seal is put right.
#include <gmock/gmock.h>

#include "tests/unit/batch/evening.hpp"

namespace maslin::batch {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;

constexpr const char* kJelly = R"(
name = "Quayside test jelly"
status = "tested"
source = "an invented test kitchen"
invented = true
keeping = "shelf"
jars = 4
jar = "250 mL"
longest_boil = "20 min"

[[ingredient]]
name = "cider vinegar"
amount = "2 cups"
counts_as = "acid"
band = "10 %"

[[operation]]
kind = "prepare"

[[operation]]
kind = "heat"
text = "Vinegar into the pan."
ingredients = ["cider vinegar"]
until = "boil"

[[operation]]
kind = "dwell"
time = "1 min"
while = "boiling"
when_lost = "begin again"

[[operation]]
kind = "weigh"

[[operation]]
kind = "fill"
text = "Skim and fill."

[[operation]]
kind = "water bath"
rows = ["10 min to 1000 ft", "15 min above"]

[[operation]]
kind = "cool"

[[operation]]
kind = "seal check"
text = "Test every seal with a finger."
)";

constexpr const char* kWeigh = "[[operation]]\nkind = \"weigh\"\n\n";

// Only the words of the cook and the clock: everything must also work so.
class ShelfEvening : public testing::Test {
 protected:
  ShelfEvening() : evening("quayside-onion-relish", false) {
    std::string text = kJelly;
    text.erase(text.find(kWeigh), std::string(kWeigh).size());
    text.insert(text.find("[[operation]]\nkind = \"heat\""), kWeigh);
    evening.start.formula_text = text;
    evening.start.facts.lids = 6;
    evening.start.facts.vinegar_pct = 5;
    evening.start.facts.canner_min = 30;
    evening.start.local_less_ms = 20 * 3'600'000;  // it begins at eight in the evening
  }
  void begin() {
    evening.begin();
    ASSERT_EQ(phase(), "canner");
  }
  std::string phase() const { return evening.engine.status().phase; }
  std::string last() const { return evening.all<proto::Cue>().back().text; }
  void weighed() {
    evening.say("ok");  // canner on
    evening.say("ok");  // prepared
    evening.put(400);
    evening.pour(evening.aim_g("cider vinegar"));
  }
  void filled() {
    begin();
    weighed();
    evening.hours(0.5);
    ASSERT_EQ(phase(), "heat") << last();
    evening.say("ok");
    evening.hours(1.5 / 60);
    ASSERT_EQ(phase(), "fill");
  }
  void out_of_the_bath() {
    filled();
    evening.say("ok");
    ASSERT_EQ(phase(), "water bath");
    evening.say("ok");
    evening.hours(16.0 / 60);
    ASSERT_EQ(phase(), "cool");
    bath_over_ms = evening.now_ms;
  }
  void at_the_seals() {
    out_of_the_bath();
    evening.hours(14);
    ASSERT_EQ(phase(), "seal check");
    evening.wait(2);
  }
  // The newest place of each jar.
  std::map<std::int64_t, std::string> places() const {
    std::map<std::int64_t, std::string> where;
    for (const auto& one : evening.all<proto::JarsAre>()) {
      for (const auto jar : one.jars) where[jar] = one.where;
    }
    return where;
  }
  bool saw(const std::string& what) const {
    for (const auto& one : evening.all<proto::Condition>()) {
      if (one.what == what) return true;
    }
    return false;
  }

  Evening evening;
  std::int64_t bath_over_ms = 0;
};

using Where = std::map<std::int64_t, std::string>;

TEST_F(ShelfEvening, ThePanIsNotCalledForBeforeTheCannerIsNearlyThere) {
  begin();
  weighed();
  ASSERT_EQ(phase(), "wait");
  EXPECT_THAT(last(), HasSubstr("The pan waits about"));
  evening.hours(0.2);
  EXPECT_EQ(phase(), "wait");
  evening.hours(0.2);
  EXPECT_EQ(phase(), "heat");
  EXPECT_EQ(evening.cues("pan_now"), 1);
}

TEST_F(ShelfEvening, ThePanWaitsForNothingWhereTheCookSeesTheCannerBoil) {
  begin();
  weighed();
  evening.say("ok");
  EXPECT_EQ(phase(), "heat");
  EXPECT_TRUE(saw("canner boils"));
}

TEST_F(ShelfEvening, TheJarsThatThePanShouldGiveAreConfirmedWithOneBit) {
  filled();
  EXPECT_THAT(last(), HasSubstr("That should give 4 jars."));
  evening.say("ok");
  ASSERT_EQ(evening.all<proto::Filled>().size(), 1u);
  EXPECT_EQ(evening.all<proto::Filled>()[0].jars, 4);
}

TEST_F(ShelfEvening, AMeasuredYieldSaysHowManyJarsItFills) {
  filled();
  evening.jars({"yield", 630, 0, {}, "", "", 0});
  EXPECT_THAT(last(), HasSubstr("That should give 2 jars and one part-filled"));
  evening.wait(2);
  evening.say("ok");
  EXPECT_EQ(evening.all<proto::Filled>()[0].jars, 2);
  EXPECT_EQ(places()[3], "refrigerator");
}

TEST_F(ShelfEvening, AWeighedYieldIsAVolumeByWhatALitreOfItWeighs) {
  auto& text = evening.start.formula_text;
  text.insert(text.find("longest_boil"), "litre_weighs = \"1.3 kg\"\n");
  filled();
  evening.jars({"yield", 0, 0, {}, "", "", 819'000'000});
  EXPECT_THAT(last(), HasSubstr("That should give 2 jars and one part-filled"));
  EXPECT_TRUE(saw("the pan gave 819 g, 630 mL"));
}

TEST_F(ShelfEvening, AWeighedYieldIsRefusedWhereNobodySaidWhatALitreWeighs) {
  filled();
  const auto refused =
      evening.engine.refuses(proto::JarWord{"yield", 0, 0, {}, "", "", 819'000'000});
  ASSERT_TRUE(refused.has_value());
  EXPECT_THAT(refused->todo, HasSubstr("measure the volume"));
}

TEST_F(ShelfEvening, ACountThatThePanCannotHaveGivenIsAskedAbout) {
  filled();
  evening.jars({"filled", 9, 0, {}, "", ""});
  EXPECT_EQ(phase(), "fill");
  EXPECT_THAT(last(), HasSubstr("9 jars is not what this pan should give, about 4"));
  evening.wait(1);
  evening.jars({"filled", 9, 0, {}, "", ""});
  EXPECT_EQ(evening.all<proto::Filled>()[0].jars, 9);
}

TEST_F(ShelfEvening, ThePartFilledJarAndThoseWithoutANewLidGoToTheRefrigerator) {
  evening.start.facts.lids = 3;
  filled();
  evening.jars({"filled", 4, 1, {}, "", ""});
  EXPECT_EQ(places(), (Where{{4, "refrigerator"}, {5, "refrigerator"}}));
}

TEST_F(ShelfEvening, FillingThatTakesLongIsSaid) {
  filled();
  evening.hours(12.0 / 60);
  EXPECT_EQ(evening.cues("jars_cool"), 1);
  EXPECT_TRUE(saw("jars out of hot water for long"));
}

TEST_F(ShelfEvening, SealsAreAskedAboutAfterTwelveHoursAndInWakingHoursJarByJar) {
  out_of_the_bath();
  evening.hours(11.9);
  EXPECT_EQ(phase(), "cool");
  evening.hours(2);
  EXPECT_EQ(phase(), "seal check");
  evening.wait(2);
  evening.say("ok");
  for (int jar = 1; jar <= 4; ++jar) {
    EXPECT_EQ(evening.all<proto::Cue>().back().ingredient, "jar " + std::to_string(jar));
    evening.wait(2);
    if (jar == 3) {
      evening.hours(61.0 / 3600);  // silence
    } else {
      evening.say("ok");
    }
  }
  EXPECT_EQ(places(), (Where{{1, "shelf"}, {2, "shelf"}, {3, "not sealed"}, {4, "shelf"}}));
  evening.say("ok");
  EXPECT_EQ(places()[3], "refrigerator");
  EXPECT_EQ(evening.state(), "complete");
}

TEST_F(ShelfEvening, NobodyIsAskedInTheNight) {
  evening.start.local_less_ms = 13 * 3'600'000;  // the bath ends in the afternoon
  out_of_the_bath();
  evening.hours(12.1);
  EXPECT_EQ(phase(), "seal check");
  EXPECT_THAT(last(), HasSubstr("Let it cool.")) << "nothing is said at five in the morning";
  evening.hours(6);
  EXPECT_THAT(last(), HasSubstr("Stand by the jars and say ok"));
}

TEST_F(ShelfEvening, AJarThatDidNotSealGoesThroughTheWholeBathAgain) {
  at_the_seals();
  evening.jars({"not sealed", 0, 0, {2}, "", ""});
  EXPECT_EQ(places()[2], "not sealed");
  evening.jars({"process again", 0, 0, {2}, "", ""});
  ASSERT_EQ(phase(), "water bath");
  evening.say("ok");
  EXPECT_EQ(evening.engine.status().left_ms.value_or(0), 600'000);
  evening.hours(0.3 + 21);
  ASSERT_EQ(phase(), "seal check");
  evening.wait(2);
  evening.jars({"sealed", 0, 0, {}, "", ""});
  EXPECT_EQ(places()[2], "shelf");
  EXPECT_EQ(evening.state(), "complete");
}

TEST_F(ShelfEvening, SealsToldAfterMoreThanADayLeaveNothingToProcessAgain) {
  out_of_the_bath();
  evening.hours(30);
  evening.jars({"not sealed", 1, 0, {}, "", ""});
  EXPECT_EQ(places()[4], "not sealed");
  EXPECT_THAT(evening.all<proto::JarsAre>().back().todo,
              HasSubstr("unless it has stood in the refrigerator"));
  EXPECT_EQ(evening.state(), "complete");
}

TEST_F(ShelfEvening, WhatNobodyDecidesOnByTheEndOfTheDayIsNotKept) {
  at_the_seals();
  evening.jars({"not sealed", 0, 0, {1}, "", ""});
  evening.hours(12);
  EXPECT_THAT(last(), Not(HasSubstr("Say ok")));
  EXPECT_EQ(places()[1], "not sealed");
  EXPECT_EQ(evening.state(), "complete");
}

TEST_F(ShelfEvening, AfterTheBatchAJarIsOpenedGivenOrDiscardedAndNeverComesBack) {
  at_the_seals();
  evening.jars({"sealed", 0, 0, {}, "", ""});
  evening.jars({"now", 0, 0, {1}, "discarded", "mould"});
  EXPECT_TRUE(evening.engine.refuses(proto::JarWord{"now", 0, 0, {1}, "opened", ""}).has_value());
  evening.jars({"now", 0, 0, {2}, "opened", ""});
  EXPECT_TRUE(evening.engine.refuses(proto::JarWord{"now", 0, 0, {2}, "shelf", ""}).has_value());
  EXPECT_TRUE(evening.engine.refuses(proto::JarWord{"now", 0, 0, {7}, "opened", ""}).has_value());
}

// Acid leaves with the steam.
TEST_F(ShelfEvening, ABatchThatBoiledLongerThanItsFormulaAllowsIsNotForTheShelf) {
  std::string& text = evening.start.formula_text;
  text.replace(text.find("time = \"1 min\""), 14, "time = \"25 min\"");
  begin();
  weighed();
  evening.hours(0.5);
  evening.say("ok");
  evening.hours(0.5);
  ASSERT_EQ(phase(), "fill");
  EXPECT_GT(evening.cues("too_long"), 1);  // nobody has done anything about it
  EXPECT_TRUE(evening.all<proto::Deviation>().back().critical);
  evening.say("ok");
  evening.say("ok");
  evening.hours(15);
  evening.wait(2);
  evening.jars({"sealed", 0, 0, {}, "", ""});
  EXPECT_EQ(places()[1], "refrigerator");
}

TEST_F(ShelfEvening, FoodThatStoodForADayIsNotForTheShelfAndTheCookIsToldToDiscardIt) {
  filled();
  evening.now_ms += 24 * 3'600'000;
  evening.give(proto::Restart{"other", 24 * 3'600'000, false, 0, 0});
  EXPECT_EQ(evening.cues("advice"), 1);
  EXPECT_TRUE(evening.all<proto::Deviation>().back().critical);
  evening.wait(2);
  evening.say("ok");
  evening.say("ok");
  evening.hours(30);
  evening.wait(2);
  evening.jars({"sealed", 0, 0, {}, "", ""});
  EXPECT_EQ(places()[1], "discarded");
}

TEST_F(ShelfEvening, AnHourWithoutTheDaemonTakesNothingAway) {
  filled();
  evening.now_ms += 3'600'000;
  evening.give(proto::Restart{"other", 3'600'000, true, 0, 0});
  EXPECT_EQ(evening.cues("advice"), 0);
}

TEST_F(ShelfEvening, EveryHoldSaysWhatToDoWithThePanAndHowLongThatIsGoodFor) {
  begin();
  weighed();
  evening.hours(0.5);
  ASSERT_EQ(phase(), "heat");
  evening.say("hold", "the telephone");
  EXPECT_THAT(last(), HasSubstr("Pan off the heat, stir now and then. Good for 10 min."));
  EXPECT_EQ(evening.all<proto::Held>().back().good_for_s, 600);
}

TEST_F(ShelfEvening, TheTwoLinesOfTheEveningAreForeseenWithTheirSlack) {
  begin();
  weighed();
  const auto status = evening.engine.status();
  std::vector<std::string> lines;
  for (const auto& one : status.schedule)
    lines.push_back(one.line + " " + one.text + " " + one.state);
  EXPECT_THAT(lines, ElementsAre("pan prepare done", "pan weigh done", "pan wait now",
                                 "pan to the boil next", "pan boil next", "pan fill next",
                                 "canner bath next", "canner to the boil now"));
  ASSERT_TRUE(status.slack_ms.has_value());
  EXPECT_NEAR(static_cast<double>(*status.slack_ms), 0, 61'000);
}

TEST_F(ShelfEvening, FilledJarsThatWaitForHoursForTheirBathAreDiscardedTooThoughWatched) {
  filled();
  evening.say("ok");
  ASSERT_EQ(phase(), "water bath");
  evening.hours(1.9);
  EXPECT_EQ(evening.cues("advice"), 0);
  evening.hours(0.2);
  EXPECT_EQ(evening.cues("advice"), 1);
  EXPECT_TRUE(evening.all<proto::Deviation>().back().critical);
}

TEST_F(ShelfEvening, ASleepInTheFiveMinutesAfterTheBathSpoilsNothing) {
  filled();
  evening.say("ok");
  evening.say("ok");
  evening.hours(11.0 / 60);
  ASSERT_TRUE(saw("water bath done"));
  evening.now_ms += 7 * 3'600'000;
  evening.give(proto::Suspend{7 * 3'600'000});
  EXPECT_EQ(evening.cues("advice"), 0);
  // The day began when the five minutes were over, not when somebody looked.
  evening.hours(0.01 + 12);
  ASSERT_EQ(phase(), "seal check");
  evening.wait(2);
  evening.jars({"not sealed", 0, 0, {1}, "", ""});
  evening.hours(5.2);
  EXPECT_EQ(evening.state(), "complete") << "24 hours after the bath, not after the sleep";
}

TEST_F(ShelfEvening, AJarThatIsGoneIsNotAskedAboutAndDoesNotComeBack) {
  at_the_seals();
  evening.jars({"now", 0, 0, {2}, "discarded", "cracked"});
  evening.jars({"sealed", 0, 0, {}, "", ""});
  EXPECT_EQ(places(), (Where{{1, "shelf"}, {2, "discarded"}, {3, "shelf"}, {4, "shelf"}}));
}

TEST_F(ShelfEvening, AJarThatIsTakenAwayWhileItIsAskedAboutIsPassedOver) {
  at_the_seals();
  evening.say("ok");
  evening.wait(2);
  evening.say("ok");
  ASSERT_EQ(evening.all<proto::Cue>().back().ingredient, "jar 2");
  evening.jars({"now", 0, 0, {1, 2}, "discarded", ""});
  EXPECT_EQ(evening.all<proto::Cue>().back().ingredient, "jar 3");
}

TEST_F(ShelfEvening, TheSealsAreAskedAboutOnceMoreBeforeTheDayIsOver) {
  at_the_seals();
  const int before = evening.cues("step");
  evening.hours(10);
  EXPECT_GT(evening.cues("step"), before);
  EXPECT_EQ(phase(), "seal check");
}

TEST_F(ShelfEvening, ATapThatComesTooSoonAnswersForNoJar) {
  at_the_seals();
  evening.say("ok");
  evening.wait(1);
  EXPECT_THAT(evening.refusal("ok"), HasSubstr("so quickly"));
}

TEST_F(ShelfEvening, AJarGoesThroughTheBathAgainOnlyOnceAndWithinTheDay) {
  at_the_seals();
  evening.jars({"not sealed", 0, 0, {2}, "", ""});
  evening.jars({"process again", 0, 0, {2}, "", ""});
  ASSERT_EQ(phase(), "water bath");
  evening.hours(24);  // nobody does it
  EXPECT_EQ(places()[2], "not sealed");
  EXPECT_EQ(evening.state(), "complete");
}

TEST_F(ShelfEvening, MoreJarsThanTheBathHoldsGoToTheRefrigerator) {
  evening.start.facts.canner_jars = 4;
  filled();
  evening.jars({"filled", 5, 0, {}, "", ""});
  EXPECT_EQ(places(), (Where{{5, "refrigerator"}}));
}

TEST_F(ShelfEvening, WhileTheCannerIsOnAHoldSpeaksOfIt) {
  begin();
  evening.say("ok");
  evening.say("hold", "the door");
  EXPECT_THAT(last(), HasSubstr("Turn the canner low"));
}

TEST_F(ShelfEvening, ATimeThatRunsIsNotSentOffTheHeatByAHold) {
  begin();
  weighed();
  evening.hours(0.5);
  evening.say("ok");
  ASSERT_EQ(phase(), "dwell");
  evening.say("hold", "the door");
  EXPECT_THAT(last(), HasSubstr("Keep it boiling: its time runs on."));
}

TEST_F(ShelfEvening, AnOkToWhatInsistsIsNoOkToTheStep) {
  std::string& text = evening.start.formula_text;
  text.replace(text.find("longest_boil = \"20 min\""), 23, "longest_boil = \"1 min\" ");
  text.replace(text.find("until = \"boil\""), 14, "until = \"eye\" ");
  text.erase(text.find("while = \"boiling\"\n"), 18);
  text.erase(text.find("when_lost = \"begin again\"\n"), 26);
  begin();
  weighed();
  evening.hours(0.5);
  ASSERT_EQ(phase(), "heat");
  evening.hours(0.05);
  ASSERT_GE(evening.cues("too_long"), 1) << "what boils down by the eye counts from its beginning";
  evening.say("ok");
  EXPECT_EQ(phase(), "heat");
  evening.say("ok");
  EXPECT_EQ(phase(), "dwell");
}

TEST_F(ShelfEvening, AnAmendedLeadMovesNoStepOnceTheJarsAreFull) {
  std::string& text = evening.start.formula_text;
  text.replace(text.find("band = \"10 %\""), 13, "band = \"10 %\"\nlead = true");
  text.replace(text.find("longest_boil"), 0, "largest_multiple = 3\n");
  evening.start.facts.canner_jars = 4;
  begin();
  evening.say("ok");
  evening.say("ok");
  evening.put(400);
  evening.pour(1.5 * evening.aim_g("cider vinegar"));
  evening.say("ok");
  evening.hours(0.5);
  ASSERT_EQ(phase(), "heat");
  evening.say("ok");
  evening.hours(1.5 / 60);
  evening.say("ok");
  for (int load = 1; load <= 2; ++load) {
    ASSERT_EQ(phase(), "water bath") << load;
    evening.say("ok");
    evening.hours(16.0 / 60);
  }
  evening.hours(14);
  ASSERT_EQ(phase(), "seal check");
  proto::Amendment amendment;
  amendment.what = "weighed";
  amendment.of = "cider vinegar";
  amendment.mass_ug = 478'000'000;
  evening.give(amendment);
  EXPECT_EQ(phase(), "seal check");
  evening.wait(2);
  evening.jars({"sealed", 0, 0, {}, "", ""});
  EXPECT_EQ(evening.state(), "complete");
}

TEST_F(ShelfEvening, WhoIsUpAfterTwelveHoursMayTellTheSealsBeforeBeingAsked) {
  evening.start.local_less_ms = 13 * 3'600'000;
  out_of_the_bath();
  evening.hours(12.1);
  ASSERT_EQ(phase(), "seal check");
  evening.wait(2);
  evening.jars({"sealed", 0, 0, {}, "", ""});
  EXPECT_EQ(places()[1], "shelf");
}

TEST_F(ShelfEvening, WhatNoScaleHasWeighedIsSealedAndStillNotForTheShelf) {
  std::string& text = evening.start.formula_text;
  text.insert(text.find("[[ingredient]]"),
              "[[ingredient]]\nname = \"onion\"\namount = \"1 cup\"\nform = \"chopped\"\n"
              "counts_as = \"low-acid food\"\nband = \"10 %\"\n\n"
              "[[ratio]]\nof = \"acid\"\nper = \"low-acid food\"\nleast = \"1.2\"\n\n");
  evening.start.devices.clear();  // measured by the cup
  evening.begin();
  evening.say("ok");
  evening.say("ok");
  for (int i = 0; i < 2 && phase() == "weigh"; ++i) evening.say("ok");
  evening.hours(0.5);
  ASSERT_EQ(phase(), "heat") << last();
  EXPECT_THAT(evening.engine.status().may_be_called, HasSubstr("Not for the shelf"));
  evening.say("ok");
  evening.hours(1.5 / 60);
  evening.say("ok");
  evening.say("ok");
  evening.hours(0.3 + 14);
  evening.wait(2);
  evening.jars({"sealed", 0, 0, {}, "", ""});
  EXPECT_EQ(places()[1], "refrigerator");
  EXPECT_THAT(last(), HasSubstr("not for the shelf"));
}

TEST_F(ShelfEvening, TheClockOfAStatusRunsBetweenInputs) {
  filled();
  evening.say("ok");
  evening.say("ok");
  ASSERT_EQ(evening.engine.status().left_ms.value_or(0), 600'000);
  EXPECT_EQ(evening.engine.status_at(evening.now_ms + 90'000).left_ms.value_or(0), 510'000);
  EXPECT_EQ(evening.engine.status().left_ms.value_or(0), 600'000) << "nothing was decided by it";
}

}  // namespace
}  // namespace maslin::batch
