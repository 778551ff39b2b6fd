// When a scale's indication may be shown and when it may be booked. The vectors are computed from
// named curves, see the first line of the file.
#include "daemon/weighing/settled.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

namespace maslin::weighing {
namespace {

struct Row {
  std::string name;
  double interval_g, rate_hz, lag_s;
  std::vector<double> readings_g;
  int first;  // index of the first reading at rest; -1 never
  double level_g;
};

std::vector<Row> rows() {
  std::ifstream file(MASLIN_SOURCE_DIR "/tests/unit/weighing/steady.csv");
  std::vector<Row> all;
  std::string line;
  while (std::getline(file, line)) {
    if (line.empty() || line[0] == '#' || line.rfind("name,", 0) == 0) continue;
    Row row;
    std::string rest = line;
    if (rest[0] == '"') {
      const auto end = rest.find('"', 1);
      row.name = rest.substr(1, end - 1);
      rest = rest.substr(end + 2);
    } else {
      row.name = rest.substr(0, rest.find(','));
      rest = rest.substr(rest.find(',') + 1);
    }
    std::vector<std::string> cells;
    std::stringstream stream(rest);
    for (std::string cell; std::getline(stream, cell, ',');) cells.push_back(cell);
    row.interval_g = std::stod(cells[0]);
    row.rate_hz = std::stod(cells[1]);
    row.lag_s = std::stod(cells[2]);
    std::stringstream readings(cells[4]);
    for (double value = 0; readings >> value;) row.readings_g.push_back(value);
    row.first = cells[5].empty() ? -1 : std::stoi(cells[5]);
    row.level_g = cells.size() > 6 && !cells[6].empty() ? std::stod(cells[6]) : 0;
    all.push_back(row);
  }
  return all;
}

TEST(AtRest, IsCalledAtTheReadingThatTheVectorsName) {
  const auto all = rows();
  ASSERT_GE(all.size(), 5u);
  for (const auto& row : all) {
    RestDetector detector(std::llround(row.interval_g * 1e6), std::llround(row.lag_s * 1000));
    int first = -1;
    double level_g = 0;
    for (std::size_t i = 0; i < row.readings_g.size() && first < 0; ++i) {
      const auto at_ms = std::llround(1000.0 * static_cast<double>(i) / row.rate_hz);
      if (detector.feed(at_ms, std::llround(row.readings_g[i] * 1e6), false) == Settling::at_rest) {
        first = static_cast<int>(i);
        level_g = static_cast<double>(detector.level_ug()) / 1e6;
      }
    }
    EXPECT_EQ(first, row.first) << row.name;
    if (row.first >= 0) {
      EXPECT_NEAR(level_g, row.level_g, row.interval_g / 100 + 1e-6) << row.name;
    }
  }
}

class Detector : public ::testing::Test {
 protected:
  // `seconds` of readings along `grams(t)`, ten a second; true if any of them made `wanted`.
  template <class Curve>
  bool feed(double seconds, Settling wanted, Curve grams) {
    bool seen = false;
    for (int i = 0; i < static_cast<int>(seconds * 10); ++i, now_ms += 100) {
      const double value = std::floor(grams(i / 10.0) + 0.5);
      seen = detector.feed(now_ms, std::llround(value * 1e6), false) == wanted || seen;
    }
    return seen;
  }
  RestDetector detector{1'000'000, 300};
  std::int64_t now_ms = 0;
};

TEST_F(Detector, BooksARestOnlyAfterThreeQuietSeconds) {
  EXPECT_FALSE(feed(2.9, Settling::quiet, [](double) { return 100.0; }));
  EXPECT_TRUE(feed(0.5, Settling::quiet, [](double) { return 100.0; }));
}

TEST_F(Detector, DoesNotTakeAGapForARest) {
  feed(6, Settling::quiet, [](double) { return 100.0; });
  feed(0.3, Settling::nothing, [](double) { return 300.0; });
  now_ms += 60'000;  // and nobody knows what was
  EXPECT_FALSE(feed(0.9, Settling::at_rest, [](double) { return 300.0; }));
  EXPECT_TRUE(feed(0.5, Settling::at_rest, [](double) { return 300.0; }));
}

TEST_F(Detector, SettlesAlsoAtOneReadingASecond) {
  bool quiet = false;
  for (int i = 0; i < 6; ++i)
    quiet = detector.feed(1000 * i, 100'000'000, false) == Settling::quiet || quiet;
  EXPECT_TRUE(quiet);
}

TEST_F(Detector, NeverBooksAPourWhileItRuns) {
  feed(5, Settling::quiet, [](double) { return 0.0; });
  EXPECT_FALSE(feed(20, Settling::quiet, [](double t) { return 10 * t; }));
  EXPECT_FALSE(feed(20, Settling::quiet, [](double t) { return 200 + 2 * t; }));
}

TEST_F(Detector, NeverBooksATrickleOfAGramASecond) {
  feed(5, Settling::quiet, [](double) { return 0.0; });
  EXPECT_FALSE(feed(30, Settling::quiet, [](double t) { return t; }));
}

TEST_F(Detector, ReopensAQuietLevelThatCreepsAway) {
  EXPECT_TRUE(feed(6, Settling::quiet, [](double) { return 100.0; }));
  EXPECT_TRUE(feed(20, Settling::reopened, [](double t) { return 100 + 0.1 * t; }));
}

TEST_F(Detector, DepartsAtMoreThanTwoIntervalsAndKeepsTheLastRest) {
  feed(6, Settling::quiet, [](double) { return 100.0; });
  EXPECT_TRUE(feed(0.2, Settling::departed, [](double) { return 103.0; }));
  EXPECT_EQ(detector.level_ug(), 100'000'000);
  EXPECT_FALSE(detector.at_rest());
}

TEST_F(Detector, SettlesAlsoAtTwoHundredReadingsASecond) {
  bool quiet = false;
  for (int i = 0; i < 1200; ++i)
    quiet = detector.feed(5 * i, 100'000'000, false) == Settling::quiet || quiet;
  EXPECT_TRUE(quiet);
  EXPECT_EQ(detector.feed(6000, 200'000'000, false), Settling::departed);
}

TEST_F(Detector, AFlagThatForbidsARestForEverIsNotBelieved) {
  bool rests = false;
  int first = -1;
  for (int i = 0; i < 300; ++i) {
    rests = detector.feed(100 * i, 100'000'000, true) == Settling::at_rest;
    if (rests && first < 0) first = i;
  }
  EXPECT_GE(first, 100);
  EXPECT_TRUE(detector.quiet());
}

TEST_F(Detector, ReadingsInBurstsAreTakenByTheirTimes) {
  bool booked = false;
  for (int i = 0; i < 100; ++i) {  // five at once, every second
    const double grams = i < 50 ? 100 : 100 + 2 * (i - 49);
    const auto settling =
        detector.feed(1000 * (i / 5) + 10 * (i % 5), std::llround(grams) * 1'000'000, false);
    if (i < 50) booked = booked || settling == Settling::quiet;
    if (i > 50) {
      EXPECT_NE(settling, Settling::quiet);
    }
  }
  EXPECT_TRUE(booked);
}

TEST_F(Detector, MeasuresTheFlow) {
  feed(3, Settling::nothing, [](double t) { return 20 * t; });
  EXPECT_NEAR(detector.flow_ug_s(), 20e6, 1.5e6);
}

}  // namespace
}  // namespace maslin::weighing
