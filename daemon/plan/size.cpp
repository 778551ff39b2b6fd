// The size of a batch; see the header.
#include "daemon/plan/size.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "daemon/quantity/decimal.hpp"
#include "proto/nearest.hpp"

namespace maslin::plan {
namespace {

using formula::Formula;
using formula::Ingredient;
using proto::Trouble;
using proto::Troubles;
using quantity::grams;
using quantity::plain;

double ratio_of(std::int64_t a, std::int64_t b) {
  return static_cast<double>(a) / static_cast<double>(b);
}
std::int64_t scaled(std::int64_t mass_ug, double factor) {
  return std::llround(static_cast<double>(mass_ug) * factor);
}

// More than the largest multiple is cooked in equal pots, one after the other; more than a day of
// them is a slip of the hand.
constexpr double most_pots = 6;

// "640 g of onion" or "6 jars": the largest batch in the words of the request.
std::string largest(const Formula& formula, const proto::PlanRequest& request) {
  const double most = formula.largest_multiple;
  if (request.jars) {
    return plain(quantity::value(formula.jars.count) * most, 2) + " jars a pot, " +
           plain(most_pots, 0) + " pots";
  }
  std::string text = plain(most_pots, 0) + " pots of " + plain(most, 3) +
                     (most == 1 ? " time" : " times") + " the amounts as written";
  if (const Ingredient* lead = formula.lead()) {
    text += ", that is " + grams(scaled(lead->mass_ug, most)) + " of prepared " + lead->name;
  }
  return text;
}

std::vector<std::string> names(const Formula& formula) {
  std::vector<std::string> all;
  for (const Ingredient& ingredient : formula.ingredients) all.push_back(ingredient.name);
  return all;
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

// Reads "onion=640 g"; reports and gives an empty one where it cannot be read.
Have read_have(const Formula& formula, const std::string& text, Troubles& troubles) {
  const std::string where = "--have \"" + text.substr(0, 80) + "\"";
  const std::size_t equals = text.find('=');
  if (equals == std::string::npos) {
    troubles.push_back({"it does not say how much of what", where, "write it as \"onion=640 g\""});
    return {};
  }
  const std::string_view name = trimmed(std::string_view(text).substr(0, equals));
  const Ingredient* ingredient = formula.find(name);
  if (ingredient == nullptr) {
    const std::string near = proto::nearest(name, names(formula));
    troubles.push_back({"the formula has no \"" + std::string(name.substr(0, 60)) + "\"", where,
                        (near.empty() ? "" : "did you mean \"" + near + "\"? ") + "in it are " +
                            proto::listed(names(formula))});
    return {};
  }
  const auto amount = quantity::parse_amount(trimmed(std::string_view(text).substr(equals + 1)));
  if (!amount) {
    troubles.push_back({amount.error().what, where, amount.error().todo});
    return {};
  }
  const auto mass = formula::mass_of(*ingredient, *amount, formula.cups);
  if (!mass) {
    troubles.push_back({mass.error().what, where, "state it in g"});
    return {};
  }
  return {ingredient, *mass, quantity::kind(amount->measure) == quantity::MeasureKind::mass};
}

std::vector<Have> read_haves(const Formula& formula, const proto::PlanRequest& request,
                             Troubles& troubles) {
  std::vector<Have> haves;
  for (const std::string& text : request.have) {
    const Have have = read_have(formula, text, troubles);
    if (have.ingredient == nullptr) continue;
    const bool twice = std::any_of(haves.begin(), haves.end(), [&](const Have& other) {
      return other.ingredient == have.ingredient;
    });
    if (twice) {
      troubles.push_back(
          {"\"" + have.ingredient->name + "\" is given twice", "--have", "give it once"});
    }
    haves.push_back(have);
  }
  return haves;
}

// Of a formula that cites no source, no size was tested at all.
std::string more_than(const Formula& formula) {
  return formula.tested ? "more than was tested" : "more than the formula allows";
}

// Up to the lead's own band above the largest multiple the batch is still the largest one: a gram
// too much on the board must not undo an evening. Everything else then stays at the largest
// multiple.
Trouble too_large(const Formula& formula, const proto::PlanRequest& request, double factor,
                  std::string where) {
  return {"this is " + plain(factor, 3) + " times the formula, " + more_than(formula),
          std::move(where), "at most " + largest(formula, request)};
}

bool within_lead_band(const Formula& formula, double factor) {
  const Ingredient* lead = formula.lead();
  if (lead == nullptr) return false;
  const double slack = 1.0 + ratio_of(lead->above_ug, lead->mass_ug);
  return factor <= formula.largest_multiple * slack;
}

// A number that was asked for, within (0, most]; NaN fails as well.
bool in_range(double value, double most) { return value > 0 && value <= most * (1 + 1e-12); }

bool into_pots(const Formula& formula, Size& size) {
  const double pots = std::ceil(size.factor / formula.largest_multiple - 1e-9);
  if (pots > most_pots) return false;
  size.pots = static_cast<std::int64_t>(std::max(pots, 1.0));
  size.factor /= static_cast<double>(size.pots);
  return true;
}

void size_by_number(const Formula& formula, const proto::PlanRequest& request, Size& size,
                    Troubles& troubles) {
  if (request.jars && formula.jars.count.numerator == 0) {
    troubles.push_back({"the formula does not say how many jars it fills", "--jars",
                        "ask by --factor or --have, or write jars and jar in the formula"});
    return;
  }
  const double asked = request.jars ? *request.jars : request.factor.value_or(1.0);
  const double per_unit = request.jars ? 1.0 / quantity::value(formula.jars.count) : 1.0;
  const std::string where = request.jars ? "--jars" : "--factor";
  size.factor = asked * per_unit;
  if (in_range(asked, most_pots * formula.largest_multiple / per_unit)) {
    (void)into_pots(formula, size);
  } else if (std::isfinite(asked) && asked > 0) {
    troubles.push_back(too_large(formula, request, asked * per_unit, where));
  } else {
    troubles.push_back({plain(asked, 3) + " is no size of a batch", where,
                        "give a number above 0, at most " + largest(formula, request)});
  }
}

void size_by_haves(const Formula& formula, const proto::PlanRequest& request, Size& size,
                   Troubles& troubles) {
  // All else follows the scarcest: the formula keeps its proportions, never its size.
  const Have* least = nullptr;
  for (const Have& have : size.haves) {
    const double factor = ratio_of(have.mass_ug, have.ingredient->mass_ug);
    if (least == nullptr || factor < size.factor) {
      size.factor = factor;
      least = &have;
    }
  }
  if (least == nullptr) return;
  const bool lead_decides = least->ingredient->lead;
  size.limited_by = "the " + least->ingredient->name + ", " + grams(least->mass_ug);
  for (const Have& have : size.haves) {
    if (have.ingredient->lead && have.by_mass) size.lead_known = true;
  }
  if (size.lead_known && lead_decides) size.lead_ug = least->mass_ug;
  if (size.factor <= formula.largest_multiple) return;
  if (lead_decides && within_lead_band(formula, size.factor)) {
    size.factor = formula.largest_multiple;
    return;
  }
  if (into_pots(formula, size)) {
    size.lead_ug /= size.pots;
    return;
  }
  troubles.push_back(
      too_large(formula, request, size.factor, "--have, by the " + least->ingredient->name));
}

}  // namespace

proto::Results<Size> size_of(const Formula& formula, const proto::PlanRequest& request) {
  Size size;
  Troubles troubles;
  const int ways =
      (request.have.empty() ? 0 : 1) + (request.jars ? 1 : 0) + (request.factor ? 1 : 0);
  // Two sizes at once have no sensible answer, and picking one would surprise half of those who
  // ask.
  if (ways > 1) {
    return tl::unexpected(Troubles{{"the size is asked for in more than one way", "",
                                    "give one of --have, --jars and --factor"}});
  }
  size.haves = read_haves(formula, request, troubles);
  if (!troubles.empty()) return tl::unexpected(troubles);
  if (request.have.empty()) {
    size_by_number(formula, request, size, troubles);
  } else {
    size_by_haves(formula, request, size, troubles);
  }
  if (troubles.empty()) {
    for (const Ingredient& ingredient : formula.ingredients) {
      if (scaled(ingredient.mass_ug, size.factor) >= 1000) continue;  // a milligram
      troubles.push_back({"at this size there is nothing left of the " + ingredient.name, "",
                          "ask for a larger batch"});
      break;
    }
  }
  if (!troubles.empty()) return tl::unexpected(troubles);
  return size;
}

proto::Results<Size> size_by_lead(const Formula& formula, const proto::PlanRequest& request,
                                  std::int64_t lead_net_ug) {
  const Ingredient* lead = formula.lead();
  if (lead == nullptr) {
    return tl::unexpected(Troubles{{"the formula has no lead to take its size from", "", ""}});
  }
  Troubles troubles;
  Size size;
  size.haves = read_haves(formula, request, troubles);
  size.lead_known = true;
  size.lead_ug = lead_net_ug;
  size.factor = ratio_of(lead_net_ug, lead->mass_ug);
  // Less than a gram on the pan is a scale that was read before anything lay on it.
  if (lead_net_ug < 1'000'000) {
    troubles.push_back({"there is no " + lead->name + " on the scale", "", "weigh it again"});
    return tl::unexpected(troubles);
  }
  if (size.factor > formula.largest_multiple && within_lead_band(formula, size.factor)) {
    size.factor = formula.largest_multiple;
  } else if (size.factor > formula.largest_multiple) {
    const std::int64_t most = scaled(lead->mass_ug, formula.largest_multiple);
    troubles.push_back({grams(lead_net_ug) + " of " + lead->name + " is " + more_than(formula), "",
                        "at most " + grams(most) + ": take " + grams(lead_net_ug - most) + " out"});
  }
  for (const Have& have : size.haves) {
    const std::int64_t needed = scaled(have.ingredient->mass_ug, size.factor);
    // What was only counted or cupped is not known well enough to forbid anything.
    if (have.ingredient == lead || !have.by_mass ||
        have.mass_ug >= needed - have.ingredient->below_ug) {
      continue;
    }
    // Taking some of the lead out comes first: it is still alone in its bowl, the shop is far.
    const std::int64_t enough_for =
        scaled(lead->mass_ug, ratio_of(have.mass_ug, have.ingredient->mass_ug));
    troubles.push_back({"the " + have.ingredient->name + " at hand, " + grams(have.mass_ug) +
                            ", is less than the " + grams(needed) + " for this much " + lead->name,
                        "",
                        "take " + grams(lead_net_ug - enough_for) + " of " + lead->name +
                            " out, or get " + grams(needed - have.mass_ug) + " more"});
  }
  if (!troubles.empty()) return tl::unexpected(troubles);
  return size;
}

}  // namespace maslin::plan
