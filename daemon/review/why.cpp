// From the entries of a batch to the reasons of one verdict; see the header.
#include "daemon/review/why.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"
#include "daemon/review/record.hpp"
#include "daemon/weighing/conformity.hpp"
#include "daemon/weighing/coverage.hpp"
#include "daemon/weighing/scale_budget.hpp"

namespace maslin::review {
namespace {

using quantity::plain;
using weighing::Judgement;
using weighing::NetBudget;

constexpr std::string_view sum_of_two = "by the sum of two";  // a rule of the engine's

double grams(std::int64_t micrograms) { return static_cast<double>(micrograms) / 1e6; }

// What the record says of one ingredient.
struct Told {
  const proto::Start* start = nullptr;
  proto::Plan plan;
  std::optional<proto::Weighing> weighing;
  std::optional<proto::Verdict> verdict;
  std::vector<proto::ReportEvent> story;
};

// A walk over the entries that keeps what is about one ingredient, and the zeros of all scales.
class Walk {
 public:
  Walk(std::span<const proto::Entry> entries, std::string name) : name_(std::move(name)) {
    told_.start = start_of(entries);
    told_.plan = told_.start->plan;
    for (const proto::Entry& entry : entries) {
      now_ms_ = entry.stamp.at_ms - entries.front().stamp.at_ms;
      const auto* outcome = std::get_if<proto::Outcome>(&entry.body);
      if (outcome == nullptr) continue;
      std::visit([this](const auto& body) { take(body); }, *outcome);
    }
  }
  Told told() && {
    std::stable_sort(told_.story.begin(), told_.story.end(),
                     [](const auto& a, const auto& b) { return a.from_ms < b.from_ms; });
    return std::move(told_);
  }

 private:
  template <class T>
  void take(const T&) {}  // is about something else

  void take(const proto::PlanFinal& final) { told_.plan = final.plan; }
  void take(const proto::Weighing& weighing) {
    if (weighing.ingredient != name_) return;
    told_.weighing = weighing;
    // The zero that it was weighed from, which may have begun long before.
    for (const auto& [epoch, at_ms] : zeros_) {
      if (epoch.device == weighing.device && epoch.number == weighing.epoch) tell(epoch, at_ms);
    }
    if (weighing.indications == 0) {
      tell("not weighed", weighing.how);
      return;
    }
    tell((weighing.corrects ? "corrected to " : "weighed ") + quantity::grams(weighing.net_ug),
         weighing.how + (weighing.device < 0 ? "" : ", on the " + scale(weighing.device)) +
             ", zero " + std::to_string(weighing.epoch));
  }
  void take(const proto::Verdict& verdict) {
    if (verdict.ingredient != name_) return;
    told_.verdict = verdict;
    if (verdict.rule != "by measure") {
      tell(verdict.verdict + (verdict.accepted ? ", accepted" : ""), "band " + band_text(verdict));
    }
  }
  void take(const proto::Deviation& deviation) {
    if (deviation.about == name_) tell(deviation.what, deviation.done);
  }
  void take(const proto::WayOut& way) {
    if (way.ingredient == name_) {
      tell(quantity::grams(way.over_ug) + " too much", way_words(way) + refused_words(way));
    }
    for (const auto& one : way.additions) {
      if (one.ingredient != name_) continue;
      tell(quantity::grams(one.add_ug) + " more asked for",
           "after " + quantity::grams(way.over_ug) + " too much " + way.ingredient);
    }
  }
  void take(const proto::Amended& amended) {
    if (amended.amendment.of != name_ && amended.amendment.with != name_) return;
    tell(amendment_words(amended.amendment), "was " + amended.was + ", is " + amended.is);
  }
  void take(const proto::PhaseBegan& phase) { current_ = phase.ingredient == name_; }
  void take(const proto::ZeroEpoch& epoch) {
    if (current_)
      tell(epoch, now_ms_);
    else
      zeros_.emplace_back(epoch, now_ms_);
  }

  std::string scale(int device) const { return device_name(told_.start, device) + " scale"; }
  void tell(const proto::ZeroEpoch& epoch, std::int64_t at_ms) {
    const proto::ReportEvent event{
        at_ms, "zero " + std::to_string(epoch.number) + " of the " + scale(epoch.device) + " began",
        zero_words(epoch.why)};
    const auto same = [&](const auto& one) {
      return one.from_ms == event.from_ms && one.what == event.what;
    };
    if (std::none_of(told_.story.begin(), told_.story.end(), same)) told_.story.push_back(event);
  }
  void tell(std::string what, std::string detail) {
    told_.story.push_back({now_ms_, std::move(what), std::move(detail)});
  }

