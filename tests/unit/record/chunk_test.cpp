// Chunks of readings: everything comes back, garbage is refused, and what they cost on disk.
#include "daemon/record/chunk.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

#include "daemon/record/canonical.hpp"

namespace maslin::record {
namespace {

using proto::Reading;

// An hour's corner of a real evening: a 0.1 g scale ten times a second, being poured on and
// resting, and a thermometer of 0.01 K once a second, both stamped by a host whose stamps jitter.
std::vector<Reading> evening(std::size_t count, double jitter_ms, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> jitter(0.0, jitter_ms);
  std::normal_distribution<double> noise(0.0, 0.35);
  std::vector<Reading> readings;
  double next_scale = 5000.0;
  double next_probe = 5300.0;
  double load = 0;
  while (readings.size() < count) {
    Reading r;
    r.number = readings.size() + 1;
    const bool scale = next_scale <= next_probe;
    double& next = scale ? next_scale : next_probe;
    const double stamp = next + jitter(random);
    const std::int64_t at = std::llround(stamp);
    r.at_ms = readings.empty() ? at : std::max(at, readings.back().at_ms);
    next += scale ? 100.03 : 1000.4;
    if (scale) {
      const auto phase = static_cast<std::int64_t>(next_scale / 1000) % 60;
      const bool pouring = phase < 12;
      if (phase == 59) load = 0;
      if (pouring) load += 2.4 + noise(random);
      r.digits = std::llround(load * 10 + noise(random));
      r.exponent = -1;
      r.unit = proto::Unit::g;
      r.state = pouring ? proto::state::moving : proto::state::steady;
    } else {
      r.device = 1;
      r.quantity = proto::Quantity::temperature;
      r.unit = proto::Unit::celsius;
      r.exponent = -2;
      r.digits = std::llround(9600 + 300 * std::sin(next_probe / 90'000) + 3 * noise(random));
    }
    readings.push_back(r);
  }
  return readings;
}

TEST(Chunk, GivesEveryReadingBack) {
  const auto readings = evening(6000, 2.0, 1);
  const Chunk chunk = encode(readings);
  EXPECT_EQ(chunk.first, 1U);
  EXPECT_EQ(chunk.count, 6000U);
  EXPECT_EQ(chunk.hash, content_hash(readings));
  const auto back = decode(chunk.bytes);
  ASSERT_TRUE(back.has_value());
  EXPECT_EQ(*back, readings);
}

TEST(Chunk, KeepsValuesAtTheEndsOfTheirRange) {
  std::vector<Reading> readings;
  for (const std::int64_t extreme : {std::numeric_limits<std::int64_t>::min(), std::int64_t{0},
                                     std::numeric_limits<std::int64_t>::max(), std::int64_t{-1}}) {
    Reading r;
    r.number = 900 + readings.size();
    r.at_ms = extreme;
    r.digits = extreme;
    r.device = static_cast<std::uint16_t>(extreme);
    r.state = static_cast<std::uint16_t>(extreme);
    r.exponent = static_cast<std::int8_t>(extreme);
    r.unit = static_cast<proto::Unit>(extreme);
    r.quantity = static_cast<proto::Quantity>(extreme);
    for (int twice = 0; twice < 2; ++twice) {
      readings.push_back(r);
      ++r.number;
      r.at_ms = 7;
    }
  }
  const auto back = decode(encode(readings).bytes);
  ASSERT_TRUE(back.has_value());
  EXPECT_EQ(*back, readings);
}

TEST(Chunk, HoldsASingleReading) {
  const auto readings = evening(1, 0, 1);
  const auto back = decode(encode(readings).bytes);
  ASSERT_TRUE(back.has_value());
  EXPECT_EQ(*back, readings);
}

TEST(Chunk, SurvivesRandomReadings) {
  std::mt19937_64 random(11);
  for (int round = 0; round < 50; ++round) {
    std::vector<Reading> readings(1 + random() % 200);
    const std::uint64_t first = random() >> 1U;
    for (std::size_t i = 0; i < readings.size(); ++i) {
      Reading& r = readings[i];
      r.number = first + i;
      r.at_ms = static_cast<std::int64_t>(random() >> (random() % 64));
      r.digits = static_cast<std::int64_t>(random() >> (random() % 64));
      r.device = static_cast<std::uint16_t>(random() % 5);
      r.state = static_cast<std::uint16_t>(random() % 3);
    }
    const auto back = decode(encode(readings).bytes);
    ASSERT_TRUE(back.has_value());
    ASSERT_EQ(*back, readings);
  }
}

// The aim of the design: at most 0.9 bytes a reading with stamps of 1 ms. Measured with this data:
// 0.33 without jitter, 0.62 with 1 ms, 0.73 with 2 ms of it (standard deviation).
TEST(Chunk, CostsAtMostNineTenthsOfAByteAReading) {
  for (const double jitter_ms : {0.0, 1.0, 2.0}) {
    const Chunk chunk = encode(evening(6000, jitter_ms, 3));
    const double each = static_cast<double>(chunk.bytes.size()) / 6000;
    EXPECT_LE(each, 0.9) << "jitter " << jitter_ms << " ms";
    RecordProperty("bytes_per_reading_jitter_" + std::to_string(static_cast<int>(jitter_ms)),
                   std::to_string(each));
  }
}

TEST(Chunk, RefusesWhatIsCutOff) {
  const std::string bytes = encode(evening(300, 1.0, 5)).bytes;
  for (std::size_t size = 0; size < bytes.size(); ++size) {
    EXPECT_FALSE(decode(std::string_view(bytes).substr(0, size)).has_value()) << size;
  }
  EXPECT_FALSE(decode(bytes + "x").has_value());
}

TEST(Chunk, NeverCrashesOnAlteredBytes) {
  const auto readings = evening(300, 1.0, 5);
  const std::string good = encode(readings).bytes;
  std::mt19937 random(23);
  std::size_t seen_through = 0;
  for (int round = 0; round < 20'000; ++round) {
    std::string bad = good;
    for (unsigned changes = 1 + random() % 4; changes > 0; --changes) {
      bad[random() % bad.size()] = static_cast<char>(random());
    }
    const auto back = decode(bad);
    // What still decodes must be caught by the hash, unless the bytes changed nothing.
    if (back && *back != readings) {
      ASSERT_LE(back->size(), kLargestChunk);
      ASSERT_NE(content_hash(*back), content_hash(readings));
      ++seen_through;
    }
  }
  EXPECT_GT(seen_through, 0U) << "the hash was never needed, so this test shows nothing";
}

TEST(Chunk, SaysWhenItIsOfANewerVersion) {
  std::string bytes = encode(evening(10, 0, 1)).bytes;
  bytes[3] = 9;
  const auto back = decode(bytes);
  ASSERT_FALSE(back.has_value());
  EXPECT_NE(back.error().what.find("newer"), std::string::npos);
}

}  // namespace
}  // namespace maslin::record
