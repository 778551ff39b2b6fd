// The plan made again from the weighed lead, and the critical ratios over what is in.
#include "daemon/batch/limits.hpp"

#include <algorithm>

#include "daemon/batch/over_pour.hpp"
#include "daemon/plan/plan.hpp"
#include "daemon/quantity/rational.hpp"

namespace maslin::batch {
namespace {

proto::Results<proto::Plan> final_plan(const Desk& desk, std::int64_t net_ug) {
  if (desk.larger) {
    plan::Holding lead;
    lead.name = desk.plan.lead;
    lead.in_ug = net_ug;
    for (const auto& done : desk.done) {
      if (done.mass.name == lead.name) {
        lead.standard_uncertainty_ug = done.mass.standard_uncertainty_ug;
      }
    }
    return plan::plan_around(desk.formula, desk.start.request,
                             {desk.start.devices, desk.start.settings, desk.start.facts},
                             desk.plan.factor, holdings_in(desk, lead));
  }
  return plan::finalise(desk.formula, desk.start.request,
                        {desk.start.devices, desk.start.settings, desk.start.facts}, net_ug);
}

}  // namespace

bool has_meat(const proto::Plan& plan) {
  return std::any_of(plan.ingredients.begin(), plan.ingredients.end(),
                     [](const auto& one) { return one.counts_as == "meat"; });
}

bool by_measure(const Desk& desk, const std::string& name) {
  const auto* planned = desk.planned(name);
  return planned != nullptr && planned->check != "weigh";
}

std::optional<proto::Trouble> lead_refused(const Desk& desk, std::int64_t net_ug) {
  const auto made = final_plan(desk, net_ug);
  if (made) return std::nullopt;
  return made.error().front();
}

void make_final(Desk& desk, std::int64_t net_ug) {
  auto made = final_plan(desk, net_ug);
  if (!made) return;
  // Once the jars are full, how many there were to be moves no step any more.
  if (desk.jars.filled()) {
    made->operations = desk.plan.operations;
    made->canner_loads = desk.plan.canner_loads;
  }
  if (desk.told_yield_ml) made->yield_ml = *desk.told_yield_ml;
  desk.plan = std::move(*made);
  desk.emit(proto::PlanFinal{desk.plan, "the prepared " + desk.plan.lead + " is weighed"});
}

std::string not_for_shelf(const Desk& desk) {
  if (!desk.left_limits.empty()) return "outside the formula: " + desk.left_limits.front();
  for (const auto& planned : desk.plan.ingredients) {
    if (!planned.critical) continue;
    const auto booked = desk.booked.find(planned.name);
    if (booked == desk.booked.end() || booked->second.indications == 0) {
      return planned.name + " was not weighed";
    }
    for (const auto& done : desk.done) {
      if (done.mass.name == planned.name && done.verdict == "undecided") {
        return "the scale cannot tell whether the " + planned.name + " is right";
      }
    }
  }
  return "";
}

std::string about(const proto::Plan& plan, const proto::PlannedRatio& ratio) {
  const bool two_sided =
      std::any_of(plan.ratios.begin(), plan.ratios.end(), [&](const auto& other) {
        return other.of == ratio.of && other.per == ratio.per && other.least != ratio.least;
      });
  return ratio.of + " per " + ratio.per + (!two_sided ? "" : ratio.least ? ", least" : ", most");
}

std::vector<plan::WeighedMass> masses_in(const Desk& desk) {
  std::vector<plan::WeighedMass> masses;
  for (const auto& done : desk.done) {
    auto mass = done.mass;
    // No scale can say more, and plan and report say that no weight confirms it.
    if (!done.told && by_measure(desk, mass.name)) {
      mass.net_ug = desk.planned(mass.name)->nominal_ug;
    }
    if (const auto weak = desk.strength_ppm.find(mass.name); weak != desk.strength_ppm.end()) {
      mass.net_ug =
          static_cast<std::int64_t>(quantity::Wide{mass.net_ug} * weak->second / 1'000'000);
    }
    masses.push_back(std::move(mass));
  }
  return masses;
}

bool no_worse(const Desk& desk, const std::string& about, const plan::RatioCheck& check) {
  const auto known = desk.known_short.find(about);
  return known != desk.known_short.end() &&
         check.margin_ug + check.guard_ug >= known->second.margin_ug;
}

std::optional<RatioShort> first_short_ratio(const Desk& desk) {
  const auto masses = masses_in(desk);
  const auto by_measure = [&](const std::string& name) { return batch::by_measure(desk, name); };
  for (const auto& ratio : desk.plan.ratios) {
    const std::string about = batch::about(desk.plan, ratio);
    const auto check = plan::check_ratio(ratio, masses, desk.start.settings.usual_spread);
    if (check.state == plan::RatioState::satisfied || !check.missing.empty()) continue;
    if (no_worse(desk, about, check) && desk.known_short.at(about).accepted) continue;
    // No weight can add to the certainty of what went in by measure; the report says so.
    const bool measured = std::any_of(ratio.of_names.begin(), ratio.of_names.end(), by_measure) ||
                          std::any_of(ratio.per_names.begin(), ratio.per_names.end(), by_measure);
    if (measured && check.state == plan::RatioState::undecided) continue;
    auto mending = check.add == ratio.of ? ratio.of_names : ratio.per_names;
    // Salt is never mended with a curing salt, whatever of it is salt.
    std::erase_if(mending, [&](const auto& name) {
      const auto* one = desk.planned(name);
      return one != nullptr && one->counts_as == "curing salt" && check.add != "curing salt";
    });
    if (mending.empty()) continue;
    // The last one that a scale can follow: what is added must be seen.
    const auto weighed = std::find_if_not(mending.rbegin(), mending.rend(), by_measure);
    return RatioShort{.about = about,
                      .ingredient = weighed == mending.rend() ? mending.back() : *weighed,
                      .add_ug = check.add_ug,
                      .margin_ug = check.margin_ug,
                      .broken = check.state == plan::RatioState::broken};
  }
  return std::nullopt;
}

}  // namespace maslin::batch
