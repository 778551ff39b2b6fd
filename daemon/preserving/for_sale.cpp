// Rules for jars that are sold; see the header.
#include "daemon/preserving/for_sale.hpp"

#include <algorithm>
#include <array>
#include <cctype>

#include "daemon/quantity/decimal.hpp"

namespace maslin::preserving {
namespace {

struct Factor {
  std::string_view fruit;
  double factor;
};
// 21 CFR 150.140(b)(1).
constexpr std::array<Factor, 28> factors = {{
    {"Apple", 7.5},           {"Apricot", 7.0},       {"Blackberry (other than dewberry)", 10.0},
    {"Black raspberry", 9.0}, {"Boysenberry", 10.0},  {"Cherry", 7.0},
    {"Crabapple", 6.5},       {"Cranberry", 9.5},     {"Damson plum", 7.0},
    {"Dewberry", 10.0},       {"Fig", 5.5},           {"Gooseberry", 12.0},
    {"Grape", 7.0},           {"Grapefruit", 11.0},   {"Greengage plum", 7.0},
    {"Guava", 13.0},          {"Loganberry", 9.5},    {"Orange", 8.0},
    {"Peach", 8.5},           {"Pineapple", 7.0},     {"Plum", 7.0},
    {"Pomegranate", 5.5},     {"Prickly pear", 11.0}, {"Quince", 7.5},
    {"Raspberry (red)", 9.5}, {"Red currant", 9.5},   {"Strawberry", 12.5},
    {"Youngberry", 10.0},
}};

constexpr double most_solids_pct = 85;

struct Variation {
  double to_g;  // labelled, included
  double grams;
};
// NIST Handbook 133, table 2-5 (from memory, one row checked). Below the first, a tenth of the
// label.
constexpr double tenth_below_g = 36;
constexpr std::array<Variation, 17> variations = {{
    {54, 3.6},
    {81, 5.4},
    {117, 7.2},
    {154, 9.0},
    {208, 10.8},
    {263, 12.7},
    {317, 14.5},
    {381, 16.3},
    {426, 18.1},
    {489, 19.9},
    {571, 21.7},
    {635, 23.5},
    {698, 25.4},
    {771, 27.2},
    {852, 29.0},
    {970, 31.7},
    {1120, 35.3},
}};

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return out;
}

}  // namespace

proto::Result<JellyFruit> jelly_fruit(std::string_view fruit, double juice_g, double solids_pct,
                                      double sugar_g) {
  const std::string wanted = lower(fruit);
  const auto named = std::find_if(factors.begin(), factors.end(), [&](const Factor& one) {
    const std::string name = lower(one.fruit);
    return name == wanted || name.substr(0, name.find(" (")) == wanted;
  });
  if (named == factors.end()) {
    std::string names;
    for (const auto& one : factors) names += (names.empty() ? "" : ", ") + lower(one.fruit);
    return proto::trouble("the rule has no factor for \"" + proto::excerpt(fruit, 60) + "\"",
                          "fruit", "it has " + names);
  }
  if (!(solids_pct > 0 && solids_pct <= most_solids_pct)) {
    return proto::trouble("no juice has " + quantity::plain(solids_pct, 1) + " % of soluble solids",
                          "solids", "give what a refractometer shows of it before sugar: 0 to 85");
  }
  if (!(juice_g > 0)) return proto::trouble("must weigh something", "juice", "give grams");
  if (!(sugar_g > 0)) return proto::trouble("must weigh something", "sugar", "give grams");
  const double per_gram = solids_pct * named->factor / 100;
  JellyFruit found{std::string(named->fruit), named->factor, juice_g * per_gram, 0, 0};
  found.parts = 100 * found.fruit_g / (found.fruit_g + sugar_g);
  const double least_g = sugar_g * kLeastFruitParts / (100 - kLeastFruitParts);
  found.juice_short_g = std::max(0.0, least_g - found.fruit_g) / per_gram;
  return found;
}

proto::Result<double> allowable_variation_g(double label_g) {
  if (!(label_g > 0 && label_g <= variations.back().to_g)) {
    return proto::trouble("the table ends at " + quantity::plain(variations.back().to_g, 0) + " g",
                          "label", "give a net weight within it; for more, see the handbook");
  }
  if (label_g < tenth_below_g) return label_g / 10;
  return std::find_if(variations.begin(), variations.end(),
                      [&](const auto& row) { return label_g <= row.to_g; })
      ->grams;
}

}  // namespace maslin::preserving
