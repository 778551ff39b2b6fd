// What `maslin follow` shows.
#include "client/view.hpp"

#include <gmock/gmock.h>

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
  std::string screen() const { return view.screen(80, 24); }
  View view;
};

TEST_F(Follow, ShowsTheAmountLargeWithItsBandAndTheNextStep) {
  view.take(proto::Progress{"sugar", 187'000'000, false, 0});
  EXPECT_THAT(screen(), HasSubstr("sugar, aim 200 g"));
  EXPECT_THAT(screen(), HasSubstr("████"));
  EXPECT_THAT(screen(), HasSubstr("band 190 to 210 g, moving"));
  EXPECT_THAT(screen(), HasSubstr("Next: Heat to the boil."));
  EXPECT_THAT(screen(), HasSubstr("200 g sugar (1 cup)."));
}

TEST_F(Follow, ShowsWhatIsSaidLastAndMarksWhatIsUrgent) {
  view.take(entry(proto::Cue{"stop", 4, "Stop.", "sugar", 0}));
  EXPECT_THAT(screen(), HasSubstr("NOW: Stop."));
  EXPECT_TRUE(sounds(entry(proto::Cue{"stop", 4, "Stop.", "", 0})));
  EXPECT_FALSE(sounds(entry(proto::Cue{"good", 2, "Good.", "", 0})));
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

TEST_F(Follow, ShowsThePanLargeWhenNothingIsWeighed) {
  proto::BatchStatus status;
  status.state = "running";
  status.phase = "heat";
  status.pan_c = 96.4;
  view.take(status);
  EXPECT_THAT(screen(), HasSubstr("pan, °C"));
  EXPECT_THAT(screen(), HasSubstr("████"));
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
      const std::string text = view.screen(columns, rows);
      EXPECT_LE(std::count(text.begin(), text.end(), '\n'), static_cast<std::ptrdiff_t>(rows));
      EXPECT_THAT(text, Not(HasSubstr("\x1b")));
      std::size_t from = 0;
      for (std::size_t end; (end = text.find('\n', from)) != std::string::npos; from = end + 1) {
        EXPECT_LE(width(text.substr(from, end - from)), columns);
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
}

}  // namespace
}  // namespace maslin::client
