// Three sums over a place: inside, outside, not measured.
#include "daemon/preserving/place_watch.hpp"

#include <gtest/gtest.h>

namespace maslin::preserving {
namespace {

constexpr std::int64_t minute_ms = 60'000;
constexpr std::int64_t hour_ms = 60 * minute_ms;

std::int64_t mk(double celsius) { return static_cast<std::int64_t>(celsius * 1000) + 273'150; }

class Place : public testing::Test {
 protected:
  Place() { watch.begin(0); }
  // Every five minutes from now on.
  PlaceSpan stays(double celsius, std::int64_t for_ms) {
    auto span = PlaceSpan::inside;
    for (const std::int64_t end = now + for_ms; now < end;) {
      span = watch.feed(now += 5 * minute_ms, mk(celsius));
    }
    return span;
  }
  PlaceSpan silent_then(double celsius, std::int64_t for_ms) {
    return watch.feed(now += for_ms, mk(celsius));
  }
  const PlaceSums& sums() const { return watch.sums(); }

  std::int64_t now = 0;
  PlaceWatch watch{{mk(1), mk(4), 12 * hour_ms}};
};

TEST_F(Place, CountsWhatLiesBetweenTwoReadingsInside) {
  EXPECT_EQ(stays(3, 2 * hour_ms), PlaceSpan::inside);
  EXPECT_EQ(sums().inside_ms, 2 * hour_ms);
  EXPECT_EQ(sums().counted_ms, 2 * hour_ms);
  EXPECT_EQ(sums().coldest_mk, mk(3));
}

TEST_F(Place, HoldsItsBoundsThemselves) {
  stays(1, hour_ms);
  EXPECT_EQ(stays(4, hour_ms), PlaceSpan::inside);
  EXPECT_EQ(sums().outside_ms, 0);
}

class UnsurePlace : public Place {
 protected:
  UnsurePlace() {
    watch = PlaceWatch({mk(1), mk(4), 12 * hour_ms, 500, 2 * hour_ms});
    watch.begin(0);
  }
};

TEST_F(UnsurePlace, CountsWhatItsThermometerCannotTellAsInsideAndSaysSo) {
  stays(3.5, hour_ms);  // the guard itself is sure
  EXPECT_EQ(sums().undecided_ms, 0);
  stays(3.6, 2 * hour_ms);
  EXPECT_EQ(sums().undecided_ms, 2 * hour_ms);
  EXPECT_EQ(sums().inside_ms, 3 * hour_ms);
  EXPECT_EQ(sums().outside_ms, 0);
}

TEST_F(UnsurePlace, ForgetsAStretchOnceItWasSurelyInsideForAWhile) {
  stays(3.6, 55 * minute_ms);
  stays(3.4, 55 * minute_ms);  // the first span still has an end there
  EXPECT_EQ(sums().undecided_ms, hour_ms);
  stays(3.4, 5 * minute_ms);
  EXPECT_EQ(sums().undecided_ms, 0);
  EXPECT_EQ(sums().undecided_warmest_mk, 0);
}

// What is asked about by then is answered for all of it, however cold it has become meanwhile.
TEST_F(UnsurePlace, KeepsAStretchThatIsToBeDecided) {
  stays(3.8, 30 * hour_ms);
  stays(2.9, 200 * hour_ms);
  EXPECT_EQ(sums().undecided_ms, 30 * hour_ms + 5 * minute_ms);
  watch.settle(false);
  EXPECT_EQ(sums().outside_ms, 30 * hour_ms + 5 * minute_ms);
  EXPECT_EQ(sums().counted_ms, 200 * hour_ms - 5 * minute_ms);
}

TEST_F(UnsurePlace, AddsUpWhatCyclesInAndOutOfTheGuard) {
  for (int cycle = 0; cycle < 6; ++cycle) {
    stays(3.8, 30 * minute_ms);
    stays(2.9, 30 * minute_ms);
  }
  EXPECT_GE(sums().undecided_ms, 3 * hour_ms);
}

TEST_F(UnsurePlace, ForgetsDoorsAndDefrostingsOneByOne) {
  for (int day = 0; day < 10; ++day) {
    for (int door = 0; door < 4; ++door) {
      stays(3.8, 10 * minute_ms);
      stays(2.9, 50 * minute_ms);
    }
    stays(3.9, 90 * minute_ms);
    stays(2.9, 18 * hour_ms + 30 * minute_ms);
    EXPECT_EQ(sums().undecided_ms, 0) << day;
  }
}

TEST_F(UnsurePlace, ADoorOfDaysAgoSettlesNothing) {
  stays(7, 5 * minute_ms);
  stays(3.99, 5 * minute_ms);
  stays(2.9, 100 * hour_ms);
  stays(3.7, 3 * hour_ms);
  EXPECT_EQ(sums().undecided_warmest_mk, mk(3.7));
  watch.settle(true);
  stays(3.8, hour_ms);
  EXPECT_EQ(sums().undecided_ms, hour_ms);
}

TEST_F(UnsurePlace, IsSettledByAnotherThermometerForAllThatIsNoWarmer) {
  stays(3.7, hour_ms);
  watch.settle(true);
  stays(3.7, hour_ms);
  EXPECT_EQ(sums().undecided_ms, 0);
  stays(3.8, hour_ms);
  EXPECT_EQ(sums().undecided_ms, hour_ms);
}

TEST_F(UnsurePlace, WasOutsideWhereAnotherThermometerSaysSo) {
  stays(3.7, hour_ms);
  watch.settle(false);
  EXPECT_EQ(sums().outside_ms, hour_ms);
  EXPECT_EQ(sums().inside_ms, 0);
  EXPECT_EQ(sums().counted_ms, 0);
}

TEST_F(Place, CountsASpanWithOneEndOutsideWhollyAsOutside) {
  stays(3, hour_ms);
  EXPECT_EQ(silent_then(4.1, 5 * minute_ms), PlaceSpan::outside);
  EXPECT_EQ(silent_then(3, 5 * minute_ms), PlaceSpan::outside);
  EXPECT_EQ(sums().outside_ms, 10 * minute_ms);
  EXPECT_EQ(sums().counted_ms, hour_ms);
}

TEST_F(Place, TooColdIsOutsideToo) {
  stays(3, hour_ms);
  stays(0.5, 10 * minute_ms);
  EXPECT_EQ(sums().outside_ms, 10 * minute_ms);
}

TEST_F(Place, CountsAGapWithBothEndsInsideAndSaysThatItWasNotMeasured) {
  stays(3, hour_ms);
  EXPECT_EQ(silent_then(3, 9 * hour_ms), PlaceSpan::gap);
  EXPECT_EQ(sums().unmeasured_ms, 9 * hour_ms);
  EXPECT_EQ(sums().counted_ms, 10 * hour_ms);
  EXPECT_EQ(sums().longest_gap_ms, 9 * hour_ms);
}

TEST_F(Place, CountsAGapThatEndsWarmWhollyAsOutside) {
  stays(3, hour_ms);
  EXPECT_EQ(silent_then(6, 9 * hour_ms), PlaceSpan::outside);
  EXPECT_EQ(sums().outside_ms, 9 * hour_ms);
}

TEST_F(Place, DoesNotCountAGapThatIsTooLong) {
  stays(3, hour_ms);
  EXPECT_EQ(silent_then(3, 12 * hour_ms + 1), PlaceSpan::long_gap);
  EXPECT_EQ(sums().unmeasured_ms, 12 * hour_ms + 1);
  EXPECT_EQ(sums().counted_ms, hour_ms);
  watch.gap_was_outside();
  EXPECT_EQ(sums().unmeasured_ms, 0);
  EXPECT_EQ(sums().outside_ms, 12 * hour_ms + 1);
}

TEST_F(Place, TakesTheCooksLookForASpanThatWasNotMeasured) {
  EXPECT_EQ(watch.look(24 * hour_ms, true, 48 * hour_ms), PlaceSpan::gap);
  EXPECT_EQ(sums().counted_ms, 24 * hour_ms);
  EXPECT_EQ(watch.look(48 * hour_ms, false, 48 * hour_ms), PlaceSpan::outside);
  EXPECT_EQ(sums().outside_ms, 24 * hour_ms);
  EXPECT_EQ(sums().unmeasured_ms, 24 * hour_ms);
}

TEST_F(Place, ALookAfterItWasOutsideCountsTheSpanAsOutside) {
  watch.look(24 * hour_ms, false, 48 * hour_ms);
  EXPECT_EQ(watch.look(48 * hour_ms, true, 48 * hour_ms), PlaceSpan::outside);
  EXPECT_EQ(sums().outside_ms, 48 * hour_ms);
  EXPECT_EQ(sums().counted_ms, 0);
  EXPECT_FALSE(watch.last_outside());
  EXPECT_EQ(watch.look(72 * hour_ms, true, 48 * hour_ms), PlaceSpan::gap);
  EXPECT_EQ(sums().counted_ms, 24 * hour_ms);
}

TEST_F(Place, ThreeSumsAddUpToTheTime) {
  stays(3, 3 * hour_ms);
  stays(7, 20 * minute_ms);
  stays(2, hour_ms);
  silent_then(2, 8 * hour_ms);
  silent_then(2, 20 * hour_ms);
  EXPECT_EQ(sums().inside_ms + sums().outside_ms + sums().unmeasured_ms, now);
}

TEST(PlaceBounds, KnowsWhatWouldBeRightAsFahrenheit) {
  const PlaceBounds cold{mk(1), mk(4), 0};
  EXPECT_TRUE(cold.holds_as_fahrenheit(mk(38)));    // 3.3 °C
  EXPECT_FALSE(cold.holds_as_fahrenheit(mk(45)));   // 7.2 °C
  EXPECT_FALSE(cold.holds_as_fahrenheit(mk(12)));   // simply warm
  EXPECT_FALSE(cold.holds_as_fahrenheit(mk(3.3)));  // right as it is
  EXPECT_TRUE((PlaceBounds{mk(17), mk(24), 0}.holds_as_fahrenheit(mk(68))));
}

}  // namespace
}  // namespace maslin::preserving
