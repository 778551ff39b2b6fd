// Device digits to integers; see the header.
#include "daemon/quantity/readings.hpp"

#include <array>

#include "daemon/quantity/rational.hpp"

namespace maslin::quantity {
namespace {

using proto::Quantity;
using proto::Reading;
using proto::Unit;

// A value digits * numerator / denominator * 10^exponent as a fraction of whole numbers.
struct Scaled {
  Wide numerator = 0;
  Wide denominator = 1;
  bool vanishes = false;  // below anything that could be rounded up
};

// Empty where the number itself is too large. A divisor too large for 128 bits means a value of 0.
std::optional<Scaled> scaled(std::int64_t digits, int exponent, Rational unit) {
  Scaled result{Wide{digits} * unit.numerator, unit.denominator, digits == 0};
  if (digits == 0) return result;
  for (; exponent > 0; --exponent) {
    if (__builtin_mul_overflow(result.numerator, Wide{10}, &result.numerator)) return std::nullopt;
  }
  for (; exponent < 0; ++exponent) {
    if (__builtin_mul_overflow(result.denominator, Wide{10}, &result.denominator)) {
      result.vanishes = true;
      return result;
    }
  }
  return result;
}

struct MassUnit {
  Unit unit;
  Rational micrograms;
};

// NIST HB 44 appendix C: grain 64.798 91 mg, pound 7000 grains, ounce and short ton from the pound,
// pennyweight 24 grains, troy ounce 480 grains; carat 200 mg. The HID usage tables do not say which
// tael: 37.5 g is from memory, as is the reading of "ton" as the short ton of 2000 pounds.
constexpr std::array<MassUnit, 12> kMassUnits{{{Unit::mg, {1'000, 1}},
                                               {Unit::g, {1'000'000, 1}},
                                               {Unit::kg, {1'000'000'000, 1}},
                                               {Unit::ct, {200'000, 1}},
                                               {Unit::tael, {37'500'000, 1}},
                                               {Unit::gr, {6'479'891, 100}},
                                               {Unit::dwt, {6'479'891 * 24LL, 100}},
                                               {Unit::t, {1'000'000'000'000, 1}},
                                               {Unit::ton, {907'184'740'000, 1}},
                                               {Unit::ozt, {6'479'891 * 480LL, 100}},
                                               {Unit::oz, {28'349'523'125, 1'000}},
                                               {Unit::lb, {453'592'370, 1}}}};

bool is(const Reading& reading, Quantity quantity) {
  return reading.usable() && reading.quantity == quantity;
}

}  // namespace

bool fits(Unit unit, Quantity quantity) {
  switch (quantity) {
    case Quantity::mass:
      return unit >= Unit::mg && unit <= Unit::lb;
    case Quantity::temperature:
      return unit >= Unit::kelvin && unit <= Unit::fahrenheit;
    case Quantity::pressure:
      return unit == Unit::pascal || unit == Unit::hectopascal;
    case Quantity::press:
      return unit == Unit::none || unit == Unit::count;
  }
  return false;
}

std::optional<std::int64_t> micrograms(std::int64_t digits, int exponent, Unit unit) {
  for (const MassUnit& known : kMassUnits) {
    if (known.unit != unit) continue;
    const auto value = scaled(digits, exponent, known.micrograms);
    if (!value) return std::nullopt;
    if (value->vanishes) return 0;
    return rounded(value->numerator, value->denominator);
  }
  return std::nullopt;
}

std::optional<std::int64_t> micrograms(const Reading& reading) {
  if (!is(reading, Quantity::mass)) return std::nullopt;
  return micrograms(reading.digits, reading.exponent, reading.unit);
}

std::optional<std::int64_t> millikelvin(const Reading& reading) {
  if (!is(reading, Quantity::temperature)) return std::nullopt;
  Rational unit{1000, 1};
  Rational offset{0, 1};
  switch (reading.unit) {
    case Unit::kelvin:
      break;
    case Unit::celsius:
      offset = {273'150, 1};
      break;
    // 0 °F is 459.67 Rankine degrees of 5/9 K each.
    case Unit::fahrenheit:
      unit = {5000, 9};
      offset = {459'670 * 5, 9};
      break;
    default:
      return std::nullopt;
  }
  const auto value = scaled(reading.digits, reading.exponent, unit);
  if (!value) return std::nullopt;
  const auto zero = rounded(offset.numerator, offset.denominator);
  if (value->vanishes) return zero;
  // n/d + offset as one fraction. Where it does not fit, the digits behind the point are so many
  // that the offset can be rounded by itself.
  Wide shift = 0;
  Wide numerator = 0;
  const Wide scale = value->denominator / offset.denominator;
  if (value->denominator % offset.denominator == 0 &&
      !__builtin_mul_overflow(scale, Wide{offset.numerator}, &shift) &&
      !__builtin_add_overflow(value->numerator, shift, &numerator)) {
    if (numerator < 0) return std::nullopt;
    return rounded(numerator, value->denominator);
  }
  const auto part = rounded(value->numerator, value->denominator);
  if (!part || *part < -*zero) return std::nullopt;
  std::int64_t total = 0;
  if (__builtin_add_overflow(*part, *zero, &total)) return std::nullopt;
  return total;
}

std::optional<std::int64_t> pascals(const Reading& reading) {
  if (!is(reading, Quantity::pressure)) return std::nullopt;
  Rational unit{1, 1};
  if (reading.unit == Unit::hectopascal) {
    unit = {100, 1};
  } else if (reading.unit != Unit::pascal) {
    return std::nullopt;
  }
  const auto value = scaled(reading.digits, reading.exponent, unit);
  if (!value || value->vanishes) return std::nullopt;
  const auto pressure = rounded(value->numerator, value->denominator);
  if (!pressure || *pressure <= 0) return std::nullopt;
  return pressure;
}

}  // namespace maslin::quantity
