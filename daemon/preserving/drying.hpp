// When something that dries reaches its target mass, from dated weigh-ins alone. Used by batch/ for
// the words after each weigh-in; nothing is ever ended by it, only by a weighing.
#pragma once

#include <optional>
#include <span>

#include "proto/trouble.hpp"

namespace maslin::preserving {

// What is left of a mass that dries from so much water to so little, percent of the whole (wet
// basis): nothing but water leaves. Errors where the target is wetter than the beginning.
proto::Result<double> dried_g(double mass_g, double water_pct, double target_pct);

// Percent of water in what is left, `left` of a mass that had `water_pct`; 0 where no water is
// left.
double water_left_pct(double water_pct, double left);

struct DryPoint {
  double hours = 0;
  double mass_g = 0;
  double standard_uncertainty_g = 0;
};

// Hours from the newest weigh-in on until the target is reached: the middle, and an interval that
// is meant to hold 90 %.
struct DryingForecast {
  double hours = 0;
  double from_hours = 0;
  double to_hours = 0;
};

// Falling-rate drying: the water above what the air leaves in goes at a rate in proportion to
// itself, so its logarithm falls along a straight line. Where that line ends (what the air leaves
// in), how steep it is and how much the weather bends it are all uncertain, and the interval has
// all three. `dry_g`: dry matter of what is weighed; 0 not known, which widens it. Empty before the
// second weigh-in, while nothing has been lost beyond the scale's uncertainty, and when the target
// is reached. Weigh-ins in order of time, masses as if what was taken away had never been there.
std::optional<DryingForecast> drying_forecast(std::span<const DryPoint> weigh_ins, double dry_g,
                                              double target_g);

// What is expected to be there so many hours after the newest weigh-in, and the standard deviation
// of what a weighing may differ from it. With one weigh-in empty.
struct DryingExpected {
  double mass_g = 0;
  double spread_g = 0;
};
std::optional<DryingExpected> drying_expected(std::span<const DryPoint> weigh_ins, double dry_g,
                                              double target_g, double hours);

}  // namespace maslin::preserving
