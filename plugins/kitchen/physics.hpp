// The things in the kitchen that follow nature: a scale's display, a pot, a probe. Each is advanced
// in small steps by World.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>

#include "plugins/kitchen/chance.hpp"
#include "plugins/kitchen/scenario.hpp"

namespace maslin::kitchen {

class SimulatedScale {
 public:
  SimulatedScale(const ScaleModel& model, Chance chance) : model_(model), chance_(chance) {}

  void advance(double seconds, double load_g) {
    const double share = model_.lag_s > 0 ? 1 - std::exp(-seconds / model_.lag_s) : 1;
    shown_g_ += (shows(load_g) - shown_g_) * share;
  }
  // What it sends now, in intervals.
  std::int64_t digits() {
    const double value = shown_g_ - zero_g_ + chance_.normal(0, model_.noise_g);
    return static_cast<std::int64_t>(std::floor(value / model_.interval_g + 0.5));
  }
  bool over() const { return shown_g_ > model_.capacity_g; }
  // As after power on: whatever lies on it is zero.
  void zero(double load_g) {
    zero_g_ = shows(load_g);
    shown_g_ = zero_g_;
  }
  const ScaleModel& model() const { return model_; }

 private:
  double shows(double load_g) const { return load_g * (1 + model_.span_ppm * 1e-6); }

  ScaleModel model_;
  Chance chance_;
  double shown_g_ = 0;
  double zero_g_ = 0;
};

// Heat in, heat lost, and a boil that takes all the rest. Without content it follows the room.
class Pot {
 public:
  explicit Pot(const PotModel& model) : Pot(model, model.room_c) {}
  Pot(const PotModel& model, double start_c) : model_(model), temperature_c_(start_c) {}

  // As warm as the room, into whatever is in it.
  void fill(double grams) {
    if (grams > 0 && content_g_ > 0) {
      temperature_c_ += (model_.room_c - temperature_c_) * grams / (content_g_ + grams);
    }
    content_g_ += grams;
    solids_g_ += grams * model_.solids_share;
  }
  // How much of its power the burner gives: 0 off, 1 full.
  void burner(double share) { share_ = share; }
  // How much of the open pot's heat is still lost: 1 without a lid.
  void lid(double share) { lost_share_ = share; }
  // taken_w: heat that something standing in the content takes away.
  void advance(double seconds, double taken_w = 0) {
    if (content_g_ <= 0) return;
    const double lost_w = lost_share_ * model_.loss_w_per_k * (temperature_c_ - model_.room_c);
    const double power_w = share_ * model_.power_w - lost_w - taken_w;
    temperature_c_ += power_w * seconds / (content_g_ * model_.heat_capacity_j_gk);
    const double boils_at_c = this->boils_at_c();
    boiling_ = temperature_c_ > boils_at_c;
    if (!boiling_) return;
    const double excess_j = (temperature_c_ - boils_at_c) * content_g_ * model_.heat_capacity_j_gk;
    temperature_c_ = boils_at_c;
    if (solids_g_ > 0) content_g_ = std::max(solids_g_ * 1.1, content_g_ - excess_j / steam_j_g);
  }
  double temperature_c() const { return temperature_c_; }
  // Steam takes heat away: hard enough to be seen.
  bool boiling() const { return boiling_; }
  // Over water by Raoult's law, as if all solids were sucrose that binds 3.5 water a molecule.
  double boils_at_c() const {
    if (solids_g_ <= 0) return model_.boils_at_c;
    const double sucrose = solids_g_ / 342.3;
    const double water = (content_g_ - solids_g_) / 18.015 - 3.5 * sucrose;
    return model_.boils_at_c - kelvin_a_log * std::log(water / (water + sucrose));
  }
  double content_g() const { return content_g_; }
  double solids_g() const { return solids_g_; }

 private:
  static constexpr double steam_j_g = 2257;
  // R T^2 / heat of vaporisation, at 100 °C.
  static constexpr double kelvin_a_log = 8.314 * 373.15 * 373.15 / 40'660;

  PotModel model_;
  double solids_g_ = 0;
  double content_g_ = 0;
  double temperature_c_;
  double share_ = 0;
  double lost_share_ = 1;
  bool boiling_ = false;
};

// A pot of water with jars in it: they go in colder, take heat until they are as hot as the water,
// and may take the boil away for that long. The water is one temperature, the jars another.
class Canner {
 public:
  explicit Canner(const CannerModel& model) : model_(model), pot_(model.pot, model.start_c) {
    pot_.fill(model.water_g);
    lid_lifted(false);
  }

  void burner(double share) { pot_.burner(share); }
  void lid_lifted(bool lifted) { pot_.lid(lifted ? 1 : model_.lid_loses); }
  // The lid goes on again with them.
  void load_jars() {
    jars_in_ = true;
    jars_c_ = model_.jars_c;
  }
  void advance(double seconds) {
    const double taken_w = jars_in_ ? model_.jars_w_per_k * (pot_.temperature_c() - jars_c_) : 0;
    if (jars_in_) jars_c_ += taken_w * seconds / model_.jars_j_per_k;
    pot_.advance(seconds, taken_w);
  }
  const Pot& water() const { return pot_; }

 private:
  CannerModel model_;
  Pot pot_;
  bool jars_in_ = false;
  double jars_c_ = 0;
};

class Probe {
 public:
  Probe(const ProbeModel& model, double start_c, Chance chance)
      : model_(model), chance_(chance), tip_c_(start_c) {}

  void advance(double seconds, double true_c) {
    tip_c_ += (true_c - tip_c_) * (1 - std::exp(-seconds / model_.lag_s));
  }
  // Out of the pot: a drop clings to it, and air takes heat more slowly (common practice, no
  // source).
  void cool(double seconds, double air_c) {
    tip_c_ += (air_c - tip_c_) * (1 - std::exp(-seconds / (5 * model_.lag_s)));
  }
  // What it sends now, in steps of its resolution.
  std::int64_t steps() {
    const double shown_c = tip_c_ + model_.offset_k + chance_.normal(0, model_.noise_k);
    return std::llround(shown_c / model_.resolution_k);
  }
  // For tests: how hot it is itself, behind what it stands in.
  double tip_c() const { return tip_c_; }

 private:
  ProbeModel model_;
  Chance chance_;
  double tip_c_;
};

}  // namespace maslin::kitchen
