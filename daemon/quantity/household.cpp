// Household amounts; see the header.
#include "daemon/quantity/household.hpp"

#include <array>
#include <cctype>

namespace maslin::quantity {
namespace {

struct MeasureWords {
  Measure measure;
  std::string_view one;  // as it is printed
  std::string_view many;
  std::string_view also;  // other spellings, each between spaces
};
constexpr std::array<MeasureWords, 15> kWords{{
    {Measure::teaspoon, "tsp", "tsp", " teaspoon teaspoons "},
    {Measure::tablespoon, "tbsp", "tbsp", " tablespoon tablespoons "},
    {Measure::fluid_ounce, "fl oz", "fl oz", " fluid-ounce fluid-ounces fl-oz "},
    {Measure::cup, "cup", "cups", " "},
    {Measure::pint, "pint", "pints", " pt "},
    {Measure::quart, "quart", "quarts", " qt "},
    {Measure::gallon, "gallon", "gallons", " gal "},
    {Measure::millilitre, "mL", "mL", " ml millilitre millilitres milliliter milliliters "},
    {Measure::litre, "L", "L", " l litre litres liter liters "},
    {Measure::gram, "g", "g", " gram grams "},
    {Measure::kilogram, "kg", "kg", " kilogram kilograms "},
    {Measure::ounce, "oz", "oz", " ounce ounces "},
    {Measure::pound, "lb", "lb", " lbs pound pounds "},
    {Measure::piece, "piece", "pieces", " "},
    {Measure::package, "package", "packages", " "},
}};

const MeasureWords& words(Measure measure) { return kWords[static_cast<std::size_t>(measure)]; }

std::optional<Measure> measure_named(std::string word) {
  // "fl oz" is one word of two: the space inside must not split the list of spellings.
  for (char& c : word) {
    c = c == ' ' ? '-' : static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  }
  for (const MeasureWords& entry : kWords) {
    if (word == entry.one || word == entry.many) return entry.measure;
    if (entry.also.find(" " + word + " ") != std::string_view::npos) return entry.measure;
  }
  return std::nullopt;
}

// Where the number ends: at the first letter that is not part of a fraction's glyph (those are the
// only bytes above 127 that a number may hold, and none of the units has one).
std::size_t end_of_number(std::string_view text) {
  std::size_t i = 0;
  while (i < text.size() && !std::isalpha(static_cast<unsigned char>(text[i]))) ++i;
  return i;
}

constexpr std::string_view kHow =
    "write a number and a measure, such as \"1 1/3 cups\", \"1 1/2 tbsp\", \"3 pieces\", "
    "\"1/2 package\", \"250 g\" or \"4 oz\"";

// Why what stands before the measure is no number here.
tl::unexpected<proto::Trouble> no_number(std::string_view written, const std::string& shown) {
  while (!written.empty() && written.back() == ' ') written.remove_suffix(1);
  while (!written.empty() && written.front() == ' ') written.remove_prefix(1);
  const bool digits = written.find_first_not_of("0123456789.,") == std::string_view::npos &&
                      written.find_first_of("0123456789") != std::string_view::npos;
  if (const std::size_t comma = written.find(','); digits && comma != std::string_view::npos) {
    std::string point(written);
    point[comma] = '.';
    return proto::trouble("the amount " + shown + " has a comma in its number", {},
                          parse_number(point) ? "write " + point : std::string(kHow));
  }
  if (digits && written.size() > 9) {
    return proto::trouble("the number of the amount " + shown + " is too long", {},
                          "write at most nine digits");
  }
  return proto::trouble("the amount " + shown + " does not begin with a number", {},
                        std::string(kHow));
}

}  // namespace

MeasureKind kind(Measure measure) {
  if (measure <= Measure::litre) return MeasureKind::volume;
  if (measure <= Measure::pound) return MeasureKind::mass;
  return measure == Measure::piece ? MeasureKind::piece : MeasureKind::package;
}

std::string_view name(Cups cups) {
  switch (cups) {
    case Cups::us_customary:
      return "US customary";
    case Cups::us_label:
      return "US label";
    case Cups::metric:
      return "metric";
  }
  return "?";
}

std::optional<Cups> cups_named(std::string_view text) {
  for (const Cups cups : {Cups::us_customary, Cups::us_label, Cups::metric}) {
    if (text == name(cups)) return cups;
  }
  return std::nullopt;
}

std::string_view measure_name(Measure measure, bool plural) {
  return plural ? words(measure).many : words(measure).one;
}

proto::Result<Amount> parse_amount(std::string_view text) {
  const std::string shown = "\"" + std::string(text.substr(0, 60)) + "\"";
  const std::size_t end = end_of_number(text);
  std::string_view unit = text.substr(end);
  while (!unit.empty() && unit.back() == ' ') unit.remove_suffix(1);
  if (text.starts_with("-")) {
    return proto::trouble("the amount " + shown + " is below zero", {},
                          "write an amount above zero");
  }
  const auto number = parse_number(text.substr(0, end));
  if (!number) return no_number(text.substr(0, end), shown);
  if (number->numerator == 0) {
    return proto::trouble("the amount " + shown + " is zero", {},
                          "write an amount above zero, or leave the ingredient out");
  }
  if (unit.empty()) {
    return proto::trouble("the amount " + shown + " has no measure", {}, std::string(kHow));
  }
  const auto measure = measure_named(std::string(unit));
  if (!measure) {
    return proto::trouble("\"" + std::string(unit.substr(0, 40)) + "\" is no measure known here",
                          {},
                          "write one of tsp, tbsp, fl oz, cups, pints, quarts, gallons, mL, L, g, "
                          "kg, oz, lb, pieces, packages");
  }
  if (value(*number) > 100'000) {
    return proto::trouble("the amount " + shown + " is more than any kitchen holds", {},
                          "write at most 100000 of a measure");
  }
  return Amount{*number, *measure};
}

std::string text(const Amount& amount) {
  const auto& [n, d] = amount.value;
  std::string number;
  if (n / d > 0 || d == 1) number = std::to_string(n / d);
  if (n % d != 0) {
    // 1.25 g stays decimal: nobody weighs quarters of a gram by fractions. Only short ones do.
    std::int64_t tenfold = 1;
    while (tenfold <= 1000 && tenfold % d != 0) tenfold *= 10;
    if (kind(amount.measure) == MeasureKind::mass && tenfold % d == 0 && tenfold <= 1000) {
      std::string decimals = std::to_string(tenfold + n % d * (tenfold / d)).substr(1);
      number = std::to_string(n / d) + "." + decimals;
    } else {
      number += (number.empty() ? "" : " ") + std::to_string(n % d) + "/" + std::to_string(d);
    }
  }
  return number + " " + std::string(measure_name(amount.measure, n > d));
}

std::optional<Rational> millilitres(Measure measure, Cups cups) {
  if (measure == Measure::millilitre) return Rational{1, 1};
  if (measure == Measure::litre) return Rational{1000, 1};
  switch (cups) {
    case Cups::us_customary: {
      // NIST HB 44 appendix C: the gallon is 231 cubic inches, 3785.411 784 mL; all others are
      // parts of it.
      constexpr std::int64_t kGallonNl = 3'785'411'784;
      constexpr std::int64_t kParts[] = {768, 256, 128, 16, 8, 4, 1};
      if (measure > Measure::gallon) return std::nullopt;
      return reduced(kGallonNl, Wide{1'000'000} * kParts[static_cast<std::size_t>(measure)]);
    }
    case Cups::us_label:  // 21 CFR 101.9(b)(5)(viii)
      switch (measure) {
        case Measure::teaspoon:
          return Rational{5, 1};
        case Measure::tablespoon:
          return Rational{15, 1};
        case Measure::fluid_ounce:
          return Rational{30, 1};
        case Measure::cup:
          return Rational{240, 1};
        default:
          return std::nullopt;
      }
    case Cups::metric:  // common practice, from memory; some countries have a spoon of 20 mL
      switch (measure) {
        case Measure::teaspoon:
          return Rational{5, 1};
        case Measure::tablespoon:
          return Rational{15, 1};
        case Measure::cup:
          return Rational{250, 1};
        default:
          return std::nullopt;
      }
  }
  return std::nullopt;
}

std::optional<std::int64_t> stated_micrograms(const Amount& amount) {
  // NIST HB 44 appendix C: the avoirdupois pound is 453.592 37 g, the ounce a sixteenth of it.
  Rational unit;
  switch (amount.measure) {
    case Measure::gram:
      unit = {1'000'000, 1};
      break;
    case Measure::kilogram:
      unit = {1'000'000'000, 1};
      break;
    case Measure::ounce:
      unit = {453'592'370, 16};
      break;
    case Measure::pound:
      unit = {453'592'370, 1};
      break;
    default:
      return std::nullopt;
  }
  return rounded(Wide{amount.value.numerator} * unit.numerator,
                 Wide{amount.value.denominator} * unit.denominator);
}

}  // namespace maslin::quantity
