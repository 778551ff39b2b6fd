// The pan as a button against traces that another program has simulated: what it was, and what a
// scale of another interval, rate and filter showed of it.
#include "daemon/weighing/press.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <optional>
#include <string>

#include "tests/reference/csv.hpp"

namespace maslin::weighing {
namespace {

TEST(PressTraces, EveryFirmPressIsOneAndNothingElseIs) {
  int presses = 0;
  int others = 0;
  std::optional<PressDetector> detector;
  std::string event;
  std::string expected;
  int found = 0;
  const auto check = [&] {
    if (!detector) return;
    SCOPED_TRACE("event " + event);
    // A double press may be read as one, or as none; never as two answers.
    if (expected == "double") {
      EXPECT_LE(found, 1);
    } else {
      EXPECT_EQ(found, expected == "single" ? 1 : 0);
    }
    (expected == "single" ? presses : others) += 1;
  };
  for (const auto& row : reference::table("press_traces.csv")) {
    if (row.text("event") != event) {
      check();
      event = row.text("event");
      expected = row.text("expected");
      found = 0;
      detector.emplace(std::llround(row.number("interval_g") * 1e6),
                       std::llround(row.number("lag_s") * 1000));
    }
    const auto at_ms = std::llround(row.number("time_s") * 1000);
    if (detector->feed(at_ms, std::llround(row.number("mass_g") * 1e6))) ++found;
  }
  check();
  EXPECT_EQ(presses, 12);
  EXPECT_EQ(others, 31);
}

}  // namespace
}  // namespace maslin::weighing
