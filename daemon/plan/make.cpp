// Putting a plan together; see plan.hpp.
#include <algorithm>
#include <cmath>
#include <string>

#include "daemon/plan/build.hpp"
#include "daemon/plan/cure.hpp"
#include "daemon/plan/evening.hpp"
#include "daemon/plan/kitchen.hpp"
#include "daemon/plan/limits.hpp"
#include "daemon/plan/plan.hpp"
#include "daemon/plan/reach.hpp"
#include "daemon/plan/scales.hpp"
#include "daemon/plan/size.hpp"
#include "daemon/plan/spoons.hpp"
#include "daemon/plan/steps.hpp"
#include "daemon/preserving/boiling.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/kitchen.hpp"

namespace maslin::plan {
namespace {

using formula::Formula;
using formula::Ingredient;
using formula::Keeping;
using proto::Plan;
using quantity::plain;

std::int64_t scaled(std::int64_t mass_ug, double factor) {
  return std::llround(static_cast<double>(mass_ug) * factor);
}

// A batch may be kept more carefully than its formula asks for, never less.
proto::Result<Keeping> keeping_of(const Formula& formula, const proto::PlanRequest& request) {
  if (request.keeping.empty()) return formula.keeping;
  const auto asked = formula::keeping_named(request.keeping);
  const std::string where = "--keeping";
  if (!asked) {
    return proto::trouble("\"" + request.keeping.substr(0, 40) + "\" is no way of keeping", where,
                          "ask for \"shelf\", \"refrigerator\" or \"freezer\"");
  }
  if (*asked == Keeping::shelf && formula.keeping != Keeping::shelf) {
    return proto::trouble(formula.tested ? "the formula was not tested for the shelf"
                                         : "an own formula is not for the shelf",
                          where, "ask for \"refrigerator\" or \"freezer\"");
  }
  return *asked;
}

// The first line of plan and report. It speaks of the source, never of how well anything was
// weighed: ten times "within" over an untested formula is no safety pass.
std::string may_be_called(const Formula& formula, Keeping keeping, const Plan& plan) {
  std::string unseen;
  for (const auto& one : plan.ingredients) {
    if (one.critical && one.check != "weigh") unseen += (unseen.empty() ? "" : ", ") + one.name;
  }
  const std::string kept = keeping == Keeping::freezer ? "Freezer" : "Refrigerator";
  std::string text;
  if (!formula.tested) {
    text = kept + " batch, not for the shelf: an own formula that cites no tested source";
  } else if (keeping == Keeping::shelf && !unseen.empty()) {
    // The cook learns it before anything is cut.
    text = "Not for the shelf: a batch after " + formula.source;
  } else if (keeping == Keeping::shelf) {
    text = "For the shelf only as far as it keeps to its source, " + formula.source;
  } else {
    text = kept + " batch after " + formula.source;
  }
  if (!unseen.empty()) text += "; no scale here confirms " + unseen;
  if (formula.invented) text += "; invented as an example and not tested for safety";
  return text + ".";
}

// A mass is nothing that a spoon can take where nobody knows what a spoon of it weighs.
bool needs_other_scale(const Line& line) {
  const Ingredient& ingredient = *line.ingredient;
  return line.judge.role == proto::Role::none &&
         quantity::kind(ingredient.amount.measure) == quantity::MeasureKind::mass &&
         std::none_of(ingredient.weighs.begin(), ingredient.weighs.end(), [](const auto& row) {
           return quantity::kind(row.amount.measure) == quantity::MeasureKind::volume;
         });
}

// What the kitchen is told. Grams that no scale here can weigh are told in cups and spoons where it
// is known what those weigh.
std::string amount_text(const Formula& formula, double factor, const Line& line) {
  const Ingredient& ingredient = *line.ingredient;
  std::string text = quantity::kitchen_text(ingredient.amount, factor, formula.cups);
  if (quantity::kind(ingredient.amount.measure) == quantity::MeasureKind::mass &&
      line.judge.role == proto::Role::none) {
    for (const formula::Weighs& row : ingredient.weighs) {
      if (quantity::kind(row.amount.measure) != quantity::MeasureKind::volume) continue;
      const double share = static_cast<double>(line.nominal_ug) / static_cast<double>(row.mass_ug);
      text = quantity::kitchen_text(row.amount, share, row.cups) + " (" + text + ")";
      break;
    }
  }
  if (!ingredient.form.empty()) text += ", " + ingredient.form;
  if (needs_other_scale(line)) text += ", on another scale";
  return text;
}

proto::PlannedIngredient planned_of(const Formula& formula, const Size& size, const Line& line,
                                    bool no_scale) {
  const Ingredient& ingredient = *line.ingredient;
  proto::PlannedIngredient planned;
  planned.name = ingredient.name;
  planned.amount = amount_text(formula, size.factor, line);
  planned.counts_as = name(ingredient.counts_as);
  planned.basis = ingredient.bought ? "bought" : "prepared";
  planned.lead = ingredient.lead;
  planned.solids_ppm = ingredient.solids_ppm;
  planned.nominal_ug = line.nominal_ug;
  planned.aim_ug = line.nominal_ug;
  planned.reason = line.judge.reason;
  if (line.judge.role != proto::Role::none) {
    planned.check = "weigh";
    planned.role = proto::name(line.judge.role);
  } else {
    // Without any scale of ours the cook may have another one.
    if (no_scale && line.nominal_ug >= 5'000'000) {
      planned.amount += ", " + quantity::grams(line.nominal_ug);
    }
    const bool pieces = ingredient.amount.measure == quantity::Measure::piece;
    planned.check = pieces ? "count" : "by measure";
  }
  return planned;
}

// A stop is foreseen from the flow, and the flow from several readings within a pour's last second
// (common practice, no source).
constexpr std::int64_t slowest_for_cues_ms = 250;

// Said before anything is weighed, while another scale or a larger batch is still a choice.
void note_scales(const Plan& plan, const std::vector<Line>& lines, const Equipment& equipment,
                 std::vector<std::string>& notes) {
  for (const proto::LeasedDevice& scale : equipment.scales) {
    if (scale.role != proto::Role::bench && scale.role != proto::Role::fine) continue;
    const std::string role(proto::name(scale.role));
    std::string judged;
    for (const proto::PlannedIngredient& ingredient : plan.ingredients) {
      if (ingredient.role != role) continue;
      judged += (judged.empty() ? "" : ", ") + ingredient.name;
    }
    notes.push_back("The " + role + " scale, which shows steps of " +
                    quantity::grams(scale.description.interval_ug) + ", " +
                    (judged.empty() ? "judges nothing in this batch." : "judges " + judged + "."));
    if (!judged.empty() && scale.description.period_ms > slowest_for_cues_ms) {
      notes.push_back("The " + role +
                      " scale sends too few readings for \"slow\" and \"stop\" in time: pour the "
                      "last part slowly, and it says what is missing.");
    }
  }
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const proto::PlannedIngredient& ingredient = plan.ingredients[i];
    if (!ingredient.role.empty()) continue;
    const bool other_scale = needs_other_scale(lines[i]);
    std::string note = ingredient.name + " is " +
                       (ingredient.check == "count" ? "counted"
                        : other_scale               ? "not weighed here"
                                                    : "taken by measure") +
                       ", " + ingredient.amount + ": " + ingredient.reason + ".";
    if (other_scale) {
      note += " To take it by the spoon, add weighs = \"1 tsp = ... g\" to it in the formula.";
    }
    if (ingredient.critical) note += " A critical limit is then not confirmed by weight.";
    notes.push_back(std::move(note));
  }
}

// A lead a little over the largest multiple is taken, but not without a word.
void note_size(const Formula& formula, const std::vector<Line>& lines, Plan& plan) {
  for (const Line& line : lines) {
    const std::int64_t most = scaled(line.ingredient->mass_ug, formula.largest_multiple);
    if (!line.ingredient->lead || line.nominal_ug <= most) continue;
    plan.notes.push_back(quantity::grams(line.nominal_ug) + " of " + line.ingredient->name +
                         " is a little over the largest batch, " + quantity::grams(most) +
                         ": all else stays at " + plain(plan.factor, 3) + " times the formula.");
  }
}

// More than the largest multiple is more than one pot; nothing is doubled in one.
void note_pots(Plan& plan) {
  if (plan.pots < 2) return;
  plan.notes.insert(plan.notes.begin(),
                    "This is one of " + std::to_string(plan.pots) +
                        " pots, cooked one after the other, each a batch of its own with its own "
                        "jars and canner loads: start the next when this one is complete.");
}

// With a thermometer in the pan a cook expects it to find the boil; without the altitude it cannot.
void note_boil(const Plan& plan, const Equipment& equipment, std::vector<std::string>& notes) {
  const bool probe = std::any_of(equipment.scales.begin(), equipment.scales.end(),
                                 [](const auto& d) { return d.role == proto::Role::pan; });
  const bool boils = std::any_of(plan.operations.begin(), plan.operations.end(),
                                 [](const auto& o) { return o.until == "boil"; });
  if (plan.altitude_m || !probe || !boils) return;
  notes.push_back(
      "The altitude is not known, so the boil is judged by your eye: maslin settings --altitude "
      "\"METRES m\" lets the thermometer find it.");
}

// Without a thermometer of the place the cook's word is all there is.
void note_place(const Equipment& equipment, Plan& plan) {
  const bool room = std::any_of(equipment.scales.begin(), equipment.scales.end(),
                                [](const auto& one) { return one.role == proto::Role::room; });
  bool said = false;
  for (auto& operation : plan.operations) {
    const bool dries = operation.kind == "dry";
    const bool bounded = operation.least_mk != 0 || operation.most_mk != 0;
    if ((operation.kind != "stand" && !dries) || !bounded) continue;
    operation.by_eye = !room;
    if (room) continue;
    if (dries && !operation.cold_chain) {
      plan.notes.push_back(
          "No thermometer tells how warm it is in the drier, " +
          quantity::celsius_bounds(operation.least_mk, operation.most_mk) +
          ": the record says that it was not measured. maslin assign room gives one the part.");
      continue;
    }
    if (said) continue;
    said = true;
    plan.notes.push_back("No thermometer tells how it is where it stands, " +
                         quantity::celsius_bounds(operation.least_mk, operation.most_mk) +
                         ": you are asked once a day. maslin assign room gives one the part; it "
                         "stands best in a glass of water beside the food.");
  }
}

void append(proto::Troubles& troubles, proto::Troubles more) {
  std::move(more.begin(), more.end(), std::back_inserter(troubles));
}

// What it is kept as decides which of its ratios are critical.
Formula kept_as(Keeping keeping, Formula formula) {
  std::erase_if(formula.ratios, [&](const auto& ratio) { return !ratio.holds_for(keeping); });
  return formula;
}

void note_dropped(const Formula& as_written, Keeping keeping, Plan& plan) {
  for (const auto& ratio : as_written.ratios) {
    if (ratio.holds_for(keeping)) continue;
    plan.notes.push_back("The formula's " + title(ratio) + " is critical for the " +
                         std::string(name(*ratio.only_for)) + " only: in the " +
                         std::string(name(keeping)) + " the bands judge alone.");
  }
}

}  // namespace

