// How far a scale's display lags, learned from how it follows a vessel that is set down or lifted.
// One per scale, fed by PressDetector with its readings; causal, no clock of its own.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

namespace maslin::weighing {

// Two steps that agree within a sixth are believed: a hand that is slow is not so twice in the same
// way. Until then nothing is known.
class LagLearner {
 public:
  // interval_ug > 0
  explicit LagLearner(std::int64_t interval_ug);

  // True where one of the lags is known anew.
  bool feed(std::int64_t at_ms, std::int64_t level_ug);
  // What was under way is not one step: after a new zero, a reading without a value, a gap.
  void restart();

  // As a one-pole filter and as a mean over twice the lag; a display is one of the two.
  std::optional<std::int64_t> one_pole_ms() const { return one_pole_.known_ms; }
  std::optional<std::int64_t> mean_ms() const { return mean_.known_ms; }

 private:
  struct Sample {
    std::int64_t at_ms = 0;
    double level_g = 0;
  };
  struct Learned {
    std::int64_t last_ms = 0;
    std::optional<std::int64_t> known_ms;
    bool take(double lag_s);
  };
  bool at_rest() const;
  bool learn(double to_g);
  std::optional<double> crossed_s(double from_g, double to_g, double share) const;

  double interval_g_;
  std::vector<Sample> move_;  // since the last rest
  std::optional<double> rest_g_;
  std::int64_t rest_since_ms_ = 0;
  Learned one_pole_;
  Learned mean_;
};

}  // namespace maslin::weighing
