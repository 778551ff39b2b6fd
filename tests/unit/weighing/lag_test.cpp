// A display's lag, learned from what a vessel does to it; the scales are those of pressed_pan.hpp.
#include "daemon/weighing/lag.hpp"

#include <gtest/gtest.h>

#include <optional>

#include "daemon/weighing/press.hpp"
#include "pressed_pan.hpp"

namespace maslin::weighing {
namespace {

constexpr std::uint64_t seed = 6'200'000;

std::vector<ScaleKind> scales() {
  std::vector<ScaleKind> all;
  for (const double interval_g : {0.1, 1.0, 5.0}) {
    for (const double rate_hz : {5.0, 10.0, 20.0}) {
      for (const double lag_s : {0.3, 0.4, 0.6, 0.8}) {
        all.push_back({interval_g, rate_hz, false, lag_s});
        all.push_back({interval_g, rate_hz, true, lag_s});
      }
    }
  }
  return all;
}

// The events one after the other, as one scale sends them.
class Evening {
 public:
  explicit Evening(const ScaleKind& scale)
      : pan(scale, seed), learner(std::llround(scale.interval_g * 1e6)) {}
  void show(const Happened& happened) {
    for (const auto& one : happened.readings) learner.feed(start_ms + one.at_ms, one.level_ug);
    start_ms += 15'000;
  }
  PressedPan pan;
  LagLearner learner;
  std::int64_t start_ms = 0;
};

TEST(LagLearner, KnowsTheLagFromSomeVesselsThatAreLiftedAndSetDown) {
  for (const auto& scale : scales()) {
    SCOPED_TRACE(std::to_string(scale.interval_g) + " g, " + std::to_string(scale.rate_hz) +
                 " a second, " + (scale.box ? "mean " : "one pole ") + std::to_string(scale.lag_s));
    Evening evening(scale);
    for (int i = 0; i < 6; ++i) {
      evening.show(evening.pan.lifted_off());
      evening.show(evening.pan.set_down());
    }
    const auto known = scale.box ? evening.learner.mean_ms() : evening.learner.one_pole_ms();
    ASSERT_TRUE(known.has_value());
    EXPECT_NEAR(static_cast<double>(*known), scale.lag_s * 1000, scale.lag_s * 200);
    EXPECT_FALSE((scale.box ? evening.learner.one_pole_ms() : evening.learner.mean_ms()));
  }
}

TEST(LagLearner, APourTeachesNothing) {
  const ScaleKind scale{1, 10, false, 0.5};
  Evening evening(scale);
  for (int i = 0; i < 40; ++i) {
    const auto happened = evening.pan.other();
    if (happened.what == "pour") evening.show(happened);
  }
  EXPECT_FALSE(evening.learner.mean_ms().has_value());
}

TEST(LagLearner, OneStepAloneIsNotBelieved) {
  Evening evening({1, 10, false, 0.5});
  evening.show(evening.pan.lifted_off());
  EXPECT_FALSE(evening.learner.one_pole_ms().has_value());
}

TEST(LagLearner, APressIsFoundOnAScaleWhoseLagWasNeverSet) {
  int all = 0;
  int before = 0;
  int after = 0;
  for (const auto& scale : scales()) {
    PressedPan pan(scale, seed + 1);
    PressDetector detector(std::llround(scale.interval_g * 1e6), 500);
    std::int64_t start_ms = 0;
    const auto presses = [&](const Happened& happened) {
      int found = 0;
      for (const auto& one : happened.readings) {
        if (detector.feed(start_ms + one.at_ms, one.level_ug)) ++found;
      }
      start_ms += 15'000;
      return found == 1 ? 1 : 0;
    };
    for (int i = 0; i < 5; ++i, ++all) before += presses(pan.firm_press());
    for (int i = 0; i < 6; ++i) presses(pan.lifted_off());
    for (int i = 0; i < 5; ++i) after += presses(pan.firm_press());
  }
  EXPECT_LT(before, all * 7 / 10);
  EXPECT_GE(after, all * 95 / 100);
}

}  // namespace
}  // namespace maslin::weighing
