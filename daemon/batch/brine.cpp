// The proportions of brine.hpp.
#include "daemon/batch/brine.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/batch/limits.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::batch {
namespace {

using proto::PlannedIngredient;

// In steps that a cook pours; less than that covers nothing (common practice, no source).
constexpr std::int64_t step_ug = 10'000'000;
constexpr std::int64_t least_ug = 50'000'000;

bool is_liquor(const PlannedIngredient& one) {
  return one.counts_as == "salt" || one.counts_as == "water" || one.counts_as == "acid" ||
         one.counts_as == "sugar";
}

// With so much more brine every critical ratio that holds by now still does, guard and all.
bool keeps_ratios(const Desk& desk, const Brine& brine, std::int64_t brine_ug) {
  auto masses = masses_in(desk);
  for (const auto& [part, more_ug] : brine.parts_of(brine_ug)) {
    for (auto& mass : masses) {
      if (mass.name == part->name) mass.net_ug += more_ug;
    }
  }
  const double spread = desk.start.settings.usual_spread;
  const auto now = masses_in(desk);
  return std::all_of(desk.plan.ratios.begin(), desk.plan.ratios.end(), [&](const auto& ratio) {
    return plan::check_ratio(ratio, masses, spread).state == plan::RatioState::satisfied ||
           plan::check_ratio(ratio, now, spread).state != plan::RatioState::satisfied;
  });
}

// No part of it grows beyond the largest batch that the formula allows.
bool within_largest(const Desk& desk, const Brine& brine, std::int64_t brine_ug) {
  for (const auto& [part, more_ug] : brine.parts_of(brine_ug)) {
    const auto* written = desk.formula.find(part->name);
    if (written == nullptr) continue;
    const double most = static_cast<double>(written->mass_ug) * desk.formula.largest_multiple;
    if (static_cast<double>(part->nominal_ug + more_ug) > most) return false;
  }
  return true;
}

}  // namespace

std::vector<std::pair<const PlannedIngredient*, std::int64_t>> Brine::parts_of(
    std::int64_t brine_ug) const {
  std::vector<std::pair<const PlannedIngredient*, std::int64_t>> all;
  std::int64_t left_ug = brine_ug;
  std::size_t water = 0;
  for (const auto* one : parts) {
    const auto part_ug = static_cast<std::int64_t>(
        std::llround(static_cast<double>(brine_ug) * static_cast<double>(one->nominal_ug) /
                     static_cast<double>(nominal_ug)));
    if (one->counts_as == "water") water = all.size();
    all.emplace_back(one, part_ug);
    left_ug -= part_ug;
  }
  if (!all.empty()) all[water].second += left_ug;  // rounding is no salt
  return all;
}

std::optional<Brine> brine_of(const Desk& desk) {
  Brine brine;
  bool salt = false;
  bool water = false;
  for (const auto& one : desk.plan.ingredients) {
    if (!is_liquor(one)) continue;
    if (!desk.booked.contains(one.name)) return std::nullopt;
    salt = salt || one.counts_as == "salt";
    water = water || one.counts_as == "water";
    brine.parts.push_back(&one);
    brine.nominal_ug += one.nominal_ug;
  }
  if (!salt || !water || brine.nominal_ug <= 0) return std::nullopt;
  return brine;
}

bool covers_food(const Desk& desk) {
  if (!brine_of(desk)) return false;
  for (const auto& one : desk.plan.ingredients) {
    if (one.counts_as != "low-acid food" && one.counts_as != "other") continue;
    const bool cooked = std::any_of(
        desk.plan.operations.begin(), desk.plan.operations.end(), [&](const auto& operation) {
          const auto& in = operation.ingredients;
          return operation.kind == "heat" &&
                 (in.empty() || std::find(in.begin(), in.end(), one.name) != in.end());
        });
    if (!cooked) return true;
  }
  return false;
}

std::int64_t more_brine_ug(const Desk& desk) {
  const auto brine = brine_of(desk);
  if (!brine) return 0;
  std::int64_t more_ug =
      std::max(least_ug, quantity::nearest_multiple(brine->nominal_ug / 4, step_ug));
  while (more_ug >= least_ug &&
         !(within_largest(desk, *brine, more_ug) && keeps_ratios(desk, *brine, more_ug))) {
    more_ug -= step_ug;
  }
  return more_ug >= least_ug ? more_ug : 0;
}

void make_more_brine(Desk& desk, std::int64_t brine_ug) {
  const auto brine = brine_of(desk);
  desk.more.clear();
  for (const auto& [part, more_ug] : brine->parts_of(brine_ug)) {
    desk.more.push_back({part->name, more_ug, false});
  }
  // Each grows by what is added to it; how far it may be off in all stays.
  for (const auto& more : desk.more) {
    for (auto& one : desk.plan.ingredients) {
      if (one.name != more.name) continue;
      for (auto* mass : {&one.nominal_ug, &one.aim_ug, &one.lower_ug, &one.upper_ug,
                         &one.accept_lower_ug, &one.accept_upper_ug}) {
        *mass += more.add_ug;
      }
    }
  }
  desk.larger = true;  // an amended lead does not take it back
  desk.emit(proto::PlanFinal{desk.plan, "more brine, in the same proportion"});
}

}  // namespace maslin::batch
