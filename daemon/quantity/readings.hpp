// From the digits that a device sent to the integers that everything compares: micrograms,
// millikelvin, pascals. The only place where units of devices are converted; batch/ and devices/
// call it. Exact integer arithmetic, the last step rounded half away from zero.
#pragma once

#include <cstdint>
#include <optional>

#include "proto/reading.hpp"

namespace maslin::quantity {

// Mass in micrograms. Empty where the reading is unusable, is no mass, has a unit that is none, or
// does not fit. One microgram is below every kitchen scale, so nothing that could be compared is
// lost.
std::optional<std::int64_t> micrograms(const proto::Reading& reading);

// Thermodynamic temperature in millikelvin. Empty as above, and below absolute zero.
std::optional<std::int64_t> millikelvin(const proto::Reading& reading);

// Pressure in whole pascals. Empty as above, and where it is not above zero.
std::optional<std::int64_t> pascals(const proto::Reading& reading);

// True where a device of this quantity can read in this unit; false for codes outside the lists.
bool fits(proto::Unit unit, proto::Quantity quantity);

// digits * 10^exponent of a mass unit, in micrograms.
std::optional<std::int64_t> micrograms(std::int64_t digits, int exponent, proto::Unit unit);

}  // namespace maslin::quantity
