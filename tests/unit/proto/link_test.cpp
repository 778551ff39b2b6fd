// The packets between a plugin's host and the daemon: what goes in comes out, and nothing that is
// cut, too long or unknown gets through.
#include "proto/link.hpp"

#include <gtest/gtest.h>

#include <random>

namespace maslin::proto::link {
namespace {

template <class T>
T back(const T& packet) {
  const auto decoded = decode(encode(packet));
  EXPECT_TRUE(decoded.has_value());
  return std::get<T>(*decoded);
}

std::vector<Packet> one_of_each() {
  Arrived arrived;
  arrived.device = 7;
  arrived.at_ns = -3;
  arrived.quantity = Quantity::temperature;
  arrived.unit = Unit::celsius;
  arrived.interval_digits = 5;
  arrived.interval_exponent = -2;
  arrived.capacity_digits = 300;
  arrived.period_ns = 1'000'000'000;
  arrived.vendor = "a";
  arrived.port = "1-1.4";
  return {Settings{"file.csv", true},
          Grant{42},
          Cue{5, "{\"id\":\"stop\"}"},
          Stop{},
          Hello{version, "trace", true, 250'000'000},
          arrived,
          Readings{{{1, 2, -3, 4, -5, 6, 7}, {8, INT64_MAX, INT64_MIN, 0xFFFF, 127, 255, 255}}},
          Left{3, 4, "unplugged"},
          Log{2, "text"},
          Reached{1, INT64_MAX},
          Beat{INT64_MAX},
          Listens{},
          Finished{true, "broken"}};
}

TEST(Link, CarriesEveryPacketUnchanged) {
  for (const auto& packet : one_of_each()) {
    const auto bytes = encode(packet);
    const auto decoded = decode(bytes);
    ASSERT_TRUE(decoded.has_value()) << packet.index();
    EXPECT_EQ(decoded->index(), packet.index());
    EXPECT_EQ(encode(*decoded), bytes) << packet.index();
  }
}

TEST(Link, KeepsDigitsToTheLastOne) {
  const Readings sent{{{1, INT64_MIN, INT64_MAX, 3, -12, 2, 1}}};
  EXPECT_EQ(back(sent).all, sent.all);
}

TEST(Link, RefusesEveryPacketCutAnywhere) {
  for (const auto& packet : one_of_each()) {
    const auto bytes = encode(packet);
    for (std::size_t size = 0; size < bytes.size(); ++size) {
      EXPECT_FALSE(decode(std::span(bytes).first(size)).has_value())
          << packet.index() << " " << size;
    }
  }
}

TEST(Link, RefusesBytesLeftOver) {
  auto bytes = encode(Stop{});
  bytes.push_back(std::byte{0});
  EXPECT_FALSE(decode(bytes).has_value());
}

TEST(Link, RefusesAnUnknownType) {
  const std::vector<std::byte> bytes{std::byte{0xEE}, std::byte{0}};
  ASSERT_FALSE(decode(bytes).has_value());
  EXPECT_EQ(decode(bytes).error().what, "unknown packet type 238");
}

TEST(Link, RefusesMoreReadingsThanAPacketMayHold) {
  auto bytes = encode(Readings{std::vector<Reading>(most_readings)});
  bytes[2] = std::byte{most_readings + 1};  // the count, which now promises one more
  bytes.resize(bytes.size() + 25);
  EXPECT_FALSE(decode(bytes).has_value());
}

TEST(Link, RefusesAnotherVersionOfTheLink) {
  auto bytes = encode(Settings{});
  bytes[2] = std::byte{version + 1};
  EXPECT_FALSE(decode(bytes).has_value());
}

TEST(Link, CutsALongText) {
  EXPECT_EQ(back(Log{1, std::string(100'000, 'x')}).text.size(), 4'096U);
}

TEST(Link, SurvivesRandomBytes) {
  std::mt19937 random(1);
  std::uniform_int_distribution<int> byte(0, 255);
  std::vector<std::byte> bytes(200);
  for (int round = 0; round < 20'000; ++round) {
    for (auto& one : bytes) one = static_cast<std::byte>(byte(random));
    bytes[0] = static_cast<std::byte>(round % 16);
    bytes[1] = std::byte{0};
    const auto packet = decode(std::span(bytes).first(static_cast<std::size_t>(round) % 200));
    if (packet) {
      EXPECT_LE(encode(*packet).size(), largest_packet);
    }
  }
}

}  // namespace
}  // namespace maslin::proto::link
