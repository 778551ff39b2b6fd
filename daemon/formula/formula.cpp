// Names of the model and masses of amounts; see the header.
#include "daemon/formula/formula.hpp"

#include <algorithm>
#include <array>

#include "proto/jar_names.hpp"

namespace maslin::formula {
namespace {

constexpr std::array<std::string_view, 9> kCounts{
    "acid", "low-acid food", "sugar", "pectin", "salt", "water", "curing salt", "meat", "other"};
constexpr std::array<std::string_view, 3> kKeepings{"shelf", "refrigerator", "freezer"};
constexpr std::array<std::string_view, 11> kKinds{"prepare", "weigh",      "heat", "dwell",
                                                  "fill",    "water bath", "cool", "seal check",
                                                  "dry",     "condition",  "stand"};
constexpr std::array<std::string_view, 8> kUntils{"",       "boil", "temperature", "above boil",
                                                  "weight", "eye",  "loss",        "water"};

template <class Enum, std::size_t N>
std::optional<Enum> named(const std::array<std::string_view, N>& names, std::string_view text) {
  const auto place = std::find(names.begin(), names.end(), text);
  if (place == names.end() || text.empty()) return std::nullopt;
  return static_cast<Enum>(place - names.begin());
}

using quantity::Amount;
using quantity::MeasureKind;
using quantity::Rational;
using quantity::Wide;

// mass * (amount / unit), rounded to a microgram.
std::optional<std::int64_t> in_proportion(std::int64_t mass_ug, const Rational& amount,
                                          const Rational& unit) {
  const auto share = quantity::reduced(Wide{amount.numerator} * unit.denominator,
                                       Wide{amount.denominator} * unit.numerator);
  if (!share) return std::nullopt;
  return quantity::rounded(Wide{mass_ug} * share->numerator, share->denominator);
}

// Both as millilitres, so that a metric cup can be had from a US customary row. A trillion is more
// than the product of any two of these may grow to, so that it stays exact.
std::optional<std::int64_t> by_volume(const Weighs& row, const Amount& amount,
                                      quantity::Cups cups) {
  const auto mine = quantity::millilitres(amount.measure, cups);
  const auto rows = quantity::millilitres(row.amount.measure, row.cups);
  if (!mine || !rows) return std::nullopt;
  const auto wanted = quantity::product(amount.value, *mine);
  const auto given = quantity::product(row.amount.value, *rows);
  if (!wanted || !given) return std::nullopt;
  return in_proportion(row.mass_ug, *wanted, *given);
}

}  // namespace

std::string_view name(Counts counts) { return kCounts[static_cast<std::size_t>(counts)]; }
std::string_view name(Keeping keeping) { return kKeepings[static_cast<std::size_t>(keeping)]; }
std::string_view name(Kind kind) { return kKinds[static_cast<std::size_t>(kind)]; }
std::string_view name(Until until) { return kUntils[static_cast<std::size_t>(until)]; }
std::optional<Counts> counts_named(std::string_view text) { return named<Counts>(kCounts, text); }
std::optional<Keeping> keeping_named(std::string_view text) {
  return named<Keeping>(kKeepings, text);
}
std::optional<Kind> kind_named(std::string_view text) { return named<Kind>(kKinds, text); }
std::optional<Until> until_named(std::string_view text) { return named<Until>(kUntils, text); }

std::string text(const Groups& groups) {
  std::string all;
  for (const Counts one : groups) all += (all.empty() ? "" : " and ") + std::string(name(one));
  return all;
}
bool has(const Groups& groups, Counts counts) {
  return std::find(groups.begin(), groups.end(), counts) != groups.end();
}

std::string Ratio::per_text() const {
  return (share_ppm == 0 ? "" : text(of) + " and ") + text(per);
}

bool Ingredient::speaks_of(std::string_view what) const {
  const auto has = [&](std::string_view text) {
    return std::search(text.begin(), text.end(), what.begin(), what.end(), [](char a, char b) {
             return (a >= 'A' && a <= 'Z' ? a - 'A' + 'a' : a) == b;
           }) != text.end();
  };
  return has(name) || has(like);
}

const Ingredient* Formula::find(std::string_view ingredient) const {
  for (const Ingredient& candidate : ingredients) {
    if (candidate.name == ingredient) return &candidate;
  }
  return nullptr;
}

const Ingredient* Formula::lead() const {
  for (const Ingredient& candidate : ingredients) {
    if (candidate.lead) return &candidate;
  }
  return nullptr;
}

proto::Result<double> jar_ml(std::string_view text, quantity::Cups cups) {
  const std::string_view named = proto::named_jar(text);
  // Jars are called by the US liquid pint, whatever cups a formula measures with.
  if (!named.empty()) cups = quantity::Cups::us_customary;
  const auto amount = quantity::parse_amount(named.empty() ? text : named);
  const auto one = amount ? quantity::millilitres(amount->measure, cups) : std::nullopt;
  const auto all = one ? quantity::product(amount->value, *one) : std::nullopt;
  const double ml = all ? quantity::value(*all) : 0;
  if (ml >= 20 && ml <= 5000) return ml;
  return proto::trouble("\"" + std::string(text.substr(0, 40)) + "\" is no size of a jar", {},
                        "write what one holds, from 20 mL to 5 L, like \"250 mL\" or half-pint");
}

proto::Result<std::int64_t> mass_of(const Ingredient& ingredient, const Amount& amount,
                                    quantity::Cups cups) {
  const MeasureKind wanted = quantity::kind(amount.measure);
  if (wanted == MeasureKind::mass) {
    const auto stated = quantity::stated_micrograms(amount);
    if (stated && *stated > 0) return *stated;
    return proto::trouble("the amount " + quantity::text(amount) + " of " + ingredient.name +
                              " is nothing that could be weighed",
                          {}, "write at least a milligram");
  }
  std::optional<std::int64_t> mass;
  for (const Weighs& row :
       ingredient.weighs) {  // the very measure first: 1 tsp is not always 1/48 cup
    if (row.amount.measure == amount.measure &&
        (wanted != MeasureKind::volume || row.cups == cups)) {
      mass = in_proportion(row.mass_ug, amount.value, row.amount.value);
    }
    if (mass) break;
  }
  // Else by the row of the greatest mass: its digits are worth the most.
  const Weighs* best = nullptr;
  for (const Weighs& row : ingredient.weighs) {
    if (wanted != MeasureKind::volume || quantity::kind(row.amount.measure) != wanted) continue;
    if (best == nullptr || row.mass_ug > best->mass_ug) best = &row;
  }
  if (!mass && best != nullptr) mass = by_volume(*best, amount, cups);
  if (mass && *mass > 0) return *mass;

  const std::string one = "1 " + std::string(quantity::measure_name(amount.measure, false));
  return proto::trouble("what " + one + " of " + ingredient.name + " weighs is not known", {},
                        "weigh it once and add weighs = \"" + one +
                            " = ... g\" to the ingredient, "
                            "or write the amount in g");
}

}  // namespace maslin::formula