std::vector<Line> lines_of(const Formula& formula, const Size& size, const Equipment& equipment) {
  std::vector<Line> lines;
  for (const Ingredient& ingredient : formula.ingredients) {
    Line line;
    line.ingredient = &ingredient;
    // The lead is what it weighs, even where the factor was held at the largest multiple.
    const bool weighed_lead = ingredient.lead && size.lead_ug > 0;
    const std::int64_t written_ug =
        by_package(ingredient, equipment.facts).value_or(ingredient.mass_ug);
    line.asked_ug = scaled(written_ug, size.factor);
    line.nominal_ug = weighed_lead ? size.lead_ug : line.asked_ug;
    line.below_ug = scaled(ingredient.below_ug, size.factor);
    line.above_ug = scaled(ingredient.above_ug, size.factor);
    line.judge = choose_scale(equipment.scales, line.nominal_ug, line.below_ug, line.above_ug);
    // Only once the scale is chosen: its choice goes by the band that the formula means.
    if (ingredient.lead) {
      const std::int64_t most = scaled(ingredient.mass_ug, formula.largest_multiple);
      line.above_ug = std::clamp<std::int64_t>(most - line.nominal_ug, 0, line.above_ug);
    }
    lines.push_back(std::move(line));
  }
  return lines;
}

