// Salt and nitrite of a plan; see the header.
#include "daemon/plan/cure.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "daemon/preserving/brine.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::plan {
namespace {

using formula::Counts;
using formula::Formula;
using formula::Ingredient;
using quantity::plain;

// Two labels of the same mix may be rounded differently, not more (common practice, no source).
constexpr double same_mix = 0.02;

const Ingredient* curing_salt(const Formula& formula) {
  const auto found =
      std::find_if(formula.ingredients.begin(), formula.ingredients.end(),
                   [](const auto& one) { return one.counts_as == Counts::curing_salt; });
  return found == formula.ingredients.end() ? nullptr : &*found;
}

double meant_pct(const Ingredient& cure) { return static_cast<double>(cure.nitrite_ppm) / 1e4; }

double nominal_g(const proto::Plan& plan, Counts counts) {
  double grams = 0;
  for (const auto& one : plan.ingredients) {
    if (one.counts_as == name(counts)) grams += static_cast<double>(one.nominal_ug) / 1e6;
  }
  return grams;
}

std::string limits_listed() {
  std::string all;
  for (const auto& one : preserving::nitrite_limits()) {
    all += (all.empty() ? "\"" : ", \"") + std::string(one.product) + "\"";
  }
  return all;
}

// "ten times too much" is how it happens: a decimal point, or grams per kilogram for percent.
std::string times_over(double share) {
  return share > 7 && share < 14 ? ", about ten times what goes into a cure" : "";
}

void check_salt(const Formula& formula, const proto::Facts& facts, const proto::Plan& plan,
                proto::Troubles& troubles) {
  const double meat_g = nominal_g(plan, Counts::meat);
  if (meat_g <= 0) return;
  for (const auto& ratio : formula.ratios) {
    if (!has(ratio.of, Counts::salt) || !has(ratio.per, Counts::meat)) continue;
    const bool wet = has(ratio.per, Counts::water);
    const double water_g = wet ? nominal_g(plan, Counts::water) : 0;
    const double in_cure =
        has(ratio.of, Counts::curing_salt) || facts.nitrite_pct.value_or(0) <= 0
            ? 0
            : (1 - *facts.nitrite_pct / 100) * nominal_g(plan, Counts::curing_salt);
    const double pct = 100 * (nominal_g(plan, Counts::salt) + in_cure) / (meat_g + water_g);
    const auto salt = preserving::cure_salt_g(
        meat_g, water_g, pct,
        wet ? preserving::CureBasis::meat_and_water : preserving::CureBasis::meat);
    if (salt) return;
    troubles.push_back({plain(10 * pct, 0) + " g of salt to the kilogram of " +
                            formula::text(ratio.per) + ": " + salt.error().what,
                        "", "correct the salt in the formula: 25 g to the kilogram are 2.5 %"});
    return;
  }
}

}  // namespace

Formula with_nitrite(Formula formula, const proto::Facts& facts) {
  const Ingredient* cure = curing_salt(formula);
  if (cure == nullptr || !facts.nitrite_pct || *facts.nitrite_pct <= 0) return formula;
  const auto* limit = preserving::nitrite_limit(cure->nitrite_limit);
  if (limit == nullptr) return formula;
  formula::Ratio ratio;
  ratio.of = {Counts::curing_salt};
  ratio.per = {Counts::meat};
  ratio.least = false;
  // ppm of nitrite by its share in the mix is ppm of the mix; rounded to the safe side.
  ratio.limit_ppm =
      static_cast<std::int64_t>(std::floor(limit->most_ppm / (*facts.nitrite_pct / 100) + 1e-6));
  // What is no nitrite in the mix is salt, and salts the meat as any other does.
  const auto salt_ppm = static_cast<std::int64_t>(std::llround(1e6 - 1e4 * *facts.nitrite_pct));
  for (auto& one : formula.ratios) {
    if (!has(one.of, Counts::salt) || !has(one.per, Counts::meat)) continue;
    std::erase(one.of, Counts::curing_salt);  // named beside the salt it would count whole
    one.cure_ppm = salt_ppm;
  }
  formula.ratios.push_back(std::move(ratio));
  return formula;
}

void check_cure(const Formula& formula, const proto::Facts& facts, proto::Plan& plan,
                proto::Troubles& troubles) {
  check_salt(formula, facts, plan, troubles);
  const Ingredient* cure = curing_salt(formula);
  if (cure == nullptr) return;
  if (!facts.nitrite_pct) {
    troubles.push_back({"nobody has told how much sodium nitrite is in the " + cure->name, "",
                        "read its label and tell it: maslin facts --nitrite \"" +
                            plain(meant_pct(*cure), 2) +
                            " %\"; a mix without a label is not used"});
    return;
  }
  const double label_pct = *facts.nitrite_pct;
  if (std::abs(label_pct - meant_pct(*cure)) > same_mix * meant_pct(*cure)) {
    troubles.push_back({"the formula means curing salt with " + plain(meant_pct(*cure), 2) +
                            " % of sodium nitrite, and yours has " + plain(label_pct, 2) + " %",
                        "",
                        "take the mix that it means, or a formula that is written for yours; never "
                        "more or less of another one"});
    return;
  }
  const auto* limit = preserving::nitrite_limit(cure->nitrite_limit);
  if (limit == nullptr) {
    troubles.push_back(
        {"\"" + cure->nitrite_limit + "\" is no kind of product with a limit of nitrite", "",
         "write nitrite_limit = one of " + limits_listed()});
    return;
  }
  plan.nitrite_pct = label_pct;
  plan.nitrite_most_ppm = limit->most_ppm;
  plan.nitrite_for = limit->product;
  plan.nitrite_source = limit->source;
  const auto ppm = preserving::nitrite_ppm(nominal_g(plan, Counts::curing_salt), label_pct / 100,
                                           nominal_g(plan, Counts::meat));
  if (!ppm) {
    troubles.push_back(ppm.error());
    return;
  }
  const std::string most = plain(limit->most_ppm, 0) + " ppm may (" + plan.nitrite_for + ")";
  if (*ppm > limit->most_ppm) {
    troubles.push_back({plain(*ppm, 0) + " ppm of sodium nitrite would go in, and at most " + most +
                            times_over(*ppm / limit->most_ppm),
                        "", "correct the " + cure->name + " in the formula; never use so much"});
    return;
  }
  plan.notes.push_back("At the formula's amounts " + plain(*ppm, 0) +
                       " ppm of sodium nitrite go in; at most " + most + ", " +
                       plan.nitrite_source + ".");
  const double salt_g = (1 - label_pct / 100) * nominal_g(plan, Counts::curing_salt);
  plan.notes.push_back("The " + cure->name + " is " + plain(100 - label_pct, 2) +
                       " % salt by its label: " + plain(salt_g, salt_g < 10 ? 2 : 1) +
                       " g of it count to the salt of the meat.");
}

}  // namespace maslin::plan
