// Exact fractions; see the header.
#include "daemon/quantity/rational.hpp"

#include <array>
#include <limits>
#include <utility>

namespace maslin::quantity {
namespace {

constexpr Wide kGreatest = std::numeric_limits<std::int64_t>::max();

Wide magnitude(Wide value) { return value < 0 ? -value : value; }

Wide common_divisor(Wide a, Wide b) {
  while (b != 0) {
    a = std::exchange(b, a % b);
  }
  return a;
}

// The fractions that stand in kitchens' type, as UTF-8.
struct Glyph {
  std::string_view bytes;
  Rational value;
};
constexpr std::array<Glyph, 15> kGlyphs{{{"½", {1, 2}},
                                         {"⅓", {1, 3}},
                                         {"⅔", {2, 3}},
                                         {"¼", {1, 4}},
                                         {"¾", {3, 4}},
                                         {"⅕", {1, 5}},
                                         {"⅖", {2, 5}},
                                         {"⅗", {3, 5}},
                                         {"⅘", {4, 5}},
                                         {"⅙", {1, 6}},
                                         {"⅚", {5, 6}},
                                         {"⅛", {1, 8}},
                                         {"⅜", {3, 8}},
                                         {"⅝", {5, 8}},
                                         {"⅞", {7, 8}}}};

std::optional<Rational> take_glyph(std::string_view& text) {
  for (const Glyph& glyph : kGlyphs) {
    if (text.starts_with(glyph.bytes)) {
      text.remove_prefix(glyph.bytes.size());
      return glyph.value;
    }
  }
  return std::nullopt;
}

// Up to nine digits: more is a slip of the hand, and nine always fit.
std::optional<std::int64_t> take_digits(std::string_view& text, int& count) {
  std::int64_t number = 0;
  count = 0;
  while (!text.empty() && text.front() >= '0' && text.front() <= '9') {
    if (++count > 9) return std::nullopt;
    number = number * 10 + (text.front() - '0');
    text.remove_prefix(1);
  }
  if (count == 0) return std::nullopt;
  return number;
}

void skip_spaces(std::string_view& text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
}

// What follows the whole part: "1/3" or a glyph, with nothing behind it.
std::optional<Rational> take_fraction(std::string_view& text) {
  if (auto glyph = take_glyph(text)) return glyph;
  int count = 0;
  const auto numerator = take_digits(text, count);
  if (!numerator || text.empty() || text.front() != '/') return std::nullopt;
  text.remove_prefix(1);
  const auto denominator = take_digits(text, count);
  if (!denominator) return std::nullopt;
  return reduced(*numerator, *denominator);
}

}  // namespace

std::optional<Rational> reduced(Wide n, Wide d) {
  if (d == 0) return std::nullopt;
  if (d < 0) {
    n = -n;
    d = -d;
  }
  const Wide divisor = common_divisor(magnitude(n), d);
  n /= divisor;
  d /= divisor;
  if (magnitude(n) > kGreatest || d > kGreatest) return std::nullopt;
  return Rational{static_cast<std::int64_t>(n), static_cast<std::int64_t>(d)};
}

std::optional<Rational> product(const Rational& a, const Rational& b) {
  return reduced(Wide{a.numerator} * b.numerator, Wide{a.denominator} * b.denominator);
}

std::optional<Rational> sum(const Rational& a, const Rational& b) {
  // Each product is below 2^126, their sum below 2^127: no overflow.
  return reduced(Wide{a.numerator} * b.denominator + Wide{b.numerator} * a.denominator,
                 Wide{a.denominator} * b.denominator);
}

std::optional<std::int64_t> rounded(Wide n, Wide d) {
  const Wide size = magnitude(n);
  Wide whole = size / d;
  if (size % d >= d - size % d) ++whole;  // half or more, without doubling what may be large
  if (whole > kGreatest) return std::nullopt;
  return static_cast<std::int64_t>(n < 0 ? -whole : whole);
}

std::optional<Rational> parse_number(std::string_view text) {
  skip_spaces(text);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  std::string_view rest = text;
  if (auto fraction = take_fraction(rest); fraction && rest.empty()) return fraction;

  rest = text;
  int count = 0;
  const auto whole = take_digits(rest, count);
  if (!whole) return std::nullopt;
  if (rest.empty()) return Rational{*whole, 1};
  if (rest.front() == '.') {
    rest.remove_prefix(1);
    const auto decimals = take_digits(rest, count);
    if (!decimals || !rest.empty()) return std::nullopt;
    std::int64_t scale = 1;
    for (int i = 0; i < count; ++i) scale *= 10;
    return reduced(Wide{*whole} * scale + *decimals, scale);
  }
  const bool spaced = rest.front() == ' ';
  skip_spaces(rest);
  // "1½" may do without the space, "11/3" may not: it is eleven thirds.
  if (!spaced && rest.front() >= '0' && rest.front() <= '9') return std::nullopt;
  const auto fraction = take_fraction(rest);
  if (!fraction || !rest.empty()) return std::nullopt;
  return sum(Rational{*whole, 1}, *fraction);
}

}  // namespace maslin::quantity
