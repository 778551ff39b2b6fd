// What a batch may be called after it was made.
#include "daemon/review/standing.hpp"

#include <algorithm>
#include <optional>
#include <vector>

namespace maslin::review {
namespace {

std::optional<std::int64_t> sum(const std::vector<std::string>& names,
                                std::span<const proto::Weighing> weighings) {
  std::int64_t total = 0;
  for (const std::string& name : names) {
    const auto found = std::find_if(weighings.begin(), weighings.end(),
                                    [&](const auto& w) { return w.ingredient == name; });
    if (found == weighings.end() || found->indications == 0) return std::nullopt;
    total += found->net_ug;
  }
  return total;
}

// In doubles a figure exactly on the limit would fall to either side.
bool broken(const proto::PlannedRatio& ratio, std::int64_t of_ug, std::int64_t per_ug) {
  __extension__ using Wide = __int128;
  const Wide have = Wide{of_ug} * 1'000'000;
  const Wide limit = Wide{per_ug} * ratio.limit_ppm;
  return ratio.least ? have < limit : have > limit;
}

std::vector<std::string> reasons(const proto::Plan& plan,
                                 std::span<const proto::ReportIngredient> ingredients,
                                 std::span<const proto::Weighing> weighings) {
  std::vector<std::string> found;
  for (const proto::PlannedRatio& ratio : plan.ratios) {
    const auto of = sum(ratio.of_names, weighings);
    const auto per = sum(ratio.per_names, weighings);
    if (of && per && broken(ratio, *of, *per)) {
      found.push_back(ratio.of + " per " + ratio.per + " is " + (ratio.least ? "below" : "above") +
                      " its critical limit");
    }
  }
  for (const proto::ReportIngredient& ingredient : ingredients) {
    if (!ingredient.critical || ingredient.verdict == "within") continue;
    if (!ingredient.weighed_g) {
      found.push_back(ingredient.name + " was not weighed");
      continue;
    }
    const double weighed = *ingredient.weighed_g;
    const bool low = weighed < ingredient.aim_g;
    const auto planned = std::find_if(plan.ingredients.begin(), plan.ingredients.end(),
                                      [&](const auto& p) { return p.name == ingredient.name; });
    if (planned == plan.ingredients.end()) continue;
    if (low ? !planned->unsafe_under : !planned->unsafe_over) continue;
    if (weighed < ingredient.lower_g || weighed > ingredient.upper_g) {
      found.push_back(ingredient.name + " is " + (low ? "under" : "over") + " its critical limit");
    } else if (ingredient.verdict == "undecided") {
      found.push_back("the scale cannot tell whether the " + ingredient.name + " is right");
    } else {
      found.push_back(ingredient.name + " was accepted too near its critical limit");
    }
  }
  return found;
}

std::string listed(const std::vector<std::string>& reasons) {
  std::string text;
  for (const std::string& reason : reasons) text += (text.empty() ? "" : "; ") + reason;
  return text;
}

}  // namespace

std::string may_be_called(const proto::Plan& plan, std::string_view state,
                          std::span<const proto::ReportIngredient> ingredients,
                          std::span<const proto::Weighing> weighings) {
  if (state != "complete") {
    return "Not finished (" + std::string(state.empty() ? "no state" : state) +
           "): it may not be called anything yet.";
  }
  const auto why = reasons(plan, ingredients, weighings);
  if (why.empty()) return plan.may_be_called;
  if (plan.keeping == "shelf") {
    return "Not for the shelf: " + listed(why) +
           ". Refrigerate it, or ask a process authority before anything else is done with it.";
  }
  return "Outside its formula: " + listed(why) + ". Planned as: " + plan.may_be_called;
}

}  // namespace maslin::review
