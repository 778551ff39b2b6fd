// The things in the kitchen that follow nature: a scale's display, a pot, a probe. Each is advanced
// in small steps by World.
#pragma once

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
  explicit Pot(const PotModel& model) : model_(model), temperature_c_(model.room_c) {}

  void fill(double grams) { content_g_ += grams; }
  void burner(bool on) { on_ = on; }
  void advance(double seconds) {
    if (content_g_ <= 0) return;
    const double power_w =
        (on_ ? model_.power_w : 0) - model_.loss_w_per_k * (temperature_c_ - model_.room_c);
    temperature_c_ += power_w * seconds / (content_g_ * model_.heat_capacity_j_gk);
    if (temperature_c_ > model_.boils_at_c) temperature_c_ = model_.boils_at_c;
  }
  double temperature_c() const { return temperature_c_; }

 private:
  PotModel model_;
  double content_g_ = 0;
  double temperature_c_;
  bool on_ = false;
};

class Probe {
 public:
  Probe(const ProbeModel& model, double start_c, Chance chance)
      : model_(model), chance_(chance), shown_c_(start_c) {}

  void advance(double seconds, double true_c) {
    shown_c_ += (true_c - shown_c_) * (1 - std::exp(-seconds / model_.lag_s));
  }
  // What it sends now, in tenths of a degree.
  std::int64_t tenths() {
    return std::llround((shown_c_ + model_.offset_k + chance_.normal(0, model_.noise_k)) * 10);
  }

 private:
  ProbeModel model_;
  Chance chance_;
  double shown_c_;
};

}  // namespace maslin::kitchen
