// Cooks who pour to a cue, for tests: what ends in the vessel when the tone comes a reaction too
// late, through the display of a scale. Reaction, closing, steadiness and slowing down are common
// practice, no source. The jet presses on the vessel with what is in the air, so the scale shows
// what has left the spout.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <optional>
#include <random>
#include <vector>

#include "daemon/weighing/settled.hpp"
#include "daemon/weighing/stop.hpp"

namespace maslin::weighing {

class PouringCook {
 public:
  explicit PouringCook(std::uint64_t seed) : random_(seed) {
    reaction_s_ = between(0.3, 0.55);
    closing_s_ = between(0.15, 0.4);
    slowed_ = between(0.25, 0.45);
  }

  double between(double least, double most) {
    return least + (most - least) * static_cast<double>(random_() >> 11) * 0x1p-53;
  }
  double normal() {
    return std::sqrt(-2 * std::log(1 - between(0, 1))) *
           std::cos(2 * std::numbers::pi * between(0, 1));
  }

  enum class Heeds { stop, slow_and_stop };

  // Pours from from_g until the cue; gives what has left the spout in the end. `cue` is asked with
  // every reading: the indication and its flow.
  template <class Cue>
  double pour(double from_g, double flow_g_s, double lag_s, double interval_g, Heeds heeds,
              Cue cue) {
    const double usual_g_s = flow_g_s * std::max(0.5, 1 + 0.12 * normal());
    double reaction_s = std::max(0.1, reaction_s_ + 0.07 * normal());
    RestDetector detector(std::llround(interval_g * 1e6), std::llround(lag_s * 1000));
    double out_g = from_g;
    double shown_g = from_g;
    double noise_g = 0;
    double waver = 0;
    double wanted = 1;  // share of her flow
    double opened = 0;
    double next_s = between(0, 0.1);
    std::optional<double> slow_at_s;
    std::optional<double> stop_at_s;
    for (double t = 0; t < 120; t += step_s) {
      if (slow_at_s && t >= *slow_at_s + reaction_s) wanted = slowed_;
      if (stop_at_s && t >= *stop_at_s + reaction_s) wanted = 0;
      const double rate = wanted == 0 ? 1 / closing_s_ : 2;  // half a second to start, or to slow
      opened += std::clamp(wanted - opened, -rate * step_s, rate * step_s);
      if (wanted == 0 && opened <= 0) break;
      waver += -waver * step_s / 0.5 + 0.15 * normal() * std::sqrt(2 * step_s / 0.5);
      out_g += usual_g_s * opened * std::max(0.0, 1 + waver) * step_s;
      shown_g += (out_g - shown_g) * (1 - std::exp(-step_s / lag_s));
      noise_g +=
          -noise_g * step_s / lag_s + normal() * std::sqrt(2 * step_s / lag_s) * 0.1 * interval_g;
      if (t < next_s) continue;
      next_s += 0.1;
      const double digits = std::floor((shown_g + noise_g) / interval_g + 0.5);
      const auto level_ug = std::llround(digits * interval_g * 1e6);
      detector.feed(std::llround(t * 1000), level_ug, false);
      switch (cue(level_ug, detector.flow_ug_s())) {
        case StopCue::slow:
          if (heeds == Heeds::slow_and_stop) slow_at_s = t;
          break;
        case StopCue::stop:
          if (!stop_at_s) stop_at_s = t;
          break;
        case StopCue::none:
          break;
      }
    }
    return out_g;
  }
  // What the scale shows of a load at rest.
  std::int64_t shown_ug(double grams, double interval_g) {
    return std::llround(std::floor(grams / interval_g + 0.1 * normal() + 0.5) * interval_g * 1e6);
  }

 private:
  static constexpr double step_s = 0.01;
  std::mt19937_64 random_;
  double reaction_s_;
  double closing_s_;
  double slowed_;
};

struct StopRow {
  double first_median = 0, median = 0, mean = 0, within = 0, over = 0;
};

inline double median_of(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

// So many cooks with six pours each; what counts is the sixth. top_up: slow, stop and what is
// missing after it; at_target: the cue comes when the scale shows the target.
inline StopRow stop_row(std::uint64_t seed, int cooks, double lag_s, double flow_g_s,
                        double target_g, bool top_up, bool at_target = false) {
  constexpr double interval_g = 1;
  const auto target_ug = std::llround(target_g * 1e6);
  std::vector<double> first;
  std::vector<double> last;
  StopRow row;
  for (int i = 0; i < cooks; ++i) {
    PouringCook cook(seed * 100'003 + static_cast<std::uint64_t>(i) * 17);
    StopPredictor predictor(lag_s + 0.05 + 0.55);
    double end_g = 0;
    for (int n = 0; n < 6; ++n) {
      predictor.begin(target_ug);
      const double vessel_g = cook.between(0, 1);  // where between two digits the pour begins
      const auto heeds = top_up ? PouringCook::Heeds::slow_and_stop : PouringCook::Heeds::stop;
      const auto tare_ug = cook.shown_ug(vessel_g, interval_g);
      const auto cue = [&](std::int64_t level_ug, double flow_ug_s) {
        if (at_target) return level_ug - tare_ug >= target_ug ? StopCue::stop : StopCue::none;
        return predictor.feed(level_ug - tare_ug, flow_ug_s);
      };
      end_g = cook.pour(vessel_g, flow_g_s, lag_s, interval_g, heeds, cue);
      predictor.ended(cook.shown_ug(end_g, interval_g) - tare_ug, 1'000'000);
      for (int more = 0; top_up && more < 3; ++more) {
        const auto net_ug = cook.shown_ug(end_g, interval_g) - tare_ug;
        if (net_ug > target_ug - 2 * 1'000'000) break;
        predictor.begin(target_ug);
        end_g = cook.pour(end_g, std::min(flow_g_s, 4.0), lag_s, interval_g, heeds, cue);
        predictor.ended(cook.shown_ug(end_g, interval_g) - tare_ug, 1'000'000);
      }
      if (n == 0) first.push_back(std::abs(end_g - vessel_g - target_g));
      end_g -= vessel_g;
    }
    const double error_g = end_g - target_g;
    last.push_back(std::abs(error_g));
    row.mean += error_g / cooks;
    row.within += std::abs(error_g) <= 0.02 * target_g ? 1.0 / cooks : 0;
    row.over += error_g > 0.02 * target_g ? 1.0 / cooks : 0;
  }
  row.first_median = median_of(first);
  row.median = median_of(last);
  return row;
}

}  // namespace maslin::weighing
