// What a batch may be called after it was made.
#include "daemon/review/standing.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

namespace maslin::review {
namespace {

// One side of a ratio.
struct Group {
  std::int64_t mass_ug = 0;
  double variance = 0;  // ug^2
  double worst = 0;     // greatest standard uncertainty of one of its weighings, ug
};

// As plan/ratios counts it: `shares` and `up`.
std::optional<Group> group(const std::vector<std::string>& names,
                           const std::vector<std::int64_t>& shares, bool up,
                           std::span<const proto::Weighing> weighings) {
  __extension__ using Wide = __int128;
  Group total;
  for (std::size_t i = 0; i < names.size(); ++i) {
    const std::int64_t ppm = i < shares.size() ? shares[i] : 1'000'000;
    const auto found = std::find_if(weighings.begin(), weighings.end(),
                                    [&](const auto& w) { return w.ingredient == names[i]; });
    if (found == weighings.end() || found->indications == 0) return std::nullopt;
    const double u =
        static_cast<double>(found->standard_uncertainty_ug) * static_cast<double>(ppm) / 1e6;
    total.mass_ug +=
        static_cast<std::int64_t>((Wide{found->net_ug} * ppm + (up ? 999'999 : 0)) / 1'000'000);
    total.variance += u * u;
    total.worst = std::max(total.worst, u);
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

proto::ReportRatio achieved(const proto::PlannedRatio& ratio,
                            std::span<const proto::Weighing> weighings) {
  proto::ReportRatio row;
  row.of = ratio.of;
  row.per = ratio.per;
  row.least = ratio.least;
  row.limit = static_cast<double>(ratio.limit_ppm) / 1e6;
  row.verdict = "not weighed";
  if (ratio.share_ppm > 0) {
    row.share = true;
    row.limit = static_cast<double>(ratio.share_ppm) / 1e6;
  }
  const auto of = group(ratio.of_names, ratio.of_ppm, !ratio.least, weighings);
  const auto per = group(ratio.per_names, {}, false, weighings);
  if (!of || !per || per->mass_ug <= 0) return row;
  const auto per_ug = static_cast<double>(per->mass_ug);
  const double value = static_cast<double>(of->mass_ug) / per_ug;
  // Two nets into one vessel share an indication. One pair is always taken to, as where the plan
  // keeps its distance from the limit: that only makes the figure larger.
  const double shared = std::min(of->worst, per->worst);
  const double standard =
      std::sqrt(of->variance + value * value * per->variance + value * shared * shared) / per_ug;
  row.achieved = value;
  row.expanded_uncertainty = 2 * standard;
  if (ratio.share_ppm > 0) {
    // x / (1 + x) of both together, and its slope.
    row.achieved = value / (1 + value);
    row.expanded_uncertainty = 2 * standard / ((1 + value) * (1 + value));
  }
  if (broken(ratio, of->mass_ug, per->mass_ug)) {
    row.verdict = "broken";
  } else {
    row.verdict =
        std::abs(*row.achieved - row.limit) < *row.expanded_uncertainty ? "undecided" : "kept";
  }
  return row;
}

std::vector<std::string> reasons(const proto::Plan& plan,
                                 std::span<const proto::ReportIngredient> ingredients,
                                 std::span<const proto::ReportRatio> ratios) {
  std::vector<std::string> found;
  for (const proto::ReportRatio& ratio : ratios) {
    if (ratio.verdict != "broken") continue;
    found.push_back(ratio.of + " per " + ratio.per + " is " + (ratio.least ? "below" : "above") +
                    " its critical limit");
  }
  for (const proto::ReportIngredient& ingredient : ingredients) {
    if (!ingredient.critical || ingredient.verdict == "within") continue;
    const auto planned = std::find_if(plan.ingredients.begin(), plan.ingredients.end(),
                                      [&](const auto& p) { return p.name == ingredient.name; });
    if (planned == plan.ingredients.end()) continue;
    if (!ingredient.weighed_g) {
      // What was planned without a scale stands in what the plan may be called.
      if (plan.keeping == "shelf" || planned->check == "weigh") {
        found.push_back(ingredient.name + " was not weighed");
      }
      continue;
    }
    const double weighed = *ingredient.weighed_g;
    const bool low = weighed < ingredient.aim_g;
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

std::vector<proto::ReportRatio> ratios(const proto::Plan& plan,
                                       std::span<const proto::Weighing> weighings) {
  std::vector<proto::ReportRatio> rows;
  rows.reserve(plan.ratios.size());
  for (const proto::PlannedRatio& ratio : plan.ratios) rows.push_back(achieved(ratio, weighings));
  return rows;
}

std::string may_be_called(const proto::Plan& plan, std::string_view state,
                          std::span<const proto::ReportIngredient> ingredients,
                          std::span<const proto::ReportRatio> ratios,
                          const std::vector<std::string>& also, bool jars) {
  if (state == "stopped" || state == "aborted") {
    return "Ended before it was finished (" + std::string(state) +
           "): it may not be called anything.";
  }
  if (state != "complete") {
    return "Not finished (" + std::string(state.empty() ? "no state" : state) +
           "): it may not be called anything yet.";
  }
  auto why = reasons(plan, ingredients, ratios);
  why.insert(why.end(), also.begin(), also.end());
  if (why.empty()) return plan.may_be_called;
  if (plan.keeping == "shelf") {
    return "Not for the shelf: " + listed(why) +
           (jars ? ". What to do with each jar stands beneath; in doubt ask a process authority."
                 : ". Refrigerate it, or ask a process authority before anything else is done "
                   "with it.");
  }
  return "Outside its formula: " + listed(why) + ". Planned as: " + plan.may_be_called;
}

}  // namespace maslin::review
