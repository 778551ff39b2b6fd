// The amendments of amend.hpp.
#include "daemon/batch/amend.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <utility>

#include "daemon/batch/limits.hpp"
#include "daemon/batch/verdicts.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/plan/ratios.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/weighing/scale_budget.hpp"

namespace maslin::batch {
namespace {

using proto::Amendment;
using proto::PlannedIngredient;

// What is told is told to the gram: a rectangle of one, in micrograms.
constexpr std::int64_t told_uncertainty_ug = 289'000;
constexpr std::int64_t told_interval_ug = 1'000'000;
constexpr std::int64_t told_capacity_ug = 5'000'000'000;
// More jars than that cannot have come from a volume (common practice, no source).
constexpr double can_be_off = 1.34;

// The farther from its aim in the direction that is feared counts; where nothing is feared, what is
// told.
std::int64_t counting(const PlannedIngredient& planned, std::int64_t told_ug,
                      std::int64_t weighed_ug) {
  if (planned.unsafe_under && planned.unsafe_over) {
    return std::abs(told_ug - planned.aim_ug) >= std::abs(weighed_ug - planned.aim_ug) ? told_ug
                                                                                       : weighed_ug;
  }
  if (planned.unsafe_under) return std::min(told_ug, weighed_ug);
  if (planned.unsafe_over) return std::max(told_ug, weighed_ug);
  return told_ug;
}

class Amending {
 public:
  Amending(Desk& desk, Amendment amendment) : desk_(desk), amendment_(std::move(amendment)) {}

  void run() {
    const auto before = desk_.left_limits;
    const std::size_t from = desk_.outcomes().size();
    if (amendment_.what == "swapped") swap();
    if (amendment_.what == "weighed") tell(amendment_.mass_ug);
    if (amendment_.what == "left out") tell(0);
    if (amendment_.what == "added") add(amendment_.mass_ug);
    if (amendment_.what == "brine") add_brine();
    if (amendment_.what == "vinegar") strengthen();
    if (amendment_.what == "volume") set_volume();
    if (amendment_.what == "lot") set_lot();
    if (amendment_.what == "jars") {
      amended(count_text(desk_.jars.whole()), count_text(amendment_.count));
      desk_.jars.recount(desk_, amendment_.count);
    }
    judge_ratios();
    dispose(before);
    advise(from);
  }

 private:
  static std::string jars_text(std::int64_t jars) {
    return std::to_string(jars) + (jars == 1 ? " whole jar" : " whole jars");
  }
  std::string count_text(std::int64_t count) const {
    if (desk_.jars.are_jars()) return jars_text(count);
    return std::to_string(count) + " " + desk_.jars.unit() + (count == 1 ? "" : "s");
  }
  static std::string mass_text(const proto::Weighing& weighing) {
    return weighing.indications > 0 ? quantity::grams(weighing.net_ug) : "by measure";
  }
  const PlannedIngredient& planned(const std::string& name) const { return *desk_.planned(name); }

  void amended(std::string was, std::string is) {
    desk_.advice.push_back(what_text() + ": was " + was + ", is " + is + ".");
    desk_.emit(proto::Amended{amendment_, std::move(was), std::move(is)});
  }
  std::string what_text() const {
    if (amendment_.what == "swapped") return capitalised(amendment_.of) + " and " + amendment_.with;
    if (amendment_.what == "lot") return "Lot of " + amendment_.of;
    if (amendment_.what == "vinegar") return "Strength of the " + amendment_.of;
    return capitalised(amendment_.of.empty() ? amendment_.what : amendment_.of);
  }

