// When the cook is told to stop. Worked rows: steady flow Q, the indication lags by Q times the
// lag, the cook reacts after R and closes over c, so the pour ends at the indication of the cue + Q
// (lag + R + c/2).
#include "daemon/weighing/stop.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace maslin::weighing {
namespace {

struct Pour {
  double target_g, flow_g_s, lag_s, reaction_s, closing_s, delay_s, indication_at_cue_g;
};
// Worked by hand from the rule above.
constexpr Pour pours[] = {{120, 20, 0.5, 0.4, 0.3, 1.05, 99},
                          {120, 5, 0.3, 0.35, 0.2, 0.75, 116.25},
                          {250, 40, 0.8, 0.5, 0.3, 1.45, 192},
                          {500, 20, 0.3, 0.4, 0.25, 0.825, 483.5}};

std::int64_t ug(double grams) { return std::llround(grams * 1e6); }

TEST(StopCue, ComesAtTheIndicationFromWhichThePourEndsOnItsAim) {
  for (const auto& pour : pours) {
    StopPredictor predictor(pour.delay_s);
    predictor.begin(ug(pour.target_g));
    double at_g = 0;
    StopCue cue = StopCue::none;
    while (cue != StopCue::stop && at_g < pour.target_g) {
      at_g += 0.01;
      cue = predictor.feed(ug(at_g), pour.flow_g_s * 1e6);
    }
    EXPECT_NEAR(at_g, pour.indication_at_cue_g, 0.02) << pour.target_g << " g at " << pour.flow_g_s;
  }
}

TEST(StopCue, SaysSlowFirstAndEachOnlyOnce) {
  StopPredictor predictor(1.0);
  predictor.begin(ug(200));
  int slow = 0;
  int stop = 0;
  for (double at_g = 0; at_g < 220; at_g += 1) {
    const auto cue = predictor.feed(ug(at_g), 20e6);
    if (cue == StopCue::slow) {
      ++slow;
      EXPECT_EQ(stop, 0);
    }
    if (cue == StopCue::stop) ++stop;
  }
  EXPECT_EQ(slow, 1);
  EXPECT_EQ(stop, 1);
}

TEST(StopCue, LearnsTheDelayOfThisCookFromHowPoursEnd) {
  StopPredictor predictor(1.0);
  const double true_delay_s = 1.4;
  for (int i = 0; i < 8; ++i) {
    predictor.begin(ug(250));
    double at_g = 0;
    while (predictor.feed(ug(at_g), 20e6) != StopCue::stop) at_g += 0.5;
    predictor.ended(ug(at_g + 20 * true_delay_s), 1'000'000);
  }
  EXPECT_NEAR(predictor.delay_s(), true_delay_s, 0.05);
}

TEST(StopCue, IsNotTaughtByAPourThatWentOnLongAfterTheCue) {
  StopPredictor predictor(1.0);
  predictor.begin(ug(250));
  double at_g = 0;
  while (predictor.feed(ug(at_g), 20e6) != StopCue::stop) at_g += 0.5;
  predictor.ended(ug(600), 1'000'000);
  EXPECT_DOUBLE_EQ(predictor.delay_s(), 1.0);
}

TEST(StopCue, IsSilentForATrickle) {
  StopPredictor predictor(1.0);
  predictor.begin(ug(20));
  for (double at_g = 0; at_g < 19; at_g += 0.1)
    EXPECT_EQ(predictor.feed(ug(at_g), 0.5e6), StopCue::none);
}

TEST(StopCue, StopsATrickleWhereItEndsOnItsAimAndTheFinestWhenItIsThere) {
  for (const double flow_g_s : {0.1, 0.5, 0.9}) {
    StopPredictor predictor(1.0);
    predictor.begin(ug(20));
    double at_g = 18;
    while (at_g < 22 && predictor.feed(ug(at_g), flow_g_s * 1e6) != StopCue::stop) at_g += 0.01;
    EXPECT_NEAR(at_g, flow_g_s < 0.3 ? 20 : 20 - flow_g_s, 0.02) << flow_g_s;
    predictor.ended(ug(21), 100'000);
    EXPECT_DOUBLE_EQ(predictor.delay_s(), 1.0);  // its end teaches nothing
  }
}

TEST(StopCue, IsSilentForWhatRestsOrIsTakenOut) {
  StopPredictor predictor(1.0);
  predictor.begin(ug(20));
  EXPECT_EQ(predictor.feed(ug(20), 0), StopCue::none);
  EXPECT_EQ(predictor.feed(ug(21), -0.5e6), StopCue::none);
}

}  // namespace
}  // namespace maslin::weighing
