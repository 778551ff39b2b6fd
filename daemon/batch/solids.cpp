// The sides of solids.hpp.
#include "daemon/batch/solids.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/batch/desk.hpp"
#include "daemon/batch/limits.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/preserving/syrup.hpp"
#include "daemon/quantity/atmosphere.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/probe.hpp"

namespace maslin::batch {
namespace {

using preserving::SolidsPct;
using quantity::plain;

constexpr const char* mass_balance = "mass balance";
constexpr const char* boiling_point = "boiling point";
constexpr const char* refractometer = "refractometer";
// Of what went in, so much may be of unknown solids (common practice, no source).
constexpr double most_unknown = 0.05;
// Two sides are of the same pan only so long (common practice, no source).
constexpr std::int64_t together_ms = 30 * 60'000;
// A boiling pan moves its probe up and down by so much (common practice, no source).
constexpr double bubbling_u_k = 0.1;
// Of the density at 20 °C, a syrup near its boil has so much (common practice, no source).
constexpr double hot_density = 0.965;

preserving::SolidsSum sum_of(const Desk& desk) {
  std::vector<preserving::SolidsIn> parts;
  for (const auto& mass : masses_in(desk)) {
    const auto* planned = desk.planned(mass.name);
    const double ppm = planned != nullptr ? static_cast<double>(planned->solids_ppm) : -1;
    parts.push_back({static_cast<double>(mass.net_ug) / 1e6,
                     static_cast<double>(mass.standard_uncertainty_ug) / 1e6,
                     ppm < 0 ? -1 : ppm / 1e6});
  }
  return preserving::solids_in(parts);
}

bool tells(const preserving::SolidsSum& in) {
  return in.solids_g > 0 && in.unknown_share <= most_unknown;
}

}  // namespace

void Solids::boiled(Desk& desk, std::int64_t temperature_mk) {
  const auto pressure =
      desk.plan.altitude_m ? quantity::standard_pressure_pa(*desk.plan.altitude_m) : std::nullopt;
  const auto* pan = desk.thermometer(proto::Role::pan);
  if (!pressure || pan == nullptr || !tells(sum_of(desk))) return;
  const double u_k =
      std::hypot(static_cast<double>(quantity::probe_u_mk(temperature_mk, pan->calibration)) / 1000,
                 bubbling_u_k);
  const auto found =
      preserving::solids_by_boil(static_cast<double>(temperature_mk) / 1000, u_k, *pressure);
  if (!found) return;
  take(desk, boiling_point, *found,
       "boils at " + quantity::celsius(temperature_mk) + ", water at " +
           quantity::celsius(desk.plan.boiling_point_mk) + " here; as sucrose" +
           (pan->calibration ? "" : "; the thermometer was never calibrated"));
}

void Solids::weighed(Desk& desk, std::int64_t mass_ug, bool jarred) {
  const auto in = sum_of(desk);
  if (!tells(in) || mass_ug <= 0) return;
  const double held_g = static_cast<double>(mass_ug) / 1e6 / (jarred ? 1 - preserving::kLost : 1);
  if (in.solids_g >= held_g) return;  // a slip of the hand, or of another batch
  const double u_share =
      std::hypot(in.solids_u_g / in.solids_g, jarred ? preserving::kLostU : preserving::kLostU / 2);
  const double pct = 100 * in.solids_g / held_g;
  take(desk, mass_balance, {pct, pct * u_share},
       plain(in.solids_g, 0) + " g of solids in " + plain(in.all_g, 0) + " g that went in, " +
           plain(std::max(0.0, in.all_g - held_g), 0) + " g gone as steam" +
           (jarred ? ", 3 % skimmed and stuck" : ""));
}

void Solids::refracted(Desk& desk, const SolidsPct& found, std::string detail) {
  take(desk, refractometer, found, std::move(detail));
}

void Solids::take(Desk& desk, const std::string& by, const SolidsPct& found, std::string detail) {
  sides_[by] = {found, desk.now_ms};
  std::string verdict;
  std::string against;
  for (const auto& [other, side] : sides_) {
    if (other == by || desk.now_ms - side.at_ms > together_ms) continue;
    const bool apart =
        std::abs(side.found.pct - found.pct) > 2 * std::hypot(side.found.u_pct, found.u_pct);
    if (!apart) {
      if (verdict.empty()) verdict = "agrees";
      continue;
    }
    verdict = "differs";
    against = other;
  }
  desk.emit(proto::Finding{"soluble solids", by, verdict, found.pct, found.u_pct, 0,
                           std::move(detail), 0});
  const std::pair<std::string, std::string> both{std::min(by, against), std::max(by, against)};
  if (against.empty() || std::find(differ_.begin(), differ_.end(), both) != differ_.end()) return;
  differ_.push_back(both);
  const auto shown = [&](const std::string& name) {
    const auto& side = sides_.at(name).found;
    return plain(side.pct, 1) + " ± " + plain(2 * side.u_pct, 1) + " % by " + name;
  };
  const std::string what = shown(by) + ", " + shown(against);
  desk.emit(proto::Deviation{"soluble solids", false, what + ": further apart than both can be off",
                             "told the cook"});
  desk.cue("advice",
           "The solids of the pan do not agree: " + what +
               ". Something was left out or weighed wrong, the probe does not stand deep, "
               "or the sample was warm or not stirred. Test the set.");
}

std::optional<Solids::Yield> Solids::foreseen(const Desk& desk) const {
  const auto in = sum_of(desk);
  if (!tells(in)) return std::nullopt;
  const Side* best = nullptr;
  for (const auto& [by, side] : sides_) {
    if (by == mass_balance || desk.now_ms - side.at_ms > together_ms) continue;
    if (best == nullptr || side.found.u_pct < best->found.u_pct) best = &side;
  }
  if (best == nullptr || best->found.pct <= 0) return std::nullopt;
  const double pct = best->found.pct;
  const double pan_g = std::min(in.all_g, 100 * in.solids_g / pct);
  const double kg_l = desk.plan.litre_ug > 0 ? static_cast<double>(desk.plan.litre_ug) / 1e9
                                             : preserving::syrup_density_kg_m3(pct).value_or(1300) /
                                                   1000 * hot_density;
  Yield yield;
  yield.mass_g = pan_g * (1 - preserving::kLost);
  yield.volume_ml = yield.mass_g / kg_l;
  const double of_solids = in.solids_u_g / in.solids_g;
  const double of_pct = best->found.u_pct / pct;
  yield.u_share =
      std::sqrt(of_solids * of_solids + of_pct * of_pct + preserving::kLostU * preserving::kLostU);
  return yield;
}

void Solids::tell_yield(Desk& desk, const Yield& yield) {
  const auto in = sum_of(desk);
  const double steam_g = std::max(0.0, in.all_g - yield.mass_g / (1 - preserving::kLost));
  desk.emit(proto::Finding{"mass in the pan", mass_balance, "", yield.mass_g,
                           yield.mass_g * yield.u_share, 0,
                           plain(in.all_g, 0) + " g went in, " + plain(steam_g, 0) +
                               " g left as steam, 3 % skimmed and stuck",
                           0});
  desk.emit(proto::Finding{
      "volume in the pan", mass_balance, "", yield.volume_ml, yield.volume_ml * yield.u_share, 0,
      desk.plan.litre_ug > 0 ? "a litre weighs what the formula says" : "as hot syrup", 0});
}

}  // namespace maslin::batch
