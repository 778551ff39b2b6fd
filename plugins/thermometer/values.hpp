// What the kernel's text files say of a temperature or a pressure, and which of it is no
// measurement. Pure: text in, value or fault out. Called by sensors.cpp.
#pragma once

#include <optional>
#include <string_view>

#include "plugins/sdk/plugin.hpp"

namespace maslin::thermometer {

// A value, or a state that says why there is none (digits 0 then).
struct Measured {
  sdk::Decimal value;
  int state = 0;
};

// Degrees Celsius between which a probe in a kitchen is believed.
struct Range {
  std::int64_t least_millicelsius = 0;
  std::int64_t most_millicelsius = 0;
};
inline constexpr Range kitchen_probe{-60'000, 500'000};

// value * 10^places as written, rounded half away from zero to 10^exponent; empty where the text is
// no number or does not fit.
std::optional<sdk::Decimal> scaled(std::string_view text, int places, int exponent);

// (raw + offset) * scale of an IIO channel, in units of 10^places, rounded as above. Empty text for
// offset means 0, for scale 1.
std::optional<sdk::Decimal> iio_value(std::string_view raw, std::string_view offset,
                                      std::string_view scale, int places, int exponent);

// Degrees Celsius, or out of range.
Measured celsius(sdk::Decimal value, Range range);
// Pascals, or out of range: no weather and no kitchen has less than 300 or more than 1100 hPa.
Measured pascals(sdk::Decimal value);

// The file `w1_slave` of a 1-Wire thermometer: nine bytes of its memory with the CRC's verdict, and
// the temperature. `before` is its last good value. Bytes that are all zero are a shorted wire, all
// FF an open one; 85 degrees are what it holds before it has measured and are believed only near a
// value before.
Measured one_wire(std::string_view text, std::optional<sdk::Decimal> before);
// The file `temperature` of one, in thousandths of a degree: no bytes to look at.
Measured one_wire_temperature(std::string_view text, std::optional<sdk::Decimal> before);

}  // namespace maslin::thermometer
