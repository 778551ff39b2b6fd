// A scale's serial line: a whole line in a known form is a reading, anything else is none. Nothing
// that was cut, joined or damaged may come out as a weight.
#include "plugins/serial-line/line.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace maslin::line {
namespace {

const std::string settled = "ST,+00123.4 g";

TEST(ReadLine, KeepsDigitsUnitAndState) {
  const auto one = read_line(settled);
  ASSERT_TRUE(one);
  EXPECT_EQ(one->digits, 1'234);
  EXPECT_EQ(one->exponent, -1);
  EXPECT_EQ(one->unit, MASLIN_G);
  EXPECT_EQ(one->state, MASLIN_STEADY);
  const auto moving = read_line("US,-00000.5 g");
  ASSERT_TRUE(moving);
  EXPECT_EQ(moving->digits, -5);
  EXPECT_EQ(moving->state, MASLIN_MOVING);
}

TEST(ReadLine, AnotherUnitIsKeptAsItIs) {
  const auto one = read_line("ST,+004.350 oz");
  ASSERT_TRUE(one);
  EXPECT_EQ(one->digits, 4'350);
  EXPECT_EQ(one->exponent, -3);
  EXPECT_EQ(one->unit, MASLIN_OZ);
}

TEST(ReadLine, WithoutAValueSaysWhy) {
  EXPECT_EQ(read_line("OL").value().state, MASLIN_OVER);
  EXPECT_EQ(read_line("-----").value().state, MASLIN_UNDER);
}

TEST(ReadLine, NoPartOfALineIsAReading) {
  for (std::size_t from = 0; from < settled.size(); ++from) {
    for (std::size_t size = 0; from + size <= settled.size(); ++size) {
      if (size == settled.size()) continue;
      EXPECT_FALSE(read_line(settled.substr(from, size))) << settled.substr(from, size);
    }
  }
}

TEST(ReadLine, NoLineThatLostBytesInItsMiddleIsAReading) {
  for (std::size_t from = 1; from < settled.size(); ++from) {
    for (std::size_t size = 1; from + size < settled.size(); ++size) {
      const auto rest = settled.substr(0, from) + settled.substr(from + size);
      EXPECT_FALSE(read_line(rest)) << rest;
    }
  }
}

// What has eight places may still be no number, and what has a number no known header or unit.
TEST(ReadLine, AWrongHeaderNumberOrUnitIsNoReading) {
  for (const std::string line : {"",
                                 "XX,+00123.4 g",
                                 "ST +00123.4 g",
                                 "st,+00123.4 g",
                                 "ST,+00123.4 gr",
                                 "ST,+00123.4 kg",
                                 "ST,+00123.4 G",
                                 "ST,+00123.4g",
                                 "ST,+00123.4 g ",
                                 " ST,+00123.4 g",
                                 "ST,+0012304 g",
                                 "ST,+001234. g",
                                 "ST,000123.4 g",
                                 "ST,+0012.3.4 g",
                                 "ST,+0-123.4 g",
                                 "ST,+00123.4  g",
                                 "ST,+ 0123.4 g",
                                 "ST,+0123e.4 g",
                                 "OL g",
                                 "------",
                                 "----"}) {
    EXPECT_FALSE(read_line(line)) << line;
  }
  EXPECT_FALSE(
      read_line(std::string("ST,+00\0"
                            "23.4 g",
                            13)));
  EXPECT_FALSE(read_line(settled + settled));
}

std::vector<std::string> taken(const std::string& bytes) {
  Lines lines;
  std::vector<std::string> all;
  for (const char byte : bytes) {
    if (auto line = lines.take(byte)) all.push_back(*line);
  }
  return all;
}

TEST(TakeLines, DropsWhatCameBeforeTheFirstLineEnd) {
  EXPECT_THAT(taken("+00123.4 g\r\nST,one\r\nUS,two\nST,thr"),
              testing::ElementsAre("ST,one", "US,two"));
  EXPECT_THAT(taken(settled + "\n"), testing::IsEmpty()) << "it may have begun earlier";
}

TEST(TakeLines, WithoutAnyLineEndStaysSmallAndGivesNoReading) {
  const auto all = taken(std::string(1'000, 'x') + "ST,+00123.4 g\n" + settled + "\n");
  ASSERT_FALSE(all.empty());
  EXPECT_EQ(all.back(), settled);
  for (std::size_t i = 0; i + 1 < all.size(); ++i) {
    EXPECT_LE(all[i].size(), 81U);
    EXPECT_FALSE(read_line(all[i])) << all[i];
  }
}

}  // namespace
}  // namespace maslin::line