  void swap() {
    const std::string one = amendment_.of = amended_ingredient(desk_, amendment_.of)->name;
    const std::string other = amendment_.with = amended_ingredient(desk_, amendment_.with)->name;
    proto::Weighing first = desk_.booked.at(one);
    proto::Weighing second = desk_.booked.at(other);
    const auto text = [&](const proto::Weighing& a, const proto::Weighing& b) {
      return quantity::grams(a.net_ug) + " of " + one + " and " + quantity::grams(b.net_ug) +
             " of " + other;
    };
    amended(text(first, second), text(second, first));
    std::swap(first.ingredient, second.ingredient);
    desk_.booked[one] = second;
    desk_.booked[other] = first;
    book(second, false);
    book(first, false);
  }

  void tell(std::int64_t told_ug) {
    amendment_.of = amended_ingredient(desk_, amendment_.of)->name;
    const PlannedIngredient& one = planned(amendment_.of);
    proto::Weighing weighing = desk_.booked.at(one.name);
    const bool weighed = weighing.indications > 0;
    const std::int64_t weighed_ug = weighed ? weighing.net_ug : one.nominal_ug;
    const std::int64_t counts_ug = counting(one, told_ug, weighed_ug);
    const std::string told = told_ug == 0 ? "left out" : quantity::grams(told_ug);
    amended(mass_text(weighing), counts_ug == told_ug
                                     ? told
                                     : told + ", told; the critical limit goes by the " +
                                           (weighed ? quantity::grams(weighed_ug) + " of the scale"
                                                    : "planned " + quantity::grams(weighed_ug)));
    // By measure, as it was, unless something worse was told before.
    const auto* counted = done(one.name);
    const bool told_before = counted != nullptr && counted->told;
    if (!weighed && counts_ug != told_ug && !told_before) return;
    weighing.net_ug = counts_ug;
    if (!weighed) {
      weighing.indications = 1;
      weighing.standard_uncertainty_ug = told_uncertainty_ug;
      weighing.expanded_uncertainty_ug = 2 * told_uncertainty_ug;
    }
    book(weighing, true);
  }

  // More of it went in since: what was judged stays as it was judged, the ratios go by all of it.
  void add(std::int64_t more_ug) {
    amendment_.of = amended_ingredient(desk_, amendment_.of)->name;
    auto* counted = done(amendment_.of);
    if (counted == nullptr) return;
    const std::int64_t is_ug = grow(*counted, more_ug);
    amended(quantity::grams(is_ug - more_ug), quantity::grams(is_ug));
  }

  // What was taken by measure counts as planned, and from here on as told.
  std::int64_t grow(Done& counted, std::int64_t more_ug) {
    if (!counted.told && by_measure(desk_, counted.mass.name)) {
      counted.mass.net_ug = planned(counted.mass.name).nominal_ug;
      counted.told = true;
    }
    return counted.mass.net_ug += more_ug;
  }

  // In the proportion of the formula: water alone would thin what is in already.
  void add_brine() {
    std::string is;
    for (const auto& [one, more_ug] : brine_of(desk_)->parts_of(amendment_.mass_ug)) {
      is += (is.empty() ? "" : ", ") + quantity::grams(more_ug) + " of " + one->name;
      if (one->counts_as == "salt") {
        amendment_.figure =
            100 * static_cast<double>(more_ug) / static_cast<double>(amendment_.mass_ug);
      }
      if (auto* counted = done(one->name)) grow(*counted, more_ug);
    }
    amended("as weighed", quantity::grams(amendment_.mass_ug) + " more, " + is);
    desk_.advice.push_back("Weigh " + is +
                           ", stir until the salt is gone and pour it on; never water alone.");
  }

