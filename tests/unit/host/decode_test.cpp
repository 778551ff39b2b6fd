// `maslin-plughost decode`: hex in, exact decimal digits out; and which plugins are let in.
#include "plugins/host/decode.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstddef>
#include <cstdint>
#include <cstring>

#include "plugins/sdk/plugin.hpp"

namespace maslin::host {
namespace {

using testing::HasSubstr;

TEST(Hex, IsReadInEveryUsualSpelling) {
  const std::vector<std::uint8_t> bytes{3, 0xAB};
  EXPECT_EQ(parse_hex("03 AB", "--report").value(), bytes);
  EXPECT_EQ(parse_hex("03:ab", "--report").value(), bytes);
  EXPECT_EQ(parse_hex("03aB", "--report").value(), bytes);
}

TEST(Hex, NamesWhatIsWrong) {
  EXPECT_THAT(line(parse_hex("0G", "--report").error()), HasSubstr("--report: 'G'"));
  EXPECT_THAT(line(parse_hex("012", "--report").error()), HasSubstr("odd number"));
}

TEST(Decimal, KeepsEveryDigit) {
  EXPECT_EQ(decimal(1230, -1), "123.0");
  EXPECT_EQ(decimal(-5, -3), "-0.005");
  EXPECT_EQ(decimal(0, -2), "0.00");
  EXPECT_EQ(decimal(12, 2), "1200");
  EXPECT_EQ(decimal(0, 3), "0");
}

TEST(Decimal, OfTextIsTheInverse) {
  for (const std::string text : {"123.0", "-0.005", "0.00", "1200", "-7"}) {
    const auto value = sdk::parse_decimal(text);
    ASSERT_TRUE(value) << text;
    EXPECT_EQ(decimal(value->digits, value->exponent), text);
  }
  for (const auto* text : {"", "-", ".", "1.2.3", "1e5", " 1", "nan", "1234567890123456789"}) {
    EXPECT_FALSE(sdk::parse_decimal(text)) << text;
  }
}

TEST(ReadingJson, HasValueUnitGramsAndStatus) {
  EXPECT_EQ(reading_json(sdk::reading(MASLIN_MASS, MASLIN_G, {1234, -1}, MASLIN_STEADY)),
            R"({"quantity":"mass","value":123.4,"unit":"g","mass_g":123.4,"status":"steady"})");
}

// 1 oz = 28.349523125 g exactly: NIST Handbook 44 (2024), appendix C, avoirdupois units.
TEST(ReadingJson, ConvertsOunces) {
  EXPECT_THAT(reading_json(sdk::reading(MASLIN_MASS, MASLIN_OZ, {10, -1}, MASLIN_STEADY)),
              HasSubstr("\"mass_g\":28.349523"));
}

TEST(ReadingJson, HasNoValueWhereTheStateForbidsOne) {
  EXPECT_EQ(reading_json(sdk::reading(MASLIN_MASS, MASLIN_G, {50, 0}, MASLIN_UNDER)),
            R"({"quantity":"mass","value":null,"unit":"g","mass_g":null,"status":"under"})");
}

TEST(ReadingJson, GivesNoGramsForATemperature) {
  EXPECT_EQ(reading_json(sdk::reading(MASLIN_TEMPERATURE, MASLIN_CELSIUS, {998, -1})),
            R"({"quantity":"temperature","value":99.8,"unit":"degC","mass_g":null,"status":""})");
}

int idle(const maslin_host*) { return 0; }

// A decoder of two-byte weights in grams.
int decode_bytes(const std::uint8_t*, std::size_t, const std::uint8_t* report, std::size_t size,
                 maslin_reading* out, std::uint32_t, char* why, std::size_t why_size) {
  if (size != 2) {
    std::snprintf(why, why_size, "report of %zu bytes, 2 expected", size);
    return -1;
  }
  *out = sdk::reading(MASLIN_MASS, MASLIN_G, {report[0] + report[1] * 256, 0}, MASLIN_STEADY);
  return 1;
}
const maslin_decode decoder{MASLIN_HEAD(maslin_decode), decode_bytes};
const maslin_plugin with_decoder{MASLIN_HEAD(maslin_plugin), "two", idle,
                                 [](const char*) -> const void* { return &decoder; }};
const maslin_plugin without{MASLIN_HEAD(maslin_plugin), "none", idle, nullptr};

TEST(Decode, PrintsOneLineForEachReading) {
  const auto lines = decode(*checked(with_decoder, "two.so"), "", "7B 00");
  EXPECT_EQ(lines.value(),
            "{\"quantity\":\"mass\",\"value\":123,\"unit\":\"g\",\"mass_g\":123,"
            "\"status\":\"steady\"}\n");
}

TEST(Decode, PassesOnThePluginsReason) {
  EXPECT_EQ(line(decode(*checked(with_decoder, "two.so"), "", "7B").error()),
            "two: report of 1 bytes, 2 expected");
}

TEST(Decode, SaysThatAPluginHasNoDecoder) {
  EXPECT_THAT(line(decode(*checked(without, "none.so"), "", "00").error()),
              HasSubstr("none: has no decoder"));
}

TEST(Load, RefusesAnotherVersionOfTheInterface) {
  auto entry = without;
  entry.version = MASLIN_ABI_VERSION + 1;
  EXPECT_THAT(line(checked(entry, "x.so").error()), HasSubstr("version 2 of the plugin interface"));
}

TEST(Load, RefusesAnIncompleteEntry) {
  auto entry = without;
  entry.run = nullptr;
  EXPECT_THAT(line(checked(entry, "x.so").error()), HasSubstr("incomplete"));
  entry = without;
  entry.size = 8;
  EXPECT_FALSE(checked(entry, "x.so"));
}

// What a struct of the interface becomes once it has grown by a member.
struct Grown {
  std::uint16_t version, size;
  std::int64_t shortest_reaction_ns;
  std::int64_t added;
};

TEST(Structs, AnOlderPluginThanTheHostIsTakenWithoutWhatItDoesNotKnow) {
  const maslin_pace old{MASLIN_HEAD(maslin_pace), 250};
  Grown room{};  // so that nothing behind the old one is ever read
  room.added = 77;
  std::memcpy(&room, &old, sizeof old);
  const auto seen = read_struct(&room, pace_of_version_1);
  ASSERT_TRUE(seen);
  EXPECT_EQ(seen->shortest_reaction_ns, 250);
  EXPECT_EQ(seen->added, 0);
}

TEST(Structs, ANewerPluginIsTakenAsFarAsTheHostKnows) {
  const Grown newer{MASLIN_ABI_VERSION, sizeof(Grown), 250, 77};
  const auto seen = read_struct(reinterpret_cast<const maslin_pace*>(&newer), pace_of_version_1);
  ASSERT_TRUE(seen);
  EXPECT_EQ(seen->shortest_reaction_ns, 250);
}

TEST(Structs, LessThanTheFirstVersionHadIsNone) {
  maslin_pace cut{MASLIN_HEAD(maslin_pace), 250};
  cut.size = 8;
  EXPECT_FALSE(read_struct(&cut, pace_of_version_1));
  EXPECT_FALSE(read_struct(static_cast<const maslin_pace*>(nullptr), pace_of_version_1));
}

// Figures of the first release, 32, 16 and 16 bytes on a 64-bit machine: they may never move. The
// head of two short numbers takes the place of a pointer, or of what a long number is aligned to.
TEST(Structs, TheFirstVersionIsWhatItWas) {
  struct LongBehindHead {
    std::uint16_t version, size;
    std::int64_t number;
  };
  EXPECT_EQ(plugin_of_version_1, 4 * sizeof(void*));
  EXPECT_EQ(decode_of_version_1, 2 * sizeof(void*));
  EXPECT_EQ(pace_of_version_1, offsetof(LongBehindHead, number) + 8);
}

TEST(Load, NamesAFileThatIsNotThere) {
  EXPECT_THAT(line(load("/nowhere/x.so").error()), HasSubstr("/nowhere/x.so"));
}

}  // namespace
}  // namespace maslin::host
