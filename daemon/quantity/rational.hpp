// Exact fractions, so that 1 1/3 cups stays 1 1/3 cups until somebody weighs it.
// Used by the household amounts and by everything that turns them into micrograms.
#pragma once

#include <cstdint>
#include <numeric>
#include <optional>
#include <string_view>

namespace maslin::quantity {

__extension__ typedef __int128 Wide;  // room for the product of two 64-bit numbers

// numerator / denominator in lowest terms, denominator > 0.
struct Rational {
  std::int64_t numerator = 0;
  std::int64_t denominator = 1;
  friend bool operator==(const Rational&, const Rational&) = default;
};

// Lowest terms of n/d; empty where d is 0 or the result does not fit.
std::optional<Rational> reduced(Wide n, Wide d);
std::optional<Rational> product(const Rational& a, const Rational& b);
std::optional<Rational> sum(const Rational& a, const Rational& b);
inline double value(const Rational& r) {
  return static_cast<double>(r.numerator) / static_cast<double>(r.denominator);
}

// n/d to the nearest whole number, half away from zero; d > 0. Empty where it does not fit.
std::optional<std::int64_t> rounded(Wide n, Wide d);

// A decimal or fraction as people write it: "2", "0.25", "1/3", "1 1/3", "½", "1½". Nothing else
// may stand in `text`; at most nine digits in a row. Empty where it is not such a number.
std::optional<Rational> parse_number(std::string_view text);

}  // namespace maslin::quantity
