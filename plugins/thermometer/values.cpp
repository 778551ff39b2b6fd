#include "plugins/thermometer/values.hpp"

#include <algorithm>
#include <string>

namespace maslin::thermometer {
namespace {

__extension__ typedef __int128 Wide;

// 1-Wire thermometers of the DS18 family measure from -55 to +125 degrees (data sheet, from
// memory).
constexpr Range one_wire_range{-55'000, 125'000};
constexpr std::int64_t power_on_millicelsius = 85'000;
constexpr std::int64_t near_power_on_millicelsius = 2'000;
constexpr std::int64_t least_pascal = 30'000;
constexpr std::int64_t most_pascal = 110'000;
constexpr Wide most_digits = 1'000'000'000'000'000;

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view blank = " \t\r\n";
  const auto first = text.find_first_not_of(blank);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(blank) - first + 1);
}

// digits * 10^from written with the exponent `to`.
std::optional<sdk::Decimal> rounded(Wide digits, int from, int to) {
  for (; from > to && digits != 0; --from) {
    if (__builtin_mul_overflow(digits, Wide{10}, &digits)) return std::nullopt;
  }
  bool up = false;
  for (; from < to; ++from) {
    const Wide last = digits % 10;
    up = last >= 5 || last <= -5;
    digits /= 10;
    if (up && from + 1 == to) digits += last > 0 ? 1 : -1;
  }
  if (digits > most_digits || digits < -most_digits) return std::nullopt;
  return sdk::Decimal{static_cast<std::int64_t>(digits), to};
}

std::optional<std::int64_t> whole(sdk::Decimal value, int exponent) {
  const auto out = rounded(value.digits, value.exponent, exponent);
  if (!out) return std::nullopt;
  return out->digits;
}

Measured fault(int state) { return {{}, state}; }

Measured checked(std::string_view text, std::optional<sdk::Decimal> before) {
  const auto value = scaled(text, -3, -3);
  if (!value) return fault(MASLIN_FAULT);
  if (value->digits == power_on_millicelsius) {
    const auto last = before ? whole(*before, -3) : std::nullopt;
    const bool near = last && *last >= power_on_millicelsius - near_power_on_millicelsius &&
                      *last <= power_on_millicelsius + near_power_on_millicelsius;
    if (!near) return fault(MASLIN_FAULT_POWER_ON);
  }
  return celsius(*value, one_wire_range);
}

// True where each of the nine bytes before the colon is written so.
bool all_bytes(std::string_view line, std::string_view byte) {
  int count = 0;
  for (std::size_t at = 0; at + 2 <= line.size() && line[at] != ':'; at += 3) {
    if (line.substr(at, 2) != byte) return false;
    ++count;
  }
  return count > 0;
}

}  // namespace

std::optional<sdk::Decimal> scaled(std::string_view text, int places, int exponent) {
  return iio_value(text, "", "", places, exponent);
}

std::optional<sdk::Decimal> iio_value(std::string_view raw, std::string_view offset,
                                      std::string_view scale, int places, int exponent) {
  const auto value = sdk::parse_decimal(trimmed(raw));
  const auto shift = offset.empty() ? sdk::Decimal{} : sdk::parse_decimal(trimmed(offset));
  const auto factor = scale.empty() ? sdk::Decimal{1, 0} : sdk::parse_decimal(trimmed(scale));
  if (!value || !shift || !factor) return std::nullopt;
  // Both summands with the finer of the two exponents, then the product: exact until the rounding.
  const int finer = std::min(value->exponent, shift->exponent);
  Wide sum = value->digits;
  Wide addend = shift->digits;
  for (int i = value->exponent; i > finer; --i) sum *= 10;
  for (int i = shift->exponent; i > finer; --i) addend *= 10;
  Wide product = 0;
  if (__builtin_mul_overflow(sum + addend, Wide{factor->digits}, &product)) return std::nullopt;
  return rounded(product, finer + factor->exponent + places, exponent);
}

Measured celsius(sdk::Decimal value, Range range) {
  const auto millicelsius = whole(value, -3);
  if (!millicelsius || *millicelsius < range.least_millicelsius ||
      *millicelsius > range.most_millicelsius) {
    return fault(MASLIN_FAULT_RANGE);
  }
  return {value, 0};
}

Measured pascals(sdk::Decimal value) {
  const auto pascal = whole(value, 0);
  if (!pascal || *pascal < least_pascal || *pascal > most_pascal) return fault(MASLIN_FAULT_RANGE);
  return {value, 0};
}

Measured one_wire(std::string_view text, std::optional<sdk::Decimal> before) {
  const auto end = text.find('\n');
  const auto first = text.substr(0, end);
  if (all_bytes(first, "00")) return fault(MASLIN_FAULT_SHORT);  // zeros have a CRC of zero: "YES"
  if (all_bytes(first, "ff")) return fault(MASLIN_FAULT_OPEN);
  if (!trimmed(first).ends_with("YES")) return fault(MASLIN_FAULT_CRC);
  const auto at = text.find("t=");
  if (at == std::string_view::npos) return fault(MASLIN_FAULT);
  return checked(text.substr(at + 2), before);
}

Measured one_wire_temperature(std::string_view text, std::optional<sdk::Decimal> before) {
  return checked(text, before);
}

}  // namespace maslin::thermometer
