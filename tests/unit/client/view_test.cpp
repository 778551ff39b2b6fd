// What `maslin follow` shows.
#include "client/view.hpp"

#include <gmock/gmock.h>

#include "client/show.hpp"
#include "client/text.hpp"

namespace maslin::client {
namespace {

using testing::HasSubstr;
using testing::Not;

template <class T>
proto::Entry entry(T body, std::int64_t at_ms = 1000) {
  proto::Entry made;
  made.stamp.at_ms = at_ms;
  made.body = proto::Outcome(std::move(body));
  return made;
}

class Follow : public testing::Test {
 protected:
  void SetUp() override {
    proto::BatchStatus status;
    status.batch = "2026-11-25-1";
    status.formula = "Lantern relish";
    status.state = "running";
    status.phase = "weigh";
    status.ingredient = "sugar";
    status.aim_g = 200;
    status.lower_g = 190;
    status.upper_g = 210;
    status.next = "Heat to the boil.";
    status.last_cue = "200 g sugar (1 cup).";
    view.take(status);
  }
  std::string screen(std::size_t columns = 80, std::size_t rows = 24) const {
    std::string text;
    for (const auto& line : view.screen(columns, rows)) text += line.text + "\n";
    return text;
  }
  std::vector<std::string> loud() const {
    std::vector<std::string> lines;
    for (const auto& line : view.screen(80, 24)) {
      if (line.loud) lines.push_back(line.text);
    }
    return lines;
  }
  View view;
};

TEST_F(Follow, ShowsTheAmountLargeWithItsBandAndTheNextStep) {
  view.take(proto::Progress{"sugar", 187'000'000, false, 0});
  EXPECT_THAT(screen(), HasSubstr("sugar, aim 200 g"));
  EXPECT_THAT(screen(), HasSubstr("████"));
  EXPECT_THAT(screen(), HasSubstr("band 190 to 210 g, under, moving"));
  EXPECT_THAT(screen(), HasSubstr("Next: Heat to the boil."));
  EXPECT_THAT(screen(), HasSubstr("200 g sugar (1 cup)."));
}

TEST_F(Follow, ShowsWhatIsLeftOfWhatDriesAndWhenItIsReady) {
  view.take(entry(proto::PhaseBegan{2, "dry", "", "Into the drier."}));
  proto::WeighIn one;
  one.net_ug = 412'000'000;
  one.begin_ug = 1'000'000'000;
  one.target_ug = 180'500'000;
  view.take(entry(one));
  EXPECT_THAT(screen(), HasSubstr("drying, dry at 180.5 g"));
  EXPECT_THAT(screen(), HasSubstr("59 % lost"));
  EXPECT_THAT(screen(), Not(HasSubstr("ready in")));
  one.left_ms = 5 * 3'600'000;
  one.left_from_ms = 4 * 3'600'000;
  one.left_to_ms = 9 * 3'600'000;
  view.take(entry(one));
  EXPECT_THAT(screen(), HasSubstr("59 % lost, ready in 4 h to 9 h"));
}

TEST_F(Follow, ShowsWhatIsSaidLastAndMarksWhatIsUrgent) {
  view.take(entry(proto::Cue{"stop", 4, "Stop.", "sugar", 0}));
  EXPECT_THAT(screen(), HasSubstr("0:00:01  NOW: Stop."));
  EXPECT_THAT(loud(), testing::ElementsAre(HasSubstr("NOW: Stop.")));
  EXPECT_TRUE(sounds(entry(proto::Cue{"stop", 4, "Stop.", "", 0})));
  EXPECT_FALSE(sounds(entry(proto::Cue{"good", 2, "Good.", "", 0})));
}

TEST_F(Follow, ALesserCueStandsBelowAFreshUrgentOneAndDoesNotHideIt) {
  view.take(entry(proto::Cue{"boil_asked", 3, "If it boils hard, say ok.", "", 0}));
  view.take(entry(proto::Cue{"caution", 2, "Lid away from your face.", "", 0}));
  EXPECT_THAT(screen(), HasSubstr("If it boils hard, say ok.\nLid away from your face.\n"));
  view.take(entry(proto::PhaseBegan{1, "fill", "", "Fill."}));
  view.take(entry(proto::Cue{"step", 2, "Fill.", "", 0}));
  EXPECT_THAT(screen(), Not(HasSubstr("boils hard")));
}

TEST_F(Follow, WhatFollowsAStopTakesItsPlace) {
  view.take(entry(proto::Cue{"stop", 4, "Stop.", "sugar", 0}));
  view.take(entry(proto::Cue{"more", 2, "20 g more sugar.", "sugar", 0}));
  EXPECT_THAT(screen(), HasSubstr("20 g more sugar."));
  EXPECT_THAT(screen(), Not(HasSubstr("NOW")));
}

TEST_F(Follow, ShowsAHoldUntilItIsReleased) {
  view.take(
      entry(proto::Held{"device lost", "The scale is away.", "It ends by itself.", "Stir.", 0}));
  EXPECT_THAT(screen(), HasSubstr("HELD: The scale is away."));
  EXPECT_THAT(screen(), HasSubstr("The pan now: Stir."));
  view.take(entry(proto::Released{"device lost", "the device"}));
  EXPECT_THAT(screen(), Not(HasSubstr("HELD")));
}

TEST_F(Follow, ForgetsTheOldAmountWhenTheNextIngredientBegins) {
  view.take(proto::Progress{"sugar", 187'000'000, true, 0});
  view.take(entry(proto::PhaseBegan{1, "weigh", "salt", "Weigh."}));
  EXPECT_THAT(screen(), HasSubstr("salt"));
  EXPECT_THAT(screen(), Not(HasSubstr("band")));
}

TEST_F(Follow, NeverPutsOneIngredientBesideTheBandOfAnother) {
  view.take(proto::Progress{"salt", 0, true, 0});  // before it is on disk that salt is next
  EXPECT_THAT(screen(), HasSubstr("salt\n"));
  EXPECT_THAT(screen(), Not(HasSubstr("band 190")));
}

TEST_F(Follow, ShowsThePanLargeWhenNothingIsWeighed) {
  proto::BatchStatus status;
  status.state = "running";
  status.phase = "heat";
  status.pan_c = 96.4;
  view.take(status);
  EXPECT_THAT(screen(), HasSubstr("pan, °C"));
  EXPECT_THAT(screen(), HasSubstr("████"));
}

TEST_F(Follow, CountsATimeDownAndKeepsThePanBesideIt) {
  proto::BatchStatus status;
  status.state = "running";
  status.phase = "dwell";
  status.left_ms = 329'400;
  status.pan_c = 100.1;
  view.take(status);
  // Too narrow for large figures: the same in words.
  EXPECT_THAT(screen(20, 24), HasSubstr("  5:30\n  pan 100.1 °C\n"));
  EXPECT_THAT(screen(), HasSubstr("██████      ██████"));
  view.take(entry(proto::PhaseBegan{3, "fill", "", "Fill the jars."}));
  EXPECT_THAT(screen(), Not(HasSubstr("to go")));
}

TEST_F(Follow, GivesUpTheLargeFiguresBeforeTheWords) {
  view.take(proto::Progress{"sugar", 187'000'000, false, 0});
  const std::string small = screen(80, 10);
  EXPECT_THAT(small, Not(HasSubstr("████")));
  EXPECT_THAT(small, HasSubstr("  187\n"));
  EXPECT_THAT(small, HasSubstr("200 g sugar (1 cup)."));
  EXPECT_THAT(small, HasSubstr("Enter: ok"));
}

TEST_F(Follow, SaysWhichKeyTakesAnOfferAndWhichAsksForAnother) {
  proto::BatchStatus status;
  status.state = "running";
  status.phase = "weigh";
  status.ingredient = "sugar";
  status.offer = "make the batch 14 % larger";
  view.take(status);
  EXPECT_THAT(screen(), HasSubstr("Enter: take what is offered   n: another way"));
  EXPECT_THAT(screen(40, 24), HasSubstr("Enter: take it  n: another way"));
  EXPECT_THAT(show(status), HasSubstr("Offered: make the batch 14 % larger; maslin ok takes it"));
  view.take(entry(proto::PhaseBegan{1, "weigh", "salt", ""}));
  EXPECT_THAT(screen(), HasSubstr("Enter: ok"));
}

TEST_F(Follow, SaysOverInAWord) {
  view.take(proto::Progress{"sugar", 212'100'000, true, 0});
  EXPECT_THAT(screen(), HasSubstr("band 190 to 210 g, over by 2.1 g"));
  view.take(proto::Progress{"sugar", 205'000'000, true, 0});
  EXPECT_THAT(screen(), HasSubstr("band 190 to 210 g, within\n"));
}

TEST_F(Follow, ShowsTheDecimalsThatTheScaleShows) {
  view.take(proto::Progress{"sugar", 87'000'000, true, 0});
  EXPECT_THAT(screen(80, 10), HasSubstr("  87\n"));
  view.take(proto::Progress{"sugar", 87'300'000, true, 0});
  EXPECT_THAT(screen(80, 10), HasSubstr("  87.3\n"));
  view.take(proto::Progress{"sugar", 88'000'000, true, 0});
  EXPECT_THAT(screen(80, 10), HasSubstr("  88.0\n"));
}

TEST_F(Follow, NeverInvitesToWeighWhatNoScaleHereCanJudge) {
  proto::BatchStatus status;
  status.state = "running";
  status.ingredient = "table salt";
  status.aim_g = 19.29;
  status.lower_g = 17.4;
  status.upper_g = 21.2;
  status.net_g = 0;
  status.by_measure = "1 tbsp and 1/4 tsp";
  view.take(status);
  EXPECT_THAT(loud(), testing::ElementsAre("  1 tbsp and 1/4 tsp"));
  EXPECT_THAT(screen(), HasSubstr("table salt, by measure"));
  EXPECT_THAT(screen(), Not(HasSubstr("aim")));
  EXPECT_THAT(screen(), Not(HasSubstr("band")));
  EXPECT_THAT(screen(), Not(HasSubstr("████")));
}

TEST_F(Follow, KeepsTheCautionOfAStepWhileItRunsAndWhatTheBatchMayBeCalled) {
  proto::BatchStatus status;
  status.state = "running";
  status.phase = "weigh";
  status.may_be_called = "Refrigerator batch, not for the shelf.";
  status.caution = "Put nothing hot on the scale.";
  view.take(status);
  view.take(entry(proto::Cue{"caution", 1, "Put nothing hot on the scale.", "", 0}));
  view.take(entry(proto::Cue{"weigh", 2, "200 g sugar.", "sugar", 0}));
  EXPECT_THAT(screen(), HasSubstr("Caution: Put nothing hot on the scale."));
  EXPECT_THAT(screen(), HasSubstr("not for the shelf"));
  EXPECT_THAT(screen(40, 6), HasSubstr("Caution: Put nothing hot"));
  view.take(entry(proto::PhaseBegan{2, "heat", "", "Heat."}));
  EXPECT_THAT(screen(), Not(HasSubstr("Caution")));
}

TEST_F(Follow, OnASmallTerminalCutsTheNamesBeforeTheState) {
  const std::string small = screen(30, 10);
  EXPECT_THAT(small, HasSubstr("running\n"));
  EXPECT_THAT(small, HasSubstr("…"));
  EXPECT_THAT(screen(40, 10), HasSubstr("q: leave\n"));
}

TEST_F(Follow, EndsWithTheBatch) {
  EXPECT_FALSE(view.ended());
  view.take(entry(proto::BatchState{"complete", ""}));
  EXPECT_TRUE(view.ended());
  EXPECT_THAT(screen(), HasSubstr("maslin report 2026-11-25-1"));
}

TEST_F(Follow, NeverDrawsBeyondTheTerminalNorAnythingThatControlsIt) {
  view.take(entry(proto::Cue{"step", 2, std::string(500, 'x') + "\x1b[2J", "", 0}));
  for (const std::size_t columns : {1U, 7U, 20U, 80U, 200U}) {
    for (const std::size_t rows : {1U, 5U, 24U}) {
      const auto lines = view.screen(columns, rows);
      EXPECT_LE(lines.size(), rows);
      for (const auto& line : lines) {
        EXPECT_LE(width(line.text), columns);
        EXPECT_THAT(line.text, Not(HasSubstr("\x1b")));
        EXPECT_THAT(line.text, Not(HasSubstr("\n")));
      }
    }
  }
}

TEST(EventLines, SayWhatMattersWithTheTimeSinceTheStart) {
  EXPECT_EQ(event_line(entry(proto::Cue{"more", 2, "22 g more sugar.", "sugar", 0}, 193'000), 1000),
            "0:03:12  22 g more sugar.");
  EXPECT_EQ(event_line(entry(proto::Cue{"stop", 4, "Stop.", "", 0}), 0), "0:00:01  NOW Stop.");
  proto::Verdict verdict;
  verdict.ingredient = "sugar";
  verdict.verdict = "over";
  verdict.net_ug = 222'000'000;
  verdict.lower_ug = 190'000'000;
  verdict.upper_ug = 210'000'000;
  EXPECT_EQ(event_line(entry(verdict), 0), "0:00:01  sugar over: 222 g, band 190 to 210 g");
  EXPECT_EQ(event_line(entry(proto::Condition{"boil reached", "measured", 374'650}), 0),
            "0:00:01  boil reached, measured, 101.5 °C");
  EXPECT_EQ(event_line(entry(proto::PhaseBegan{0, "weigh", "sugar", ""}), 0), std::nullopt);
  EXPECT_EQ(event_line(entry(proto::Noted{"a\x1b]0;b"}), 0), "0:00:01  note: a?]0;b");
}

TEST(BandBar, FillsUpToTheAmountAndShowsTheBand) {
  EXPECT_EQ(width(band_bar(100, 190, 210, 40)), 40U);
  EXPECT_THAT(band_bar(0, 190, 210, 40), Not(HasSubstr("█")));
  EXPECT_THAT(band_bar(209, 190, 210, 40), HasSubstr("█"));
  EXPECT_EQ(band_bar(5000, 190, 210, 40).find("·"), std::string::npos) << "full to the end";
  EXPECT_EQ(width(band_bar(-50, 190, 210, 40)), 40U);
  EXPECT_EQ(band_bar(1, 2, 3, 4), "");
  // 171 g with a band up to 168.9 g must not end where the band ends.
  EXPECT_THAT(band_bar(171, 152.9, 168.9, 60), HasSubstr("█!"));
  EXPECT_THAT(band_bar(168.9, 152.9, 168.9, 60), Not(HasSubstr("!")));
  EXPECT_THAT(band_bar(152.8, 152.9, 168.9, 60), Not(HasSubstr("█")));
  EXPECT_EQ(band_word(171, 152.9, 168.9), "over by 2.1 g");
  EXPECT_EQ(band_word(152.9, 152.9, 168.9), "within");
  EXPECT_EQ(band_word(152.8, 152.9, 168.9), "under");
}

}  // namespace
}  // namespace maslin::client
