// A device that cannot be opened yet: how long it is tried, and what is said of it when.
#include "plugins/hid-scale/tries.hpp"

#include <gtest/gtest.h>

namespace maslin::hid {
namespace {

constexpr std::int64_t second = 1'000'000'000;

TEST(Tries, BeginAtOnceAndEndWithWhatIsClear) {
  Tries tries;
  EXPECT_EQ(tries.due(), 0);
  EXPECT_FALSE(tries.looked(Look::done, 7));
  EXPECT_EQ(tries.due(), std::nullopt);
}

TEST(Tries, OfWhatMayBeAScaleEndAfterHalfAMinuteWithoutAWord) {
  Tries tries;
  std::int64_t now = 0;
  int looks = 0;
  for (; tries.due(); ++looks) {
    now = *tries.due();
    EXPECT_FALSE(tries.looked(Look::unclear, now));
  }
  EXPECT_EQ(looks, 6);
  EXPECT_EQ(now, 31 * second);
}

TEST(Tries, OfAScaleNeverEndAndAreSaidOnceAtTheSecond) {
  Tries tries;
  EXPECT_FALSE(tries.looked(Look::unclear, 0));
  EXPECT_FALSE(tries.looked(Look::refused, 0)) << "access may come a moment later";
  EXPECT_TRUE(tries.looked(Look::refused, 0));
  for (int i = 0; i < 100; ++i) EXPECT_FALSE(tries.looked(Look::refused, 0));
  EXPECT_EQ(tries.due(), 30 * second);
}

}  // namespace
}  // namespace maslin::hid