proto::Results<Plan> build(const Formula& as_written, const proto::PlanRequest& request,
                           const Equipment& equipment, const Size& size, bool weighed,
                           std::span<const Holding> holdings) {
  proto::Troubles troubles;
  const auto keeping = keeping_of(as_written, request);
  if (!keeping) return tl::unexpected(proto::Troubles{keeping.error()});
  const Formula formula = with_nitrite(kept_as(*keeping, as_written), equipment.facts);

  Plan plan;
  plan.units = request.units.empty() ? equipment.settings.units : request.units;
  if (plan.units != "kitchen" && plan.units != "grams") {
    troubles.push_back({"'" + proto::excerpt(plan.units, 40) + "' is no order of units", "--units",
                        "ask for kitchen (cups and spoons first) or grams"});
  }
  plan.formula = formula.name;
  plan.formula_sha256 = formula.text_sha256;
  plan.status = formula.tested ? "tested" : "own";
  plan.source = formula.source;
  plan.keeping = name(*keeping);
  plan.factor = size.factor;
  plan.largest_multiple = formula.largest_multiple;
  plan.jars = jars_text(formula, equipment.facts, size.factor);
  plan.pots = size.pots;
  plan.limited_by = size.limited_by;
  plan.longest_boil_ms = formula.longest_boil_ms;
  plan.most_ph = formula.most_ph;
  for (const auto& one : formula.operations) {  // what a ferment ends at holds from then on
    if (one.end_ph > 0)
      plan.most_ph = plan.most_ph > 0 ? std::min(plan.most_ph, one.end_ph) : one.end_ph;
  }
  plan.good_ms = formula.good_ms;
  plan.litre_ug = formula.jars.litre_ug;
  plan.altitude_m = equipment.settings.altitude_m;
  if (plan.altitude_m) {
    const auto boiling = preserving::boiling_point_mk(*plan.altitude_m);
    if (boiling) {
      plan.boiling_point_mk = *boiling;
    } else {
      troubles.push_back(boiling.error());
    }
  }
  if (const Ingredient* lead = formula.lead()) {
    plan.lead = lead->name;
    plan.provisional = !size.lead_known;
    if (plan.provisional) {
      plan.notes.push_back("Provisional: the size of the batch follows from the " + lead->name +
                           ", prepared and weighed.");
    }
  }
  if (!formula.note.empty()) plan.notes.push_back(formula.note);
  note_dropped(as_written, *keeping, plan);

  std::vector<Line> lines = lines_of(formula, size, equipment);
  const bool no_scale =
      std::none_of(equipment.scales.begin(), equipment.scales.end(), [](const auto& one) {
        return one.role == proto::Role::bench || one.role == proto::Role::fine;
      });
  for (Line& line : lines) {
    // The meat that is there is the meat that is cured: nothing moves its aim.
    const bool meat = line.ingredient->counts_as == formula::Counts::meat;
    line.sets_size = line.ingredient->lead && (plan.provisional || weighed || meat);
    take_in(line, holdings);
    plan.ingredients.push_back(planned_of(formula, size, line, no_scale));
  }
  const std::size_t known = troubles.size();
  check_cure(as_written, equipment.facts, plan, troubles);
  if (troubles.size() > known) return tl::unexpected(troubles);
  // Limits need all lines at once: what a ratio leaves to one depends on all others.
  plan.ratios = planned_ratios(formula);
  auto limits = set_limits(formula, lines, equipment.settings.usual_spread, plan.ingredients);
  // No band of a cure is widened: it is told what would do.
  const bool cures =
      std::any_of(formula.ingredients.begin(), formula.ingredients.end(),
                  [](const auto& one) { return one.counts_as == formula::Counts::curing_salt; });
  if (cures && !weighed && holdings.empty() && !limits.empty()) {
    const std::string todo = what_reaches(formula, size, equipment);
    for (auto& one : limits) {
      one.todo = todo.empty() ? "take a formula whose salt a scale here can judge" : todo;
    }
  }
  append(troubles, std::move(limits));
  plan.may_be_called = may_be_called(formula, *keeping, plan);
  keep_in(lines, holdings, plan);
  add_spoons(formula, lines, size.factor, plan);
  append(troubles, add_steps(formula, *keeping, plan));
  append(troubles, fit_kitchen(formula, equipment, plan));
  arrange_evening(equipment.facts, plan);
  note_size(formula, lines, plan);
  note_pots(plan);
  note_boil(plan, equipment, plan.notes);
  note_place(equipment, plan);
  note_scales(plan, lines, equipment, plan.notes);
  if (!troubles.empty()) return tl::unexpected(troubles);
  return plan;
}

proto::Results<Plan> make(const Formula& formula, const proto::PlanRequest& request,
                          const Equipment& equipment) {
  const auto size = size_of(formula, request);
  if (!size) return tl::unexpected(size.error());
  return build(formula, request, equipment, *size, false, {});
}

proto::Results<Plan> finalise(const Formula& formula, const proto::PlanRequest& request,
                              const Equipment& equipment, std::int64_t lead_net_ug) {
  auto size = size_by_lead(formula, request, lead_net_ug);
  if (!size) return tl::unexpected(size.error());
  if (const auto asked = size_of(formula, request)) {  // this pot is still one of so many
    size->pots = asked->pots;
    size->limited_by = asked->limited_by;
  }
  return build(formula, request, equipment, *size, true, {});
}

}  // namespace maslin::plan
