// Bottle, package, pan, jars and canner; see the header.
#include "daemon/plan/kitchen.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "daemon/plan/jars.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::plan {
namespace {

using formula::Counts;
using formula::Formula;
using formula::Ingredient;
using formula::Kind;
using proto::Facts;
using proto::Plan;
using proto::Troubles;
using quantity::plain;

// A litre of what is in the pan weighs a kilogram or more: rather too full than too empty (common
// practice, no source).
constexpr double least_kg_l = 1.0;
// Syrup at its thickest: rather too shallow than too deep (common practice, no source).
constexpr double most_kg_l = 1.35;
// What foams needs four times its room (common practice, no source).
constexpr double foams_to = 4;
// A probe whose tip is covered by less reads steam and pan (common practice, no source).
constexpr double least_depth_cm = 3;
// An empty vessel on the scale (common practice, no source).
constexpr std::int64_t vessel_ug = 500'000'000;

// Water over the lids: USDA Complete Guide to Home Canning (AIB 539), an inch at least. As much
// again for it to boil in (common practice, no source).
constexpr double over_lids_cm = 2.54;
constexpr double boils_in_cm = 2.5;

constexpr double worth_a_jar = 0.12;

bool has_step(const Plan& plan, std::string_view kind) {
  return std::any_of(plan.operations.begin(), plan.operations.end(),
                     [&](const auto& one) { return one.kind == kind; });
}

double jar_of(const Formula& formula, const Facts& facts) {
  return facts.jar_ml.value_or(formula.jars.ml);
}

void check_vinegar(const Formula& formula, const Facts& facts, Plan& plan, Troubles& troubles) {
  const bool any = std::any_of(formula.ingredients.begin(), formula.ingredients.end(),
                               [](const auto& one) { return one.is_vinegar(); });
  if (!any) return;
  if (!facts.vinegar_pct) {
    if (plan.keeping == "shelf") {
      plan.asks.push_back(
          "the strength of the vinegar, by its label: maslin facts --vinegar "
          "\"5 %\"");
    }
    return;
  }
  if (*facts.vinegar_pct >= proto::vinegar_means_pct) return;
  const bool critical = std::any_of(plan.ratios.begin(), plan.ratios.end(), [](const auto& ratio) {
    return ratio.of == name(Counts::acid) || ratio.per == name(Counts::acid);
  });
  const std::string weak = "the vinegar has " + plain(*facts.vinegar_pct, 2) +
                           " % acid, less than " + plain(proto::vinegar_means_pct, 0) + " %";
  // Where acid is critical however it is kept, the ratio would be kept with the wrong acid.
  if (plan.keeping == "shelf" || critical) {
    troubles.push_back({weak, "",
                        std::string("take a bottle of 5 % or more, never more of the weak one, ") +
                            "and tell it: maslin facts --vinegar \"5 %\"" +
                            (critical ? "" : "; or ask for --keeping refrigerator")});
  } else {
    plan.notes.push_back("Mind: " + weak + ".");
  }
}

void check_pectin(const Formula& formula, const Facts& facts, Plan& plan, Troubles& troubles) {
  for (const Ingredient& one : formula.ingredients) {
    if (one.counts_as != Counts::pectin) continue;
    const std::string_view meant = one.speaks_of("liquid")     ? "liquid"
                                   : one.speaks_of("powdered") ? "powdered"
                                                               : "";
    if (!facts.pectin.empty() && !meant.empty() && facts.pectin != meant) {
      troubles.push_back({"the formula means " + std::string(meant) + " pectin, and yours is " +
                              facts.pectin + ": one does not stand in for the other",
                          "",
                          "take " + std::string(meant) +
                              " pectin and tell it: maslin facts --pectin " + std::string(meant)});
    }
    if (by_package(one, facts)) {
      plan.notes.push_back(
          one.name + " goes by this package's " + plain(*facts.pectin_package_g, 1) + " g" +
          (facts.pectin_date.empty()
               ? "."
               : ", best before " + facts.pectin_date + ": past it, it sets weakly."));
    }
  }
}

std::string short_of(std::int64_t there, std::int64_t needed, const char* what) {
  return std::string(what) + ", " + std::to_string(there) + " for " + std::to_string(needed);
}

void add_limit(Plan& plan, const std::string& what) {
  plan.limited_by += (plan.limited_by.empty() ? "" : "; ") + what;
}

// The process was tested with one kind of lid.
void note_lids(const Facts& facts, Plan& plan) {
  if (facts.jar_kind.empty() || facts.jar_kind == "two-piece lid") return;
  plan.notes.push_back(
      std::string(facts.jar_kind == "clip" ? "Jars with a clip" : "Screw lids in one piece") +
      ": published times in the water bath are for two-piece lids. Keep to the source's kind, or "
      "follow whoever makes these lids and has tested them.");
}

void check_jars(const Formula& formula, const Facts& facts, Plan& plan, Troubles& troubles) {
  plan.jar_ml = jar_of(formula, facts);
  plan.yield_ml = quantity::value(formula.jars.count) * formula.jars.ml * plan.factor;
  const JarCount jars = jars_for(plan.yield_ml, plan.jar_ml);
  const std::int64_t all = jars.whole + (jars.part ? 1 : 0);
  if (facts.jars && *facts.jars < all) add_limit(plan, short_of(*facts.jars, all, "jars"));
  if (plan.keeping != "shelf") return;
  note_lids(facts, plan);
  if (!facts.jar_ml && plan.yield_ml > 0) {
    plan.asks.push_back("the size of the jars: maslin facts --jar \"" + formula.jars.size + "\"");
  }
  if (!facts.lids) plan.asks.push_back("how many new lids there are: maslin facts --lids 6");
  // The part-filled one goes to the refrigerator and may have an old lid.
  if (facts.lids && *facts.lids < jars.whole) {
    add_limit(plan, short_of(*facts.lids, jars.whole, "new lids"));
    plan.notes.push_back("A jar without a new lid goes to the refrigerator.");
  }
  for (const auto& operation : formula.operations) {
    if (operation.kind != Kind::water_bath) continue;
    const double largest = operation.jar_ml > 0 ? operation.jar_ml : formula.jars.ml;
    if (largest > 0 && plan.jar_ml > largest * 1.001) {
      troubles.push_back(
          {"the source has no time in the water bath for jars of " + plain(plan.jar_ml, 0) + " mL",
           "",
           "take jars of at most " + plain(largest, 0) +
               " mL: a smaller one keeps the full time of the row; or ask for "
               "--keeping refrigerator"});
    }
  }
  if (facts.canner_jars && jars.whole > 0) {
    plan.canner_loads = (jars.whole + *facts.canner_jars - 1) / *facts.canner_jars;
  } else if (has_step(plan, "water bath")) {
    plan.canner_loads = 1;
  }
}

// Whether the water will stand over the lids. Jars push away what they hold at the least, so it
// stands rather higher than computed here.
void check_canner(const Facts& facts, Plan& plan, Troubles& troubles) {
  if (!has_step(plan, "water bath") || !facts.jar_cm) return;
  const double needed_cm = *facts.jar_cm + over_lids_cm;
  if (facts.canner_high_cm && *facts.canner_high_cm < needed_cm + boils_in_cm) {
    troubles.push_back({"a canner of " + plain(*facts.canner_high_cm, 1) +
                            " cm over its rack is too low for jars "
                            "of " +
                            plain(*facts.jar_cm, 1) +
                            " cm with 2.5 cm of water over them and room to boil",
                        "", "take lower jars, or a higher canner: maslin facts --canner-high"});
  }
  if (!facts.canner_cm) return;
  const double area_cm2 = std::numbers::pi / 4 * *facts.canner_cm * *facts.canner_cm;
  const auto all = jars_for(plan.yield_ml, plan.jar_ml).whole;
  // The last load may be a small one, and then the water stands lowest.
  const auto at_once = std::max<std::int64_t>(1, facts.canner_jars.value_or(all));
  const auto load = all % at_once == 0 ? std::min(all, at_once) : all % at_once;
  const double pushed_l = static_cast<double>(load) * plan.jar_ml / 1000;
  const double needed_l = std::max(area_cm2 * needed_cm / 1000 - pushed_l, 0.0);
  const std::string least = plain(std::ceil(needed_l * 2) / 2, 1) + " L";
  if (!facts.canner_l) {
    plan.notes.push_back("Over the lids stand 2.5 cm of water with " + least +
                         " in the canner; what the rack takes comes on top.");
  } else if (*facts.canner_l < needed_l) {
    plan.notes.push_back(plain(*facts.canner_l, 1) +
                         " L in the canner may not stand 2.5 cm over the lids: take " + least +
                         ", and keep a kettle boiling to top it up.");
  }
}

bool has_any(const Formula& formula, Counts counts) {
  return std::any_of(formula.ingredients.begin(), formula.ingredients.end(),
                     [&](const auto& one) { return one.counts_as == counts; });
}

double pan_kg(const Plan& plan) {
  double kg = 0;
  for (const auto& one : plan.ingredients) kg += static_cast<double>(one.aim_ug) / 1e9;
  return kg;
}

void check_pan(const Formula& formula, const Facts& facts, Plan& plan, Troubles& troubles) {
  if (!has_step(plan, "heat")) return;
  const bool bare = facts.pan_metal == "copper" || facts.pan_metal == "brass" ||
                    facts.pan_metal == "aluminium" || facts.pan_metal == "iron";
  if (bare && has_any(formula, Counts::acid)) {
    troubles.push_back({"a pan of bare " + facts.pan_metal + " and what is sour do not agree", "",
                        "take stainless steel or enamel and tell it: maslin facts --pan-metal "
                        "\"stainless steel\""});
  }
  const auto room_kg = pan_room_kg(formula, facts);
  if (!room_kg || pan_kg(plan) <= *room_kg) return;
  const double litres = pan_kg(plan) / least_kg_l;
  const double room = *room_kg / least_kg_l;
  troubles.push_back(
      {"about " + plain(litres, 1) + " L are too much for a pan of " + plain(*facts.pan_l, 1) +
           " L" + (has_any(formula, Counts::sugar) ? ": what foams may fill a quarter of it" : ""),
       "",
       "ask for --factor " + plain(std::floor(plan.factor * room / litres * 100) / 100, 2) +
           " or less, or take a larger pan: maslin facts --pan-holds \"" +
           plain(std::ceil(*facts.pan_l * litres / room), 0) + " L\""});
}

void check_scales(const Equipment& equipment, Plan& plan) {
  for (const auto& one : plan.ingredients) {
    for (const auto& scale : equipment.scales) {
      const std::int64_t most = scale.description.capacity_ug;
      // On a small scale stands a small vessel (common practice, no source).
      const std::int64_t with_vessel_ug = one.aim_ug + std::min(vessel_ug, most / 2);
      if (proto::name(scale.role) != one.role || most == 0 || with_vessel_ug <= most) continue;
      plan.notes.push_back(one.name + ", " + quantity::grams(one.aim_ug) +
                           ", and its vessel may be over what the " + one.role +
                           " scale can carry, " + quantity::grams(most) +
                           ": it is asked for in portions, each emptied before the next.");
    }
  }
}

// How deep the pan is filled when each operation begins; where a probe cannot stand in it, the eye
// decides.
void mark_shallow(const Equipment& equipment, Plan& plan) {
  const auto& facts = equipment.facts;
  const bool probe = std::any_of(equipment.scales.begin(), equipment.scales.end(),
                                 [](const auto& one) { return one.role == proto::Role::pan; });
  if (!facts.pan_cm || !probe) return;
  const double area_cm2 = std::numbers::pi / 4 * *facts.pan_cm * *facts.pan_cm;
  double kg = 0;
  double shallowest_cm = least_depth_cm;
  for (auto& operation : plan.operations) {
    if (operation.kind == "heat") {
      for (const auto& name : operation.ingredients) {
        for (const auto& one : plan.ingredients) {
          if (one.name == name) kg += static_cast<double>(one.aim_ug) / 1e9;
        }
      }
    } else if (operation.kind != "dwell") {
      continue;
    }
    const double depth_cm = (kg > 0 ? kg : pan_kg(plan)) / most_kg_l * 1000 / area_cm2;
    operation.by_eye = depth_cm < least_depth_cm;
    shallowest_cm = std::min(shallowest_cm, depth_cm);
  }
  if (shallowest_cm >= least_depth_cm) return;
  plan.notes.push_back("In a pan of " + plain(*facts.pan_cm, 0) + " cm it stands only " +
                       plain(shallowest_cm, 1) +
                       " cm deep: no probe reads that, so your eye is asked; what the thermometer "
                       "shows is shown.");
}

}  // namespace