  std::string name_;
  Told told_;
  std::vector<std::pair<proto::ZeroEpoch, std::int64_t>> zeros_;  // while others were weighed
  bool current_ = false;
  std::int64_t now_ms_ = 0;
};

// The scale that weighed it; nullptr where none did.
const proto::LeasedDevice* scale_of(const Told& told) {
  if (!told.weighing || told.weighing->device < 0) return nullptr;
  const auto index = static_cast<std::size_t>(told.weighing->device);
  return index < told.start->devices.size() ? &told.start->devices[index] : nullptr;
}

// The budget as it was when it was weighed. The record has its sum: what the lines leave of it goes
// by the line of drift.
NetBudget budget_of(const proto::Weighing& weighed, const proto::LeasedDevice& scale) {
  NetBudget budget = weighing::recorded_budget(weighed, scale.description.interval_ug,
                                               scale.description.capacity_ug, scale.calibration);
  const double lines = weighing::net_uncertainty(budget).standard_g;
  const double all = grams(weighed.standard_uncertainty_ug);
  const double left = all * all - lines * lines;
  // The recorded sum is rounded to micrograms.
  if (left > 1e-3 * all * all) budget.drift_g = std::hypot(budget.drift_g, std::sqrt(left));
  return budget;
}

std::string basis_of(const weighing::Component& line, const NetBudget& budget, const Told& told,
                     const proto::LeasedDevice& scale) {
  if (line.name.starts_with("resolution")) {
    return "the scale shows steps of " + quantity::grams(scale.description.interval_ug);
  }
  if (line.name == "linearity") {
    return "never calibrated: what class III allows, ± " + plain(budget.linearity_g, 3) + " g";
  }
  if (line.name == "calibration") {
    return weighing::words(*scale.calibration);
  }
  if (line.name == "repeatability") {
    return std::isfinite(line.dof)
               ? "seen in the readings: " + plain(budget.repeatability_g, 3) + " g a reading, " +
                     plain(budget.repeatability_dof, 0) + " degrees of freedom"
               : "a tenth of a step assumed, more was not seen";
  }
  if (line.name == "sticking") {
    return "what stayed in the vessel before, up to " + plain(budget.sticking_g, 2) +
           " g; put the empty vessel back once, and it is weighed";
  }
  if (line.name == "drift") {
    if (told.verdict && told.verdict->rule == sum_of_two)
      return "only the sum of two was weighed; this one may be anywhere in its band";
    return told.weighing->drift_ug > 0
               ? "the reading slid by itself while something was in, and may have been food"
               : "what the steps, the scale's own error and its repeating leave of the recorded "
                 "sum";
  }
  return "";
}

std::string words_of(const weighing::Component& line, const Told& told) {
  if (line.name == "resolution before") return "the steps of the scale, before";
  if (line.name == "resolution after") return "the steps of the scale, after";
  if (line.name.starts_with("resolution")) return "the steps of the scale, once more";
  if (line.name == "linearity") return "the scale's own error";
  if (line.name == "calibration") return "the scale's calibration";
  if (line.name == "repeatability") return "how the scale repeats itself";
  if (line.name == "sticking") return "what sticks in the vessel";
  if (line.name == "drift") return told.weighing->drift_ug > 0 ? "a slide of the reading" : "other";
  return std::string(line.name);
}

Judgement judgement(std::string_view verdict) {
  for (const Judgement one : {Judgement::within, Judgement::under, Judgement::over}) {
    if (weighing::name(one) == verdict) return one;
  }
  return Judgement::undecided;
}

std::string rule_words(const proto::Verdict& verdict, const proto::PlannedIngredient& planned) {
  if (verdict.rule == "guarded") {
    if (planned.accept_lower_ug <= planned.lower_ug &&
        planned.accept_upper_ug >= planned.upper_ug) {
      return "Critical, so guarded: its ratio has so much room that the whole band is accepted; "
             "called under or over only when that is 95 % sure (JCGM 106).";
    }
    return "Critical, so guarded: accepted from " + quantity::grams(planned.accept_lower_ug) +
           " to " + quantity::grams(planned.accept_upper_ug) +
           ", so far inside the band that at most 5 % of what is accepted lies outside it; called "
           "under or over only when that is 95 % sure (JCGM 106).";
  }
  if (verdict.rule == "simple") {
    return "Quality, so simple: by the reading, limits included, wherever the scale can judge this "
           "band at all (JCGM 106).";
  }
  if (verdict.rule == "sets the size") {
    return "It sets the size of the batch: whatever it weighs is right, and the rest follows.";
  }
  if (verdict.rule == sum_of_two) {
    return "It came in together with another, so only the sum of the two was weighed and each has "
           "a "
           "share of it by its aim: the scale cannot judge one of them.";
  }
  return "Taken by measure" + (planned.reason.empty() ? "" : ": " + planned.reason) + ".";
}

// For a verdict that the scale cannot give.
std::vector<std::string> ways_out(const proto::PlannedIngredient& planned) {
  std::vector<std::string> ways{"wait until nothing moves and the scale is quiet",
                                "weigh it on a finer scale"};
  if (!planned.kitchen.empty()) ways.push_back("take it by measure: " + planned.kitchen);
  if (planned.unsafe_under && !planned.unsafe_over) ways.push_back("add a little: more is safe");
  if (planned.unsafe_over && !planned.unsafe_under)
    ways.push_back("take a little out: less is safe");
  return ways;
}

void add_budget(const Told& told, const proto::LeasedDevice& scale, proto::Why& why) {
  const NetBudget budget = budget_of(*told.weighing, scale);
  auto lines = weighing::components(budget);
  double variance = 0;
  for (const auto& line : lines) variance += line.standard_g * line.standard_g;
  std::stable_sort(lines.begin(), lines.end(),
                   [](const auto& a, const auto& b) { return a.standard_g > b.standard_g; });
  for (const auto& line : lines) {
    why.components.push_back({words_of(line, told), basis_of(line, budget, told, scale),
                              line.standard_g,
                              100.0 * line.standard_g * line.standard_g / variance});
  }
  const auto combined = weighing::combine(lines);
  if (std::isfinite(combined.dof)) why.effective_dof = combined.dof;
  why.student_factor = combined.coverage_factor;
  const auto chances =
      weighing::conformity(grams(told.weighing->net_ug), why.lower_g, why.upper_g, budget);
  const auto risks = weighing::risks(chances, judgement(why.verdict));
  why.probability_within = chances.within;
  why.consumer_risk = risks.consumer;
  why.producer_risk = risks.producer;
}

}  // namespace

proto::Result<proto::Why> why(std::span<const proto::Entry> entries, std::string_view ingredient) {
  const proto::Start* start = start_of(entries);
  if (start == nullptr) return proto::trouble("the record has no beginning", "", "maslin verify");
  std::string names;
  std::vector<std::string> found;
  for (const auto& planned : start->plan.ingredients) {
    names += (names.empty() ? "" : ", ") + planned.name;
    if (planned.name == ingredient)
      found.insert(found.begin(), planned.name);
    else if (planned.name.find(ingredient) != std::string::npos)
      found.push_back(planned.name);
  }
  const bool exact = !found.empty() && found.front() == ingredient;
  if (ingredient.empty() || found.empty() || (found.size() > 1 && !exact)) {
    return proto::trouble(
        found.size() > 1 ? "several ingredients are called so" : "the batch has no such ingredient",
        proto::excerpt(ingredient, 60), "give one of: " + names);
  }

  const Told told = Walk(entries, found.front()).told();
  const auto planned = std::find_if(told.plan.ingredients.begin(), told.plan.ingredients.end(),
                                    [&](const auto& one) { return one.name == found.front(); });
  if (planned == told.plan.ingredients.end()) {
    return proto::trouble("the final plan has no such ingredient", found.front(), "maslin verify");
  }
  proto::Why answer;
  answer.batch = start->batch;
  answer.ingredient = planned->name;
  answer.aim_g = grams(planned->aim_ug);
  answer.lower_g = grams(planned->lower_ug);
  answer.upper_g = grams(planned->upper_ug);
  answer.story = told.story;
  if (told.verdict) {
    answer.verdict = told.verdict->verdict;
    answer.accepted = told.verdict->accepted;
    answer.lower_g = grams(told.verdict->lower_ug);
    answer.upper_g = grams(told.verdict->upper_ug);
    answer.rule = rule_words(*told.verdict, *planned);
    const bool weighed = told.weighing && told.weighing->indications > 0;
    if (answer.verdict == "undecided" && weighed) answer.ways_out = ways_out(*planned);
  }
  if (!told.weighing || told.weighing->indications == 0) return answer;
  answer.how = told.weighing->how;
  answer.weighed_g = grams(told.weighing->net_ug);
  answer.standard_uncertainty_g = grams(told.weighing->standard_uncertainty_ug);
  answer.expanded_uncertainty_g = grams(told.weighing->expanded_uncertainty_ug);
  if (answer.standard_uncertainty_g > 0) {
    answer.coverage_factor = answer.expanded_uncertainty_g / answer.standard_uncertainty_g;
  }
  if (const auto* scale = scale_of(told)) add_budget(told, *scale, answer);
  return answer;
}

}  // namespace maslin::review
