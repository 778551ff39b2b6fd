// `figure rescue`: the smallest larger batch that takes an over-pour back into its band.
#include "daemon/plan/rescue.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/figures/kinds.hpp"
#include "daemon/formula/read.hpp"
#include "daemon/quantity/decimal.hpp"
#include "proto/nearest.hpp"

namespace maslin::figures {
namespace {

using formula::Formula;
using plan::RescueLimit;

double grams(std::int64_t micrograms) { return static_cast<double>(micrograms) / 1e6; }
std::string in_grams(double mass_g) { return quantity::plain(mass_g, 2) + " g"; }

// The formula as it is written: bands, critical ratios of its keeping, largest multiple.
plan::RescueProblem problem_of(const Formula& formula) {
  plan::RescueProblem problem;
  for (const auto& one : formula.ingredients) {
    problem.items.push_back({one.name, 0, grams(one.mass_ug), grams(one.mass_ug - one.below_ug),
                             grams(one.mass_ug + one.above_ug), plan::kNoLimit, false});
  }
  for (const auto& ratio : formula.ratios) {
    if (!ratio.holds_for(formula.keeping)) continue;
    const double limit = static_cast<double>(ratio.limit_ppm) / 1e6;
    plan::RescueRatio one;
    one.name = formula::text(ratio.of) + " per " + ratio.per_text();
    one.least = ratio.least ? limit : 1 / limit;
    for (std::size_t i = 0; i < formula.ingredients.size(); ++i) {
      const auto counts = formula.ingredients[i].counts_as;
      if (formula::has(ratio.of, counts)) (ratio.least ? one.large : one.small).push_back(i);
      if (formula::has(ratio.per, counts)) (ratio.least ? one.small : one.large).push_back(i);
    }
    problem.ratios.push_back(std::move(one));
  }
  problem.largest_factor = formula.largest_multiple;
  return problem;
}

// Every "NAME=MASS" of an option into its item.
void read_masses(Asked& asked, const char* option, double plan::RescueItem::*field,
                 plan::RescueProblem& problem) {
  std::vector<std::string> names;
  for (const auto& item : problem.items) names.push_back(item.name);
  std::vector<std::string> seen;
  for (const std::string& text : asked.texts(option)) {
    const auto both = halves(text, '=');
    if (!both) {
      asked.refuse("\"" + proto::excerpt(text, 60) + "\" does not say how much of what", option,
                   "write NAME=MASS, such as \"sugar=980 g\"");
      continue;
    }
    const auto item = std::find_if(problem.items.begin(), problem.items.end(),
                                   [&](const auto& one) { return one.name == both->first; });
    if (item == problem.items.end()) {
      const std::string near = proto::nearest(both->first, names);
      asked.refuse("the formula has no \"" + proto::excerpt(both->first, 60) + "\"", option,
                   (near.empty() ? "" : "did you mean \"" + near + "\"? ") + "in it are " +
                       proto::listed(names));
      continue;
    }
    if (std::find(seen.begin(), seen.end(), item->name) != seen.end()) {
      asked.refuse("\"" + item->name + "\" is given twice", option, "give it once");
    }
    seen.push_back(item->name);
    (*item).*field = asked.mass_of(option, both->second, Sign::not_below_zero);
  }
}

std::string words(RescueLimit limit, const std::string& name) {
  switch (limit) {
    case RescueLimit::band:
      return "band " + name;
    case RescueLimit::ratio:
      return "ratio " + name;
    case RescueLimit::stock:
      return "stock " + name;
    case RescueLimit::capacity:
      return "pan";
    case RescueLimit::largest_factor:
      return "largest multiple";
    case RescueLimit::none:
      break;
  }
  return "";
}

}  // namespace

proto::Results<Figure> rescue(Asked& asked) {
  const Given* file = asked.given("formula");
  if (file == nullptr) return tl::unexpected(asked.troubles());
  const auto formula = formula::read(file->text, file->file);
  if (!formula) return tl::unexpected(formula.error());
  auto problem = problem_of(*formula);
  read_masses(asked, "in", &plan::RescueItem::in_g, problem);
  read_masses(asked, "stock", &plan::RescueItem::stock_g, problem);
  if (!asked.good()) return tl::unexpected(asked.troubles());

  const plan::Rescue found = plan::rescue(problem);
  Figure figure;
  std::vector<Record> top_ups;
  std::string told;
  for (std::size_t i = 0; i < found.top_up_g.size(); ++i) {
    const std::string& name = problem.items[i].name;
    top_ups.push_back(
        {{"ingredient", name}, {"add_g", found.top_up_g[i]}, {"least_g", found.least_g[i]}});
    if (found.top_up_g[i] <= 0) continue;
    figure.lines.push_back(name + ": " + in_grams(found.top_up_g[i]) + " more, at least " +
                           in_grams(found.least_g[i]));
  }
  figure.fields = {{"factor", found.factor},
                   {"top_ups", std::move(top_ups)},
                   {"feasible", found.feasible},
                   {"blocked_by", words(found.blocked_by, found.blocked_name)},
                   {"limited_by", words(found.limited_by, found.limited_name)}};
  const std::string factor = quantity::plain(found.factor, 4) + " times the formula";
  figure.value = found.feasible ? "a batch of " + factor
                                : "no batch: " + words(found.blocked_by, found.blocked_name) +
                                      " stands against " + factor;
  figure.accuracy = "exact for these masses; not rounded to what a scale shows";
  figure.range =
      "the formula as it is written, what is in stays in; a running batch keeps the guard of its "
      "scale, its pan and a usual pour's room besides";
  figure.source =
      "linear programme, smallest factor, in closed form; no published source. What may be canned "
      "is for the tested formula and its authority to say";
  return figure;
}

}  // namespace maslin::figures
