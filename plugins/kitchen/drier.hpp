// Trays of food in a drier: the water in each piece comes out to its surface and leaves from there,
// faster by day than by night, on one tray faster than on another. Advanced in steps by World and
// by tests of the forecast.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <vector>

#include "plugins/kitchen/chance.hpp"

namespace maslin::kitchen {

struct DrierModel {
  int trays = 4;
  double tray_g = 380;
  double tray_spread_g = 25;  // standard deviation
  double water_share = 0.8556;
  double rate_h = 0.3;      // e-folds of water an hour, from the surface
  double from_core = 0.55;  // of that rate, from the core to the surface
  double uneven = 0.12;     // standard deviation of a tray's rate, as a share
  double night = 0.2;       // the rate goes up and down by so much with the hour of the day
  double weather = 0.12;    // standard deviation of the rest, changing over some hours
  double stays = 0.07;      // water that the air leaves in, per dry matter
  double warm_g = 4;        // the air over a warm tray lifts it by so much, at first
  double warm_s = 140;      // and this long until a third of that is left
};

class Drier {
 public:
  struct Tray {
    double empty_g = 0;
    double dry_g = 0;
    double surface_g = 0;  // water
    double core_g = 0;
    double rate = 1;
    double lift_g = 0;  // while warm

    double food_g() const { return dry_g + surface_g + core_g; }
  };

  Drier(const DrierModel& model, std::uint64_t seed) : model_(model), chance_(seed, 6) {
    for (int i = 0; i < model.trays; ++i) {
      Tray tray;
      tray.empty_g = std::max(50.0, chance_.normal(model.tray_g, model.tray_spread_g));
      tray.rate = std::max(0.3, chance_.normal(1, model.uneven));
      trays_.push_back(tray);
    }
  }

  // All of it, spread as evenly as a hand does.
  void spread(double food_g) {
    double shares = 0;
    std::vector<double> share;
    for (std::size_t i = 0; i < trays_.size(); ++i) {
      share.push_back(std::max(0.3, chance_.normal(1, 0.07)));
      shares += share.back();
    }
    for (std::size_t i = 0; i < trays_.size(); ++i) {
      const double grams = food_g * share[i] / shares;
      trays_[i].dry_g = grams * (1 - model_.water_share);
      trays_[i].surface_g = grams * model_.water_share * 0.35;
      trays_[i].core_g = grams * model_.water_share * 0.65;
    }
  }
  // hour: of the day, where the step begins. Out of the drier the trays only cool.
  void advance(double seconds, double hour, bool dries = true) {
    for (auto& tray : trays_) tray.lift_g *= std::exp(-seconds / model_.warm_s);
    if (!dries) return;
    const double hours = seconds / 3600;
    // A weather that is forgotten within six hours.
    const double kept = std::exp(-hours / 6);
    weather_ = weather_ * kept + std::sqrt(1 - kept * kept) * chance_.normal(0, model_.weather);
    const double day = 1 + model_.night * std::cos((hour - 14) / 24 * 2 * std::numbers::pi);
    for (auto& tray : trays_) {
      const double least = std::min(0.02, model_.rate_h / 10);
      const double rate = std::max(least, model_.rate_h * tray.rate * day * (1 + weather_)) * hours;
      const double stays_g = model_.stays * tray.dry_g;
      const double out_g = model_.from_core * rate * (tray.core_g - 0.65 * stays_g);
      const double gone_g = rate * (tray.surface_g - 0.35 * stays_g);
      tray.core_g -= out_g;
      tray.surface_g += out_g - gone_g;
    }
  }
  // Pieces taken away from a tray, as dry as the rest.
  void take_away(std::size_t tray, double grams) {
    auto& one = trays_[tray];
    const double left = std::max(0.0, 1 - grams / one.food_g());
    one.dry_g *= left;
    one.surface_g *= left;
    one.core_g *= left;
  }

  std::vector<Tray>& trays() { return trays_; }
  double gross_g(std::size_t tray) const {
    return trays_[tray].empty_g + trays_[tray].food_g() - trays_[tray].lift_g;
  }
  double food_g() const {
    double sum = 0;
    for (const auto& tray : trays_) sum += tray.food_g();
    return sum;
  }
  // Of all of it, percent.
  double water_pct() const {
    double dry = 0;
    for (const auto& tray : trays_) dry += tray.dry_g;
    return 100 * (1 - dry / food_g());
  }
  const DrierModel& model() const { return model_; }

 private:
  DrierModel model_;
  Chance chance_;
  double weather_ = 0;
  std::vector<Tray> trays_;
};

}  // namespace maslin::kitchen
