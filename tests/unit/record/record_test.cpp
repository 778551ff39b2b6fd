// The hash chain: what it pins, byte by byte.
#include <gtest/gtest.h>

#include "daemon/record/canonical.hpp"
#include "daemon/record/chain.hpp"
#include "daemon/record/hash.hpp"

namespace maslin::record {
namespace {

proto::Reading reading(std::uint64_t number, std::int64_t digits) {
  proto::Reading r;
  r.number = number;
  r.at_ms = 1000 + static_cast<std::int64_t>(number) * 100;
  r.digits = digits;
  r.exponent = -1;
  r.unit = proto::Unit::g;
  return r;
}

// FIPS 180-4, the examples NIST publishes beside it (one block, and the empty message).
TEST(Sha256, GivesThePublishedDigests) {
  EXPECT_EQ(sha256_hex("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256_hex(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

TEST(Sha256, DoesNotCareHowItIsFedAndStartsAfreshAfterwards) {
  Sha256 hash;
  hash.take("a");
  hash.take("bc");
  EXPECT_EQ(hash.finish(), sha256_hex("abc"));
  EXPECT_EQ(hash.finish(), sha256_hex(""));
}

TEST(Canonical, LaysAReadingOutLittleEndianWithoutPadding) {
  proto::Reading r;
  r.number = 1;
  r.at_ms = 0x0102;
  r.digits = -1;
  r.device = 2;
  r.state = 0x8001;
  r.exponent = -1;
  r.unit = proto::Unit::g;
  r.quantity = proto::Quantity::mass;
  std::string bytes;
  append_canonical(bytes, r);
  const std::string expected = std::string("\x01\0\0\0\0\0\0\0", 8) +
                               std::string("\x02\x01\0\0\0\0\0\0", 8) + std::string(8, '\xff') +
                               std::string("\x02\0", 2) + "\x01\x80" + "\xff\x02\x01";
  EXPECT_EQ(bytes.size(), kCanonicalSize);
  EXPECT_EQ(bytes, expected);
}

TEST(Chain, IsWhatItsHeaderSays) {
  Chain chain;
  EXPECT_EQ(chain.last(), kChainStart);
  chain.take(reading(1, 42));
  std::string bytes{kChainStart};
  append_canonical(bytes, reading(1, 42));
  bytes += "text";
  bytes += std::string("\x01\0\0\0\0\0\0\0\x04\0\0\0\0\0\0\0", 16);
  EXPECT_EQ(chain.add("text"), sha256_hex(bytes));
  EXPECT_EQ(chain.last(), sha256_hex(bytes));
}

TEST(Chain, PinsEveryReadingTextAndTheirOrder) {
  const auto hash_of = [](std::vector<std::int64_t> before, std::string text,
                          std::vector<std::int64_t> after) {
    Chain chain;
    std::uint64_t number = 0;
    for (const auto digits : before) chain.take(reading(++number, digits));
    chain.add(text);
    for (const auto digits : after) chain.take(reading(++number, digits));
    return chain.add("end");
  };
  const std::string base = hash_of({1, 2}, "a", {3});
  EXPECT_EQ(hash_of({1, 2}, "a", {3}), base);
  EXPECT_NE(hash_of({1, 3}, "a", {3}), base) << "a reading altered";
  EXPECT_NE(hash_of({2, 1}, "a", {3}), base) << "two readings exchanged";
  EXPECT_NE(hash_of({1}, "a", {2, 3}), base) << "a reading moved behind the entry";
  EXPECT_NE(hash_of({1, 2}, "b", {3}), base) << "a text altered";
  EXPECT_NE(hash_of({1, 2}, "a", {}), base) << "a reading left out";
}

TEST(Chain, TakesAnyNumberOfReadingsBetweenTwoEntries) {
  Chain chain;
  std::string bytes{kChainStart};
  for (std::uint64_t number = 1; number <= 1000; ++number) {
    chain.take(reading(number, 7));
    append_canonical(bytes, reading(number, 7));
  }
  bytes += "x";
  bytes += std::string("\xe8\x03\0\0\0\0\0\0\x01\0\0\0\0\0\0\0", 16);
  EXPECT_EQ(chain.add("x"), sha256_hex(bytes));
}

}  // namespace
}  // namespace maslin::record
