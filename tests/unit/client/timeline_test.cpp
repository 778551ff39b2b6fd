// The two lines of the evening.
#include "client/timeline.hpp"

#include <gmock/gmock.h>

#include "client/text.hpp"

namespace maslin::client {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;
using testing::StartsWith;

constexpr std::int64_t min_ms = 60'000;

std::vector<proto::ScheduledSpan> evening() {
  return {{"pan", "weigh", 0, 10 * min_ms, "done"},
          {"pan", "wait", 10 * min_ms, 25 * min_ms, "now"},
          {"pan", "to the boil", 25 * min_ms, 30 * min_ms, "next"},
          {"canner", "bath", 35 * min_ms, 50 * min_ms, "next"},
          {"canner", "to the boil", 0, 30 * min_ms, "now"}};
}

TEST(Timeline, ShowsBothLinesOnOneAxisWithNow) {
  EXPECT_THAT(timeline(evening(), 15 * min_ms, 57),
              ElementsAre("pan    |=========|====##########|----                    ",
                          "canner |==============###############     |------------- ",
                          StartsWith("                      ^now"),
                          "pan: wait, about 10 min; then to the boil",
                          "canner: to the boil, about 15 min; then bath"));
}

TEST(Timeline, FitsAPageOfFortyColumns) {
  for (const auto& line : timeline(evening(), 49 * min_ms, 40)) EXPECT_LE(width(line), 40u);
}

TEST(Timeline, IsNothingWithoutASchedule) {
  EXPECT_THAT(timeline({}, 0, 80), IsEmpty());
  EXPECT_EQ(line_words(evening(), "oven", 0), "");
}

TEST(Timeline, SaysWhoIsLate) {
  EXPECT_EQ(slack_words(3 * min_ms), "canner ready about 3 min before the jars are full");
  EXPECT_EQ(slack_words(-9 * min_ms), "canner late: about 9 min after the jars are full");
}

}  // namespace
}  // namespace maslin::client