  void strengthen() {
    const PlannedIngredient& one = *amended_vinegar(desk_, amendment_.of);
    amendment_.of = one.name;
    const auto percent = [](double value) { return quantity::plain(value, 2) + " %"; };
    const auto known = desk_.strength_ppm.find(one.name);
    const auto& fact = desk_.start.facts.vinegar_pct;
    amended(known != desk_.strength_ppm.end()
                ? percent(static_cast<double>(known->second) * proto::vinegar_means_pct / 1e6)
            : fact ? percent(*fact)
                   : "not told, " + percent(proto::vinegar_means_pct) + " meant",
            percent(amendment_.figure));
    const auto ppm = static_cast<std::int64_t>(
        std::floor(amendment_.figure / proto::vinegar_means_pct * 1e6 + 1e-6));
    const bool weak = ppm < 1'000'000;
    if (weak) {
      desk_.strength_ppm[one.name] = ppm;
    } else {
      desk_.strength_ppm.erase(one.name);
    }
    const std::string about = "strength of the " + one.name;
    if (weak && desk_.plan.keeping == "shelf") {
      desk_.emit(proto::Deviation{
          about, true,
          percent(amendment_.figure) + ", not the " + percent(proto::vinegar_means_pct) + " meant",
          "amended afterwards"});
    }
    desk_.limit_kept(about, !weak || desk_.plan.keeping != "shelf");
  }

  void set_volume() {
    const auto text = [](double ml) { return quantity::plain(ml, 0) + " mL"; };
    amended(desk_.plan.yield_ml > 0 ? text(desk_.plan.yield_ml) + " foreseen" : "not known",
            text(amendment_.figure));
    desk_.told_yield_ml = desk_.plan.yield_ml = amendment_.figure;
    const auto whole = static_cast<double>(desk_.jars.whole());
    if (desk_.plan.jar_ml > 0 && whole * desk_.plan.jar_ml > can_be_off * amendment_.figure) {
      desk_.advice.push_back("That does not fill " + jars_text(desk_.jars.whole()) +
                             ": maslin amend --jars mends the count.");
    }
  }

  void set_lot() {
    auto& lots = desk_.start.facts.lots;
    std::string was;
    for (const auto& lot : lots) {
      if (lot.of == amendment_.of) was += (was.empty() ? "" : " and ") + lot.lot;
    }
    lots.push_back({amendment_.of, amendment_.with});
    amended(was.empty() ? "not told" : was, amendment_.with);
  }

  // `weighing` is how it counts from now on.
  void book(proto::Weighing weighing, bool told) {
    weighing.how = "amended";
    weighing.corrects = true;
    desk_.emit(weighing);
    const PlannedIngredient one = planned(weighing.ingredient);
    if (one.lead && !lead_refused(desk_, weighing.net_ug)) {
      // All else follows from the lead, the bands too.
      make_final(desk_, weighing.net_ug);
      judge(weighing, told, true);
      for (auto other : desk_.booked) {
        if (other.first == one.name || other.second.indications == 0) continue;
        const auto* counted = done(other.first);
        if (counted == nullptr) continue;
        other.second.net_ug = counted->mass.net_ug;
        judge(other.second, counted->told, false);
      }
    } else {
      judge(weighing, told, false);
    }
  }

  Done* done(const std::string& name) {
    const auto found = std::find_if(desk_.done.begin(), desk_.done.end(),
                                    [&](const auto& known) { return known.mass.name == name; });
    return found == desk_.done.end() ? nullptr : &*found;
  }

  void judge(const proto::Weighing& weighing, bool told, bool sets_size) {
    const PlannedIngredient& one = planned(weighing.ingredient);
    auto budget =
        weighing::recorded_budget(weighing, told_interval_ug, told_capacity_ug, std::nullopt);
    for (const auto& scale : desk_.scales) {
      if (scale.device == weighing.device) budget = recorded_on(weighing, scale);
    }
    auto verdict = batch::judge(one, weighing.net_ug, budget);
    if (sets_size) {
      verdict.verdict = "within";
      verdict.rule = "sets the size";
    }
    if (auto* counted = done(one.name)) {
      *counted = {
          {one.name, weighing.net_ug, weighing.standard_uncertainty_ug}, verdict.verdict, told};
    }
    desk_.emit(verdict);
    const bool within = verdict.verdict == "within";
    const bool feared = weighing.net_ug > one.aim_ug ? one.unsafe_over : one.unsafe_under;
    desk_.limit_kept(one.name, within || !feared);
  }

