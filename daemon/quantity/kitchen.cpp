// Scaled amounts in spoons and cups; see the header. What is near enough to say plainly and what is
// called scant or generous is common practice, no source.
#include "daemon/quantity/kitchen.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "daemon/quantity/decimal.hpp"

namespace maslin::quantity {
namespace {

constexpr double kPlainly = 0.01;  // off by no more: said as it is
constexpr double kNearly = 0.04;   // off by no more: said with "a scant" or "a generous"

double off(double said, double meant) { return std::abs(said - meant) / meant; }

struct Fraction {
  std::int64_t numerator;
  std::int64_t denominator;
};
constexpr std::array<Fraction, 7> kCupMarks{
    {{0, 1}, {1, 4}, {1, 3}, {1, 2}, {2, 3}, {3, 4}, {1, 1}}};

// The mark of a measuring cup nearest to `cups`, or the last one not above it.
Rational cup_mark(double cups, bool below) {
  const double whole = std::floor(cups);
  Rational best{static_cast<std::int64_t>(whole), 1};
  double distance = cups - whole;
  for (const Fraction& mark : kCupMarks) {
    const double at =
        whole + static_cast<double>(mark.numerator) / static_cast<double>(mark.denominator);
    if (below && at > cups) continue;
    if (std::abs(cups - at) > distance) continue;
    distance = std::abs(cups - at);
    best = {static_cast<std::int64_t>(whole) * mark.denominator + mark.numerator, mark.denominator};
  }
  return best;
}

std::string words(const Rational& number, Measure measure) { return text(Amount{number, measure}); }

std::string about(double said, double meant, const std::string& text, double plainly = kPlainly) {
  if (off(said, meant) <= plainly) return text;
  return (said > meant ? "a scant " : "a generous ") + text;
}

Rational in_parts(double number, std::int64_t parts) {
  return reduced(std::llround(number * static_cast<double>(parts)), parts).value_or(Rational{});
}

// tsp and tbsp are to each other as 1 to 3 in every set of cups.
std::string spoons(double tsp) {
  if (tsp < 1.0 / 16.0) return "a pinch";
  if (tsp < 3.0 - 1.0 / 8.0) {
    const Rational said = in_parts(std::max(tsp, 1.0 / 8.0), tsp < 0.95 ? 8 : 4);
    return about(value(said), tsp, words(said, Measure::teaspoon), kNearly);
  }
  const Rational tbsp = in_parts(tsp / 3.0, 2);
  if (off(value(tbsp) * 3.0, tsp) <= kPlainly) return words(tbsp, Measure::tablespoon);
  const double whole = std::floor(tsp / 3.0);
  const Rational rest = in_parts(tsp - whole * 3.0, tsp < 6.0 ? 4 : 2);
  if (rest.numerator == 0 || value(rest) >= 3.0) {
    const Rational rounded_up{static_cast<std::int64_t>(whole) + (rest.numerator > 0 ? 1 : 0), 1};
    return about(value(rounded_up) * 3.0, tsp, words(rounded_up, Measure::tablespoon));
  }
  return words(Rational{static_cast<std::int64_t>(whole), 1}, Measure::tablespoon) + " and " +
         words(rest, Measure::teaspoon);
}

std::string cups_and_spoons(double tsp, double tsp_per_cup) {
  if (tsp < tsp_per_cup / 4.0 * (1.0 - kPlainly)) return spoons(tsp);
  const double cups = tsp / tsp_per_cup;
  const Rational nearest = cup_mark(cups, false);
  const double said = value(nearest) * tsp_per_cup;
  if (off(said, tsp) <= kPlainly) return words(nearest, Measure::cup);

  const Rational base = cup_mark(cups, true);
  const double base_tsp = value(base) * tsp_per_cup;
  const double tbsp = std::round((tsp - base_tsp) / 3.0);
  const bool tbsp_fit = tbsp >= 1.0 && off(base_tsp + tbsp * 3.0, tsp) <= 1.5 * kPlainly;
  if (!tbsp_fit && off(said, tsp) <= kNearly) return about(said, tsp, words(nearest, Measure::cup));
  if (tbsp_fit || cups >= 1.0) {
    return words(base, Measure::cup) + " and " +
           words(Rational{static_cast<std::int64_t>(std::max(tbsp, 1.0)), 1}, Measure::tablespoon);
  }
  const Rational rest = in_parts(tsp - base_tsp, 1);
  return words(base, Measure::cup) + " and " +
         (rest.numerator >= 3 ? spoons(value(rest)) : words(rest, Measure::teaspoon));
}

// Three figures, and no point from 100 up.
std::string figures(double number) {
  const int before = number >= 1.0 ? static_cast<int>(std::floor(std::log10(number))) + 1 : 0;
  return plain(number, std::max(0, 3 - std::max(before, 1)));
}

std::string parts(double number, std::int64_t parts_of_one, Measure measure) {
  const Rational said = in_parts(number, parts_of_one);
  if (said.numerator == 0)
    return "less than 1/" + std::to_string(parts_of_one) + " of one " +
           std::string(measure_name(measure, false));
  return (off(value(said), number) <= kPlainly ? "" : "about ") + words(said, measure);
}

}  // namespace

std::string kitchen_text(const Amount& amount, double factor, Cups cups) {
  const double number = value(amount.value) * factor;
  const Measure measure = amount.measure;
  switch (kind(measure)) {
    case MeasureKind::piece:
      return parts(number, 2, measure);
    case MeasureKind::package:
      return parts(number, 8, measure);
    case MeasureKind::mass:
      if (measure == Measure::ounce || measure == Measure::pound) return parts(number, 4, measure);
      return figures(number) + " " + std::string(measure_name(measure, false));
    case MeasureKind::volume:
      break;
  }
  if (measure == Measure::millilitre || measure == Measure::litre) {
    return figures(number) + " " + std::string(measure_name(measure, false));
  }
  if (measure == Measure::pint || measure == Measure::quart || measure == Measure::gallon ||
      measure == Measure::fluid_ounce) {
    const Rational said = in_parts(number, 2);
    if (off(value(said), number) <= kPlainly) return words(said, measure);
  }
  // The amount was read with these cups, so that both volumes are known.
  const double ml = number * value(millilitres(measure, cups).value_or(Rational{}));
  const double tsp = value(millilitres(Measure::teaspoon, cups).value_or(Rational{1, 1}));
  const double cup = value(millilitres(Measure::cup, cups).value_or(Rational{1, 1}));
  return cups_and_spoons(ml / tsp, cup / tsp);
}

}  // namespace maslin::quantity
