// Amounts as a kitchen writes them ("1 1/3 cups", "3 pieces", "250 g") and what a cup holds.
// formula/ and plan/ read and print them; no food in here.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "daemon/quantity/rational.hpp"
#include "proto/trouble.hpp"

namespace maslin::quantity {

enum class Measure : std::uint8_t {
  teaspoon,
  tablespoon,
  fluid_ounce,
  cup,
  pint,
  quart,
  gallon,
  millilitre,
  litre,  // volume
  gram,
  kilogram,
  ounce,
  pound,  // mass
  piece,
  package,  // counted
};
enum class MeasureKind : std::uint8_t { volume, mass, piece, package };
MeasureKind kind(Measure measure);

// Whose spoons and cups. Pints, quarts and gallons are US customary in the first and unknown else.
enum class Cups : std::uint8_t { us_customary, us_label, metric };
std::string_view name(Cups cups);  // "US customary", "US label", "metric"
std::optional<Cups> cups_named(std::string_view text);

struct Amount {
  Rational value;  // above zero
  Measure measure = Measure::gram;
  friend bool operator==(const Amount&, const Amount&) = default;
};

// Reads one amount. The trouble says what is wrong with it and how it is written; `where` is left
// empty.
proto::Result<Amount> parse_amount(std::string_view text);
std::string text(const Amount& amount);  // "1 1/3 cups", "1 piece"
std::string_view measure_name(Measure measure, bool plural);

// Volume of one measure in millilitres; empty where the set of cups has no such measure or it is no
// volume.
std::optional<Rational> millilitres(Measure measure, Cups cups);
// Mass of an amount that is stated in a unit of mass; empty for volumes, pieces and packages.
std::optional<std::int64_t> stated_micrograms(const Amount& amount);

}  // namespace maslin::quantity