  // Over all that is in. One that was accepted stays so while it gets no worse.
  void judge_ratios() {
    const auto masses = masses_in(desk_);
    for (const auto& ratio : desk_.plan.ratios) {
      const auto check = plan::check_ratio(ratio, masses, desk_.start.settings.usual_spread);
      if (!check.missing.empty()) continue;
      const std::string about = batch::about(desk_.plan, ratio);
      if (check.state == plan::RatioState::broken) {
        const bool left = std::find(desk_.left_limits.begin(), desk_.left_limits.end(), about) !=
                          desk_.left_limits.end();
        const bool worse = !no_worse(desk_, about, check);
        if (!left || worse) {
          desk_.emit(proto::Deviation{
              about, true,
              "beyond its limit by " + quantity::grams(-check.margin_ug) + " of " + ratio.of,
              "amended afterwards"});
        }
        if (worse) desk_.known_short[about] = {check.margin_ug, false};
        desk_.limit_kept(about, false);
      } else if (check.state == plan::RatioState::satisfied) {
        desk_.known_short.erase(about);
        desk_.limit_kept(about, true);
      }
    }
  }

  void dispose(const std::vector<std::string>& before) {
    if (!desk_.jars.filled()) return;
    const auto& now = desk_.left_limits;
    const bool more = std::any_of(now.begin(), now.end(), [&](const auto& about) {
      return std::find(before.begin(), before.end(), about) == before.end();
    });
    if (more) {
      desk_.jars.bar(desk_, "outside the formula: " + now.back());
    } else if (!before.empty() && now.empty()) {
      desk_.jars.unbar(desk_);
    }
  }

  // What the cook is told at once; all of it stands in the record as well.
  void advise(std::size_t from) {
    bool jars = false;
    bool left = false;
    for (std::size_t i = from; i < desk_.outcomes().size(); ++i) {
      const auto& outcome = desk_.outcomes()[i];
      if (const auto* verdict = std::get_if<proto::Verdict>(&outcome)) {
        if (verdict->verdict == "within") continue;
        desk_.advice.push_back(capitalised(verdict->ingredient) + " is now " + verdict->verdict +
                               ".");
        if (verdict->verdict == "under" &&
            planned(verdict->ingredient).counts_as == "curing salt") {
          desk_.advice.push_back(
              "Meat that stands without its curing salt is not protected: do not eat it; in doubt "
              "ask a process authority.");
        }
      } else if (const auto* deviation = std::get_if<proto::Deviation>(&outcome)) {
        desk_.advice.push_back("A critical limit is left, " + deviation->about + ": " +
                               deviation->what + ".");
        left = left || deviation->critical;
      } else if (const auto* are = std::get_if<proto::JarsAre>(&outcome)) {
        jars = true;
        desk_.advice.push_back(capitalised(quantity::jar_names(are->jars, are->unit)) + ", " +
                               are->where + ": " +
                               (are->todo.empty() ? are->why + "." : are->todo));
      }
    }
    // Without jars there is no list that says so, and after the last step nothing else will.
    const bool at_the_end =
        !desk_.begun.empty() &&
        desk_.begun.back().operation + 1 == static_cast<int>(desk_.plan.operations.size());
    if (left && at_the_end && !jars && !desk_.jars.filled()) {
      desk_.advice.push_back(
          "It is outside its formula, and nothing safe can be said of it: do not eat it; discard "
          "it, or ask a process authority.");
    }
    if (!jars && desk_.jars.filled()) {
      desk_.advice.push_back("For the " + desk_.jars.unit() +
                             (desk_.jars.count() == 1 && !desk_.jars.are_jars() ? "" : "s") +
                             " nothing changes.");
    }
  }

  Desk& desk_;
  Amendment amendment_;
};

}  // namespace

void amend(Desk& desk, Amendment amendment) { Amending(desk, std::move(amendment)).run(); }

}  // namespace maslin::batch
