// Device digits become integers exactly, and nothing unusable becomes a number.
#include "daemon/quantity/readings.hpp"

#include <gtest/gtest.h>

#include <limits>

namespace maslin::quantity {
namespace {

using proto::Quantity;
using proto::Reading;
using proto::Unit;
namespace state = proto::state;

Reading reading(Quantity quantity, std::int64_t digits, int exponent, Unit unit,
                std::uint16_t bits = 0) {
  Reading r;
  r.quantity = quantity;
  r.digits = digits;
  r.exponent = static_cast<std::int8_t>(exponent);
  r.unit = unit;
  r.state = bits;
  return r;
}
auto mass(std::int64_t digits, int exponent, Unit unit, std::uint16_t bits = 0) {
  return micrograms(reading(Quantity::mass, digits, exponent, unit, bits));
}
auto heat(std::int64_t digits, int exponent, Unit unit) {
  return millikelvin(reading(Quantity::temperature, digits, exponent, unit));
}
auto air(std::int64_t digits, int exponent, Unit unit) {
  return pascals(reading(Quantity::pressure, digits, exponent, unit));
}

TEST(Mass, IsWhatTheScaleSentInMicrograms) {
  EXPECT_EQ(mass(640, 0, Unit::g), 640'000'000);
  EXPECT_EQ(mass(6401, -1, Unit::g), 640'100'000);
  EXPECT_EQ(mass(-37, 0, Unit::g), -37'000'000);
  EXPECT_EQ(mass(225, -1, Unit::oz), 637'864'270);  // 637 864 270.3125 rounded
}

TEST(Mass, RoundsHalfAwayFromZero) {
  EXPECT_EQ(mass(5, -1, Unit::mg), 500);
  EXPECT_EQ(mass(5, -4, Unit::mg), 1);  // 0.5 micrograms
  EXPECT_EQ(mass(-5, -4, Unit::mg), -1);
  EXPECT_EQ(mass(49, -5, Unit::mg), 0);
}

TEST(Mass, SurvivesEveryExponentThatFitsInAByte) {
  EXPECT_EQ(mass(0, 127, Unit::t), 0);
  EXPECT_EQ(mass(1, 127, Unit::g), std::nullopt);
  EXPECT_EQ(mass(std::numeric_limits<std::int64_t>::max(), 0, Unit::t), std::nullopt);
  EXPECT_EQ(mass(std::numeric_limits<std::int64_t>::min(), 0, Unit::t), std::nullopt);
  EXPECT_EQ(mass(std::numeric_limits<std::int64_t>::max(), -128, Unit::t), 0);
  EXPECT_EQ(mass(9'223'372'036'854'775'807, -18, Unit::g), 9'223'372);
}

TEST(Mass, IsNoneWhereTheReadingHasNoValue) {
  for (const std::uint16_t bit :
       {state::over, state::under, state::fault, state::fault_crc, state::needs_calibration}) {
    EXPECT_EQ(mass(640, 0, Unit::g, bit), std::nullopt) << bit;
  }
  EXPECT_EQ(mass(640, 0, Unit::g, state::moving), 640'000'000);
  EXPECT_EQ(mass(640, 0, Unit::none), std::nullopt);
  EXPECT_EQ(mass(640, 0, Unit::celsius), std::nullopt);
  EXPECT_EQ(micrograms(reading(Quantity::temperature, 640, 0, Unit::g)), std::nullopt);
}

TEST(Temperature, IsMillikelvin) {
  EXPECT_EQ(heat(996, -1, Unit::celsius), 372'750);
  EXPECT_EQ(heat(-40, 0, Unit::celsius), heat(-40, 0, Unit::fahrenheit));
  EXPECT_EQ(heat(212, 0, Unit::fahrenheit), 373'150);
  EXPECT_EQ(heat(300, 0, Unit::kelvin), 300'000);
  EXPECT_EQ(heat(0, 0, Unit::fahrenheit), 255'372);         // 255.3722 K
  EXPECT_EQ(heat(21'312'500, -6, Unit::celsius), 294'463);  // 294 462.5 rounded up
}

TEST(Temperature, BelowAbsoluteZeroOrBeyondMeasureIsNone) {
  EXPECT_EQ(heat(-27'316, -2, Unit::celsius), std::nullopt);
  EXPECT_EQ(heat(-27'315, -2, Unit::celsius), 0);
  EXPECT_EQ(heat(1, 100, Unit::celsius), std::nullopt);
  EXPECT_EQ(heat(1, -100, Unit::celsius), 273'150);
  EXPECT_EQ(heat(1, -34, Unit::fahrenheit), 255'372);
  EXPECT_EQ(heat(20, 0, Unit::g), std::nullopt);
}

TEST(Pressure, IsWholePascals) {
  EXPECT_EQ(air(101'325, -2, Unit::hectopascal), 101'325);
  EXPECT_EQ(air(101'325, 0, Unit::pascal), 101'325);
  EXPECT_EQ(air(0, 0, Unit::pascal), std::nullopt);
  EXPECT_EQ(air(-5, 0, Unit::pascal), std::nullopt);
  EXPECT_EQ(air(1013, 0, Unit::g), std::nullopt);
}

}  // namespace
}  // namespace maslin::quantity
