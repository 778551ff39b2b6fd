// A plugin that talks without end fills no disk, and what it said too much is counted.
#include "daemon/devices/line_budget.hpp"

#include <gtest/gtest.h>

namespace maslin::devices {
namespace {

using namespace std::chrono_literals;
constexpr LineBudget::Clock::time_point begin{};

TEST(LineBudget, LinesWithinItPassAsTheyAre) {
  LineBudget budget(2);
  for (int minute = 0; minute < 5; ++minute) {
    for (int line = 0; line < 2; ++line) {
      const auto verdict = budget.line(begin + minute * 1min);
      EXPECT_TRUE(verdict.passes);
      EXPECT_EQ(verdict.first, "");
    }
  }
  EXPECT_EQ(budget.left_out(), "");
}

TEST(LineBudget, TheFirstTooManyIsToldAndTheOthersAreCounted) {
  LineBudget budget(2);
  budget.line(begin);
  budget.line(begin + 1s);
  const auto third = budget.line(begin + 2s);
  EXPECT_FALSE(third.passes);
  EXPECT_EQ(third.first, "more than 2 lines a minute; the rest of them is left out");
  const auto fourth = budget.line(begin + 59s);
  EXPECT_FALSE(fourth.passes);
  EXPECT_EQ(fourth.first, "") << "said once";
  const auto later = budget.line(begin + 60s);
  EXPECT_TRUE(later.passes);
  EXPECT_EQ(later.first, "2 lines left out");
  EXPECT_EQ(budget.line(begin + 61s).first, "");
}

TEST(LineBudget, WhatWasLeftOutIsToldAtTheEndToo) {
  LineBudget budget(1);
  budget.line(begin);
  budget.line(begin);
  EXPECT_EQ(budget.left_out(), "1 line left out");
  EXPECT_EQ(budget.left_out(), "");
}

}  // namespace
}  // namespace maslin::devices
