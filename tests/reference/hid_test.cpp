// The decoder of hid-scale against the USB-IF usage table of weighing devices (page 0x8D), its
// worked reports and the unit codes of USB HID 1.11: every row, in every layout.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "daemon/quantity/readings.hpp"
#include "plugins/hid-scale/layout.hpp"
#include "tests/reference/csv.hpp"
#include "tests/unit/hid-scale/descriptors.hpp"

namespace maslin::reference {
namespace {

using hid::Layout;
using hid::testing::Bytes;
using hid::testing::bytes;

std::uint8_t usage(const Row& row) {
  return static_cast<std::uint8_t>(std::stoi(row.text("usage_hex"), nullptr, 16));
}

// Usages in the order of their selection, as the table numbers them: units, or status codes.
std::vector<Row> selections(std::uint8_t first, std::uint8_t last) {
  std::vector<Row> found;
  for (const auto& row : table("hid_pos_scale_usages.csv")) {
    if (!row.empty("nary_index") && usage(row) >= first && usage(row) <= last) {
      found.push_back(row);
    }
  }
  return found;
}
std::vector<Row> units() { return selections(0x51, 0x5C); }
std::vector<Row> statuses() { return selections(0x71, 0x78); }
std::uint8_t index_of(const Row& row) {
  return static_cast<std::uint8_t>(row.number("nary_index"));
}

// One report of each layout that says 7 of unit `unit` with status `status`, both as numbered by
// the table.
struct Shape {
  Bytes descriptor;
  Bytes report;
};
std::vector<Shape> shapes(std::uint8_t unit, std::uint8_t status) {
  const auto less = [](int value) { return static_cast<std::uint8_t>(value - 1); };
  const auto nibbles = static_cast<std::uint8_t>(status | (unit << 4));
  const auto flag = static_cast<std::uint8_t>(1 << (status - 1));
  return {{hid::testing::usual(), {3, status, unit, 0, 7, 0}},
          {hid::testing::other_order(), {7, 7, 0, 0, unit, status}},
          {hid::testing::without_id(), {less(status), less(unit), 0, 7, 0, 0, 0}},
          {hid::testing::nibbles(), {1, nibbles, 0, 7, 0, 0}},
          {hid::testing::composite(), {2, flag, unit, 0, 7, 0}}};
}

maslin_reading read(const Shape& shape) {
  const auto readings = Layout::of(shape.descriptor)->decode(shape.report);
  if (!readings) throw std::runtime_error(readings.error());
  return readings->at(0);
}

// USB-IF HID Usage Tables, weighing devices: Weight Unit, 0x51 to 0x5C. What each is in grams is
// checked against NIST Handbook 44 in household_test.cpp.
TEST(HidUsageTable, EveryUnitInEveryLayout) {
  const std::map<std::string, std::uint16_t> names{
      {"milligram", MASLIN_MG},     {"gram", MASLIN_G},       {"kilogram", MASLIN_KG},
      {"carats", MASLIN_CT},        {"taels", MASLIN_TAEL},   {"grains", MASLIN_GR},
      {"pennyweights", MASLIN_DWT}, {"metric ton", MASLIN_T}, {"avoir ton", MASLIN_TON},
      {"troy ounce", MASLIN_OZT},   {"ounce", MASLIN_OZ},     {"pound", MASLIN_LB}};
  ASSERT_EQ(units().size(), 12U);
  for (const auto& row : units()) {
    for (const auto& shape : shapes(index_of(row), 4)) {
      SCOPED_TRACE(row.shown());
      const auto reading = read(shape);
      EXPECT_EQ(reading.unit, names.at(row.text("name")));
      EXPECT_EQ(reading.digits, 7);
      EXPECT_GT(quantity::micrograms(7, 0, static_cast<proto::Unit>(reading.unit)).value_or(0), 0);
    }
  }
}

// USB-IF HID Usage Tables, weighing devices: Scale Status, 0x71 to 0x78.
TEST(HidUsageTable, EveryStatusInEveryLayout) {
  const std::map<std::string, int> names{{"Fault", MASLIN_FAULT},
                                         {"Stable at Center of Zero", MASLIN_ZERO | MASLIN_STEADY},
                                         {"In Motion", MASLIN_MOVING},
                                         {"Weight Stable", MASLIN_STEADY},
                                         {"Under Zero", MASLIN_UNDER},
                                         {"Over Weight Limit", MASLIN_OVER},
                                         {"Requires Calibration", MASLIN_NEEDS_CALIBRATION},
                                         {"Requires Re-zeroing", MASLIN_NEEDS_ZERO}};
  ASSERT_EQ(statuses().size(), 8U);
  for (const auto& row : statuses()) {
    const auto expected = names.at(row.text("name"));
    const bool has_value = (expected & proto::state::unusable) == 0;
    for (const auto& shape : shapes(2, index_of(row))) {
      SCOPED_TRACE(row.shown());
      const auto reading = read(shape);
      EXPECT_EQ(reading.state, expected);
      EXPECT_EQ(reading.digits, has_value ? 7 : 0);
    }
  }
}

// A descriptor written out of the table itself; each row without a selection number takes its own
// place in it, and none of them changes what is weighed.
TEST(HidUsageTable, EveryOtherRowIsKnownOrPassedOver) {
  Bytes list_of_units;
  for (const auto& row : units()) list_of_units.insert(list_of_units.end(), {0x09, usage(row)});
  int rows = 0;
  for (const auto& row : table("hid_pos_scale_usages.csv")) {
    const auto one = usage(row);
    // Rows with a part in the report cannot stand in it a second time.
    if (!row.empty("nary_index") || one == 0x40 || one == 0x41) continue;
    SCOPED_TRACE(row.shown());
    ++rows;
    auto descriptor = bytes("05 8D 09 01 A1 01 75 08 95 01 15 00 26 FF 00");
    const bool collection = one <= 0x35 && one >= 0x30;
    if (collection) {  // that report as a collection of its own, of its own kind
      descriptor.insert(descriptor.end(),
                        {0x85, 0x02, 0x09, one, 0xA1, 0x02, 0x09, 0x60, 0xB1, 0x02, 0xC0});
    }
    descriptor.insert(descriptor.end(), {0x85, 0x01});
    if (!collection) descriptor.insert(descriptor.end(), {0x09, one, 0x81, 0x02});
    const auto unit_field = bytes("15 01 25 0C 81 00 15 00 26 FF 7F 75 10 09 40 81 02 C0");
    descriptor.insert(descriptor.end(), list_of_units.begin(), list_of_units.end());
    descriptor.insert(descriptor.end(), unit_field.begin(), unit_field.end());
    const Bytes report = collection ? Bytes{1, 2, 7, 0} : Bytes{1, 1, 2, 7, 0};
    const auto reading = read({descriptor, report});
    EXPECT_EQ(reading.digits, 7);
    EXPECT_EQ(reading.unit, MASLIN_G);
  }
  EXPECT_GT(rows, 20);
}

// Reports constructed from the data report of the usage tables; the meaning stands in the row.
TEST(HidReportExamples, MeanWhatTheTableSays) {
  const auto scale = Layout::of(hid::testing::usual());
  for (const auto& row : table("hid_report_examples.csv")) {
    SCOPED_TRACE(row.shown());
    const auto report = bytes(row.text("bytes_hex"));
    const auto reading = scale->decode(report).value().at(0);
    const auto& meaning = row.text("meaning");
    if (meaning.starts_with("under zero")) {
      EXPECT_EQ(reading.state, MASLIN_UNDER);
      EXPECT_EQ(reading.digits, 0) << "the magnitude is not a load";
      continue;
    }
    const bool zero = meaning.starts_with("stable at zero, ");
    const auto from = zero ? meaning.find(", ") + 2 : meaning.find(' ') + 1;
    const auto space = meaning.find(' ', from);
    const auto value = sdk::parse_decimal(meaning.substr(from, space - from));
    ASSERT_TRUE(value);
    EXPECT_EQ(reading.digits, value->digits);
    EXPECT_EQ(reading.exponent, value->exponent);
    EXPECT_EQ(reading.state, zero ? MASLIN_ZERO | MASLIN_STEADY : MASLIN_STEADY);
    EXPECT_EQ(reading.unit, meaning.find(" oz", space) == space ? MASLIN_OZ : MASLIN_G);
  }
}

// USB HID 1.11, 6.2.2.7 (rows from memory where the table says so): of all unit codes only the
// gram is a unit that a weight can stand in by itself.
TEST(HidUnitCodes, OnlyTheGramWeighsWithoutAUnitField) {
  int grams = 0;
  for (const auto& row : table("hid_unit_codes.csv")) {
    SCOPED_TRACE(row.shown());
    const auto code = std::stoul(row.text("code"), nullptr, 16);
    auto descriptor = bytes("05 8D 09 01 A1 01 55 0D 67");
    for (int i = 0; i < 4; ++i) descriptor.push_back(static_cast<std::uint8_t>(code >> (8 * i)));
    const auto rest = bytes("15 00 26 FF 7F 75 10 95 01 09 40 81 02 C0");
    descriptor.insert(descriptor.end(), rest.begin(), rest.end());
    const auto scale = Layout::of(descriptor);
    if (row.text("quantity") != "mass gram") {
      EXPECT_FALSE(scale);
      continue;
    }
    ++grams;
    ASSERT_TRUE(scale);
    const auto reading = scale->decode(bytes("07 00")).value().at(0);
    EXPECT_EQ(reading.unit, MASLIN_G);
    EXPECT_EQ(reading.exponent, -3);  // D: a nibble in two's complement
  }
  EXPECT_EQ(grams, 1);
}

}  // namespace
}  // namespace maslin::reference
