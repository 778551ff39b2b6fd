// What a report means is told by the descriptor alone: layouts, states, exponents, and every way of
// being broken.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "plugins/hid-scale/layout.hpp"
#include "tests/unit/hid-scale/descriptors.hpp"

namespace maslin::hid {
namespace {

using testing::Bytes;
using testing::bytes;
using ::testing::HasSubstr;

Layout layout(const Bytes& descriptor) {
  auto made = Layout::of(descriptor);
  if (!made) throw std::runtime_error(made.error());
  return std::move(*made);
}
maslin_reading only(const Layout& scale, std::string_view report) {
  const auto readings = scale.decode(bytes(report));
  if (!readings) throw std::runtime_error(readings.error());
  if (readings->size() != 1) throw std::runtime_error("not one reading");
  return readings->front();
}
std::string why(const Layout& scale, std::string_view report) {
  const auto readings = scale.decode(bytes(report));
  return readings ? "a reading" : readings.error();
}
std::string fault_of(std::string_view descriptor) {
  const auto made = Layout::of(bytes(descriptor));
  return made ? "none" : made.error();
}

TEST(Decoder, FindsEveryFieldWhereTheDescriptorPutsIt) {
  struct Case {
    Bytes descriptor;
    std::string report;
  };
  const std::vector<Case> same{{testing::usual(), "03 04 02 FF D2 04"},
                               {testing::other_order(), "07 D2 04 FF 02 04"},
                               {testing::without_id(), "03 01 FF D2 04 00 00"},
                               {testing::nibbles(), "01 24 0F D2 04 00"},
                               {testing::composite(), "02 08 02 0F D2 04"}};
  for (const auto& one : same) {
    SCOPED_TRACE(one.report);
    const auto reading = only(layout(one.descriptor), one.report);
    EXPECT_EQ(reading.quantity, MASLIN_MASS);
    EXPECT_EQ(reading.unit, MASLIN_G);
    EXPECT_EQ(reading.digits, 1234);
    EXPECT_EQ(reading.exponent, -1);
    EXPECT_EQ(reading.state, MASLIN_STEADY);
  }
}

TEST(Decoder, TakesAWeightBelowZeroFromASignedField) {
  EXPECT_EQ(only(layout(testing::without_id()), "03 01 00 CE FF FF FF").digits, -50);
}

TEST(Decoder, UnderZeroNeverHasAValueSignedOrNot) {
  for (const auto& [descriptor, report] :
       {std::pair{testing::usual(), "03 05 02 00 32 00"},
        std::pair{testing::without_id(), "04 01 00 CE FF FF FF"}}) {
    const auto reading = only(layout(descriptor), report);
    EXPECT_EQ(reading.state, MASLIN_UNDER);
    EXPECT_EQ(reading.digits, 0);
  }
}

TEST(Decoder, ReadsEveryExponentOfAByteAndOfANibble) {
  for (int exponent = -12; exponent <= 12; ++exponent) {
    Bytes report = bytes("03 04 02 00 07 00");
    report[3] = static_cast<std::uint8_t>(exponent);
    const auto readings = layout(testing::usual()).decode(report);
    ASSERT_TRUE(readings) << exponent;
    EXPECT_EQ(readings->front().exponent, exponent);
  }
  for (int exponent = -8; exponent <= 7; ++exponent) {
    const auto nibble = static_cast<std::uint8_t>(exponent & 0xF);
    Bytes report = bytes("01 24 00 07 00 00");
    report[2] = nibble;
    EXPECT_EQ(layout(testing::nibbles()).decode(report)->front().exponent, exponent);
    report = bytes("02 08 02 00 07 00");
    report[3] = nibble;
    EXPECT_EQ(layout(testing::composite()).decode(report)->front().exponent, exponent);
  }
}

TEST(Decoder, RefusesAnExponentThatNoScaleHas) {
  EXPECT_THAT(why(layout(testing::usual()), "03 04 02 0D 07 00"), HasSubstr("scaling 13"));
  EXPECT_THAT(why(layout(testing::usual()), "03 04 02 80 07 00"), HasSubstr("scaling -128"));
}

TEST(Decoder, RefusesReportsOfAnotherLength) {
  const auto scale = layout(testing::usual());
  EXPECT_EQ(why(scale, ""), "the report is empty");
  EXPECT_EQ(why(scale, "03 04 02 FF D2"), "report of 5 bytes, 6 expected");
  EXPECT_EQ(why(scale, "03 04 02 FF D2 04 00"), "report of 7 bytes, 6 expected");
  EXPECT_EQ(why(scale, "08 04 02 FF D2 04"), "report id 8 is not in the descriptor");
  EXPECT_EQ(why(layout(testing::without_id()), "03 01 FF D2 04 00"),
            "report of 6 bytes, 7 expected");
}

TEST(Decoder, RefusesAUnitOrStatusThatTheDescriptorDoesNotName) {
  const auto scale = layout(testing::usual());
  EXPECT_EQ(why(scale, "03 04 0D 00 01 00"), "unit 13 is none of the descriptor's");
  EXPECT_EQ(why(scale, "03 04 00 00 01 00"), "unit 0 is none of the descriptor's");
  EXPECT_EQ(why(scale, "03 09 02 00 01 00"), "status 9 is none of the descriptor's");
  EXPECT_EQ(why(scale, "03 00 02 00 01 00"), "status 0 is none of the descriptor's");
}

TEST(Decoder, AFaultIsToldEvenWhenTheRestIsGarbage) {
  const auto reading = only(layout(testing::usual()), "03 01 FF 7F FF FF");
  EXPECT_EQ(reading.state, MASLIN_FAULT);
  EXPECT_EQ(reading.unit, MASLIN_NO_UNIT);
}

TEST(Decoder, AWeightOutsideItsLogicalRangeIsNoValue) {
  auto narrow = bytes(R"(05 8D 09 20 A1 01 75 08 95 01 19 51 29 5C 15 01 25 0C 81 00
                         09 40 15 00 26 88 13 75 10 81 02 C0)");  // 0 ... 5000
  EXPECT_EQ(only(layout(narrow), "02 88 13").digits, 5000);
  const auto beyond = only(layout(narrow), "02 89 13");
  EXPECT_EQ(beyond.state, MASLIN_FAULT_RANGE);
  EXPECT_EQ(beyond.digits, 0);
}

// Value 0 can only be "none": else the twelfth unit would have no value.
TEST(Decoder, ARangeOneLongerThanItsUsagesCountsFromOne) {
  auto from_zero = bytes(R"(05 8D 09 20 A1 01 75 08 95 01 19 51 29 5C 15 00 25 0C 81 00
                            09 40 15 00 26 FF 7F 75 10 81 02 C0)");
  EXPECT_EQ(only(layout(from_zero), "02 01 00").unit, MASLIN_G);
  EXPECT_EQ(only(layout(from_zero), "0C 01 00").unit, MASLIN_LB);
  EXPECT_EQ(why(layout(from_zero), "00 01 00"), "unit 0 is none of the descriptor's");
}

TEST(Decoder, GramsOfTheDescriptorsOwnUnitItem) {
  auto own_unit = bytes(R"(05 8D 09 20 A1 01 55 0F 66 01 01
                           09 40 15 00 26 FF 7F 75 10 95 01 81 02 C0)");
  const auto reading = only(layout(own_unit), "D2 04");
  EXPECT_EQ(reading.unit, MASLIN_G);
  EXPECT_EQ(reading.exponent, -1);
  EXPECT_EQ(reading.state, 0);
}

TEST(Decoder, AStatusReportTellsTroubleAlone) {
  const auto scale = layout(testing::composite());
  EXPECT_TRUE(scale.decode(bytes("09 04"))->empty());
  EXPECT_EQ(only(scale, "09 06").state, MASLIN_OVER);
  EXPECT_TRUE(scale.decode(bytes("01 00 04 00 00 00 00 00"))->empty());  // the keyboard's
}

TEST(Decoder, SeveralFlagsOfStatusAreAllTold) {
  EXPECT_EQ(only(layout(testing::composite()), "02 88 02 00 07 00").state,
            MASLIN_STEADY | MASLIN_NEEDS_ZERO);
}

TEST(Layout, TellsLimitAndStepFromFeatureReports) {
  const auto scale = layout(testing::usual());
  ASSERT_EQ(scale.limit_report(), 5);
  ASSERT_EQ(scale.attribute_report(), 4);
  EXPECT_EQ(scale.feature_length(5), 5U);
  const auto limit = scale.limit(bytes("05 03 00 05 00"));
  ASSERT_TRUE(limit) << limit.error();
  EXPECT_EQ(in_unit(*limit, MASLIN_G)->exponent, 3);
  EXPECT_EQ(limit->value.digits, 5);
  EXPECT_FALSE(in_unit(*limit, MASLIN_OZ));
  EXPECT_EQ(scale.step(bytes("04 01 02 FF"))->value.exponent, -1);
  EXPECT_FALSE(scale.limit(bytes("05 03 00 05")));
  EXPECT_FALSE(scale.limit(bytes("04 01 02 FF")));
  EXPECT_FALSE(layout(testing::without_id()).limit_report());
  EXPECT_EQ(scale.longest_input(), 6U);
  EXPECT_EQ(layout(testing::composite()).longest_input(), 8U);
}

TEST(Layout, RefusesWhatIsNoScale) {
  EXPECT_THAT(fault_of("05 01 09 06 A1 01 05 07 19 E0 29 E7 15 00 25 01 75 01 95 08 81 02 C0"),
              HasSubstr("no weighing device"));
  // A weight that stands in the limit report alone is none that is weighed.
  EXPECT_THAT(fault_of("05 8D 09 20 A1 01 09 34 A1 02 09 40 75 10 95 01 81 02 C0 C0"),
              HasSubstr("no weighing device"));
  EXPECT_THAT(fault_of("05 8D 09 20 A1 01 09 40 75 10 95 01 81 02 C0"), HasSubstr("no unit"));
}

TEST(Descriptor, NamesWhatIsBroken) {
  EXPECT_THAT(fault_of(""), HasSubstr("empty"));
  EXPECT_THAT(fault_of("05 8D 09 20 A1 01"), HasSubstr("not closed"));
  EXPECT_THAT(fault_of("05 8D C0"), HasSubstr("byte 2: a collection ends"));
  EXPECT_THAT(fault_of("05 8D 27 FF"), HasSubstr("byte 2: an item is cut off"));
  EXPECT_THAT(fault_of("B4"), HasSubstr("pop without push"));
  EXPECT_THAT(fault_of("85 00"), HasSubstr("report id"));
  EXPECT_THAT(fault_of("77 FF FF FF FF 97 FF FF FF FF 81 02"), HasSubstr("larger than"));
  EXPECT_THAT(Layout::of(Bytes(9000)).error(), HasSubstr("longer than"));
  EXPECT_THAT(Layout::of(Bytes(60, 0xA4)).error(), HasSubstr("too many push"));
  EXPECT_THAT(Layout::of(Bytes(80, 0xA0)).error(), HasSubstr("too deep"));
}

TEST(Descriptor, PassesOverLongItemsAndAliases) {
  auto odd = testing::usual();
  const auto long_item = bytes("FE 02 10 AA BB");
  odd.insert(odd.begin(), long_item.begin(), long_item.end());
  EXPECT_EQ(only(layout(odd), "03 04 02 00 7B 00").digits, 123);
  auto aliased = bytes(R"(05 8D 09 20 A1 01 75 08 95 01 19 51 29 5C 15 01 25 0C 81 00
                          A9 01 09 40 09 99 A9 00 15 00 26 FF 7F 75 10 81 02 C0)");
  EXPECT_EQ(only(layout(aliased), "02 7B 00").digits, 123);
}

// Whatever stands in descriptor and report: an answer, never a crash and never a value from beyond
// the report. The sanitizer builds watch the memory.
TEST(Decoder, OutlivesDamage) {
  std::mt19937 chance(20240229);
  const auto draw = [&](std::size_t below) {
    return std::uniform_int_distribution<std::size_t>(0, below - 1)(chance);
  };
  const std::vector<Bytes> good{testing::usual(), testing::other_order(), testing::without_id(),
                                testing::nibbles(), testing::composite()};
  int readings = 0;
  int refusals = 0;
  for (int round = 0; round < 20'000; ++round) {
    auto descriptor = good[draw(good.size())];
    for (std::size_t i = draw(4); i > 0; --i) {
      descriptor[draw(descriptor.size())] = static_cast<std::uint8_t>(draw(256));
    }
    if (draw(8) == 0) descriptor.resize(draw(descriptor.size()) + 1);
    const auto scale = Layout::of(descriptor);
    if (!scale) {
      ++refusals;
      continue;
    }
    Bytes report(draw(10));
    for (auto& byte : report) byte = static_cast<std::uint8_t>(draw(16));
    const auto decoded = scale->decode(report);
    decoded ? ++readings : ++refusals;
    (void)scale->limit(report);
    (void)scale->step(report);
  }
  EXPECT_GT(readings, 100);
  EXPECT_GT(refusals, 1'000);
}

}  // namespace
}  // namespace maslin::hid
