// A thermometer over what its pot can be: one wild reading is no unit, and what comes back is
// believed.
#include "daemon/batch/doubts.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace maslin::batch {
namespace {

class HotPan : public testing::Test {
 protected:
  void SetUp() override {
    desk.plan.boiling_point_mk = mk(99.6);
    desk.pan_on_heat = true;
  }
  static std::int64_t mk(double celsius) { return 273'150 + std::llround(celsius * 1000); }
  // Once a second; what was heard of the last one.
  std::optional<std::int64_t> shows(double celsius, int seconds) {
    std::optional<std::int64_t> heard;
    for (int i = 0; i < seconds; ++i) {
      desk.now_ms += 1000;
      heard = doubts.heard(desk, pan, mk(celsius));
    }
    return heard;
  }
  Desk desk;
  Thermometer pan;
  Doubts doubts;
};

TEST_F(HotPan, OneWildReadingIsLeftOutAndNoMore) {
  EXPECT_EQ(shows(90, 30), mk(90));
  EXPECT_FALSE(shows(400, 1).has_value());
  EXPECT_FALSE(doubts.doubts(pan.device));
  EXPECT_EQ(shows(90, 1), mk(90));
  EXPECT_FALSE(shows(400, 9).has_value());
  EXPECT_EQ(shows(91, 1), mk(91));
}

TEST_F(HotPan, TenSecondsOverItAreDoubtedAndTenSecondsBackAreBelieved) {
  shows(90, 30);
  EXPECT_FALSE(shows(400, 11).has_value());
  EXPECT_TRUE(doubts.doubts(pan.device));
  EXPECT_FALSE(shows(90, 9).has_value());
  EXPECT_EQ(shows(90, 2), mk(90));
  EXPECT_FALSE(doubts.doubts(pan.device));
}

TEST_F(HotPan, DegreesOfFahrenheitThatCoolDownAreNotBelieved) {
  shows(70, 30);
  shows(212, 11);
  for (double f = 211; f > 60; f -= 0.5) EXPECT_FALSE(shows(f, 1).has_value()) << f;
}

}  // namespace
}  // namespace maslin::batch
