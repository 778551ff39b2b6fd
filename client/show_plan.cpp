// The plan as a cook reads it before anything is weighed.
#include <algorithm>

#include "client/show.hpp"
#include "client/text.hpp"

namespace maslin::client {
namespace {

std::string aim(const proto::PlannedIngredient& ingredient) {
  if (ingredient.check == "weigh") return grams_of_ug(ingredient.aim_ug);
  return ingredient.check == "count" ? "by count" : "by measure";
}

std::string band(const proto::PlannedIngredient& ingredient) {
  if (ingredient.check != "weigh") return "-";  // nothing will be held against it
  return number(static_cast<double>(ingredient.lower_ug) / 1e6, 2) + " to " +
         grams_of_ug(ingredient.upper_ug);
}

// Only what is out of the ordinary: weighed prepared on the bench scale is the rule.
std::string remark(const proto::PlannedIngredient& ingredient) {
  std::string text;
  const auto also = [&](const std::string& more) { text += (text.empty() ? "" : ", ") + more; };
  if (ingredient.basis == "bought" || ingredient.lead) also(ingredient.basis);
  if (ingredient.lead) also("sets the size of the batch");
  if (ingredient.critical) also("critical");
  if (ingredient.role == "fine") also("on the fine scale");
  // Why stands among the aims; here only that the cups beside it are not what to pour.
  if (ingredient.check == "weigh" && !ingredient.reason.empty() && ingredient.nominal_ug > 0) {
    const std::int64_t off = ingredient.aim_ug - ingredient.nominal_ug;
    also(grams_of_ug(off < 0 ? -off : off) + (off < 0 ? " less" : " more") +
         " than the kitchen measure");
  }
  return text;
}

std::string limit(const proto::PlannedRatio& ratio) {
  if (ratio.share_ppm > 0) {
    return (ratio.least ? "at least " : "at most ") +
           number(static_cast<double>(ratio.share_ppm) / 1e4, 2) + " % " + ratio.of + " of " +
           ratio.per;
  }
  const double value = static_cast<double>(ratio.limit_ppm) / 1e6;
  return (ratio.least ? "at least " : "at most ") + number(value, 4) + " g " + ratio.of +
         " for each g of " + ratio.per;
}

std::string step(std::size_t number_of_step, const proto::PlannedOperation& operation) {
  std::string text = std::to_string(number_of_step) + ". " + operation.text;
  if (operation.duration_ms > 0) text += " " + span_text(operation.duration_ms) + ".";
  if (operation.longest_ms > 0) {
    text += " Not longer than " + span_text(operation.longest_ms) +
            (operation.kind == "dry"     ? "."
             : operation.kind == "stand" ? " without being sour."
                                         : " at the boil.");
  }
  if (operation.left_ppm > 0) {
    const double left_pct = static_cast<double>(operation.left_ppm) / 1e4;
    text += " Dry when " + number(left_pct, 1) + " % of the weight is left, " +
            number(100 - left_pct, 1) + " % gone.";
  }
  const auto degrees = [](std::int64_t mk) {
    return celsius(static_cast<double>(mk - 273'150) / 1000.0);
  };
  if (operation.least_mk > 0) text += " At least " + degrees(operation.least_mk) + ".";
  if (operation.most_mk > 0) text += " At most " + degrees(operation.most_mk) + ".";
  if (operation.outside_ms > 0) {
    text += " Outside of that " + span_text(operation.outside_ms) + " altogether" +
            (operation.cold_chain ? ", then it is discarded." : ".");
  }
  return text;
}

// What is wanted of each, in the order of units that was asked for.
std::string amounts(const proto::Plan& plan) {
  if (plan.units == "grams") {
    Table table({"ingredient", ">weigh", ">band", "kitchen measure", ""});
    for (const auto& ingredient : plan.ingredients) {
      table.row({ingredient.name, aim(ingredient), band(ingredient), ingredient.amount,
                 remark(ingredient)});
    }
    return table.text(2);
  }
  Table table({"ingredient", "kitchen measure", ">weigh", ">band", ""});
  for (const auto& ingredient : plan.ingredients) {
    table.row({ingredient.name, ingredient.amount, aim(ingredient), band(ingredient),
               remark(ingredient)});
  }
  return table.text(2);
}

}  // namespace

std::string show(const proto::Plan& plan) {
  Page page;
  page.line(plan.may_be_called);
  page.line(
      plan.formula + ", times " + number(plan.factor, 3) + " (at most " +
      number(plan.largest_multiple, 3) + "), " +
      (plan.jars.empty() ? "for the " + plan.keeping : plan.jars + ", for the " + plan.keeping));
  if (plan.status == "tested") page.line("Source: " + plan.source);
  if (plan.provisional && !plan.lead.empty()) {
    page.line("Provisional: weigh the " + plan.lead +
              " first, prepared; the amounts follow from it.");
  }
  if (!plan.limited_by.empty()) page.line("Limited by " + plan.limited_by);
  page.list("Before the first cut, tell", plan.asks);
  page.gap();
  page.raw(amounts(plan));

  std::vector<std::string> reasons;
  for (const auto& ingredient : plan.ingredients) {
    // Why something is not weighed stands among the notes.
    if (ingredient.check == "weigh" && !ingredient.reason.empty())
      reasons.push_back(ingredient.name + ": " + ingredient.reason + ".");
  }
  page.list("Aims", reasons);
  std::vector<std::string> limits;
  for (const auto& ratio : plan.ratios) limits.push_back(limit(ratio));
  page.list("Critical limits", limits);
  page.list("Notes", plan.notes);
  std::vector<std::string> steps;
  for (const auto& operation : plan.operations) steps.push_back(step(steps.size() + 1, operation));
  page.list("Steps", steps);
  const bool heats =
      std::any_of(plan.operations.begin(), plan.operations.end(), [](const auto& one) {
        return one.kind == "heat" || one.kind == "dwell" || one.kind == "water bath";
      });
  if (heats && plan.altitude_m && plan.boiling_point_mk > 0) {
    page.gap().line("Water boils at " +
                    celsius(static_cast<double>(plan.boiling_point_mk - 273'150) / 1000.0) +
                    " here, " + number(*plan.altitude_m, 0) + " m above the sea.");
  }
  std::vector<std::string> cautions;
  for (const auto& caution : plan.cautions) {
    cautions.push_back(caution.at + ": " + caution.text + " (" + caution.evidence + ")");
  }
  page.list("Cautions", cautions);
  return page.text();
}

}  // namespace maslin::client