std::optional<std::int64_t> by_package(const Ingredient& ingredient, const Facts& facts) {
  if (ingredient.counts_as != Counts::pectin || !facts.pectin_package_g ||
      ingredient.amount.measure != quantity::Measure::package) {
    return std::nullopt;
  }
  return std::llround(quantity::value(ingredient.amount.value) * *facts.pectin_package_g * 1e6);
}

std::optional<double> pan_room_kg(const Formula& formula, const Facts& facts) {
  if (!facts.pan_l) return std::nullopt;
  const double litres = has_any(formula, Counts::sugar) ? *facts.pan_l / foams_to : *facts.pan_l;
  return litres * least_kg_l;
}

JarCount jars_for(double yield_ml, double jar_ml) {
  if (yield_ml <= 0 || jar_ml <= 0) return {};
  const double count = yield_ml / jar_ml;
  JarCount jars;
  jars.whole = static_cast<std::int64_t>(std::floor(count + worth_a_jar));
  jars.part = count - static_cast<double>(jars.whole) > worth_a_jar;
  return jars;
}

std::string jars_text(const Formula& formula, const Facts& facts, double factor) {
  const double jar_ml = jar_of(formula, facts);
  const double yield_ml = quantity::value(formula.jars.count) * formula.jars.ml * factor;
  if (yield_ml <= 0 || jar_ml <= 0) return {};
  const JarCount jars = jars_for(yield_ml, jar_ml);
  const std::string size = facts.jar_ml ? plain(jar_ml, 0) + " mL" : formula.jars.size;
  const double halves = yield_ml / jar_ml * 2;
  const bool exact = std::abs(halves - std::round(halves)) < 0.02;
  if (jars.whole == 0) return (exact ? "" : "about ") + ("one part-filled jar of " + size);
  return (exact ? "" : "about ") + std::to_string(jars.whole) +
         (jars.whole > 1 ? " jars of " : " jar of ") + size +
         (jars.part ? " and one part-filled" : "");
}

Troubles fit_kitchen(const Formula& formula, const Equipment& equipment, Plan& plan) {
  Troubles troubles;
  check_vinegar(formula, equipment.facts, plan, troubles);
  check_pectin(formula, equipment.facts, plan, troubles);
  check_jars(formula, equipment.facts, plan, troubles);
  check_canner(equipment.facts, plan, troubles);
  check_pan(formula, equipment.facts, plan, troubles);
  check_scales(equipment, plan);
  mark_shallow(equipment, plan);
  return troubles;
}

}  // namespace maslin::plan
