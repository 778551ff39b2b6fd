// Is a pot at the boil: from its thermometer and the boiling point of water here. Fed by batch/
// with every temperature of the pan or of the canner; causal, no clock of its own.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>

namespace maslin::preserving {

enum class BoilChange : std::uint8_t { nothing, near, reached, left };

// Reached: no further under the local boiling point of water than the rule says, and over its
// window rising by less than 0.02 K/s, not falling, and within a span; what boils may be hotter
// than water, so there is no upper limit. Left: further under the level of its own boil than the
// rule says and falling, or more than 1.5 K under the boiling point. Near: within 4 K and rising. A
// flat line far below the boiling point is no boil. The figures are common practice, no source.
struct BoilRule {
  std::int64_t short_of_boil_mk = 0;
  std::int64_t fallen_mk = 0;
  double falling_k_s = 0;  // slower than this is no fall
  std::int64_t window_ms = 0;
  std::int64_t span_mk = 0;  // greatest less least in the window: a valley is not flat
};
// Syrup climbs while it boils and foams up and down.
inline constexpr BoilRule pan_rule{700, 1000, 0.01, 10'000, 700};
// Litres of water with the burner out fall by 0.5 K a minute only, so that little must count.
inline constexpr BoilRule canner_rule{500, 450, 0.004, 30'000, 300};

class BoilWatch {
 public:
  explicit BoilWatch(const BoilRule& rule = pan_rule) : rule_(rule) {}
  // 0 where the altitude is not known: then nothing is ever recognised, and the cook is asked.
  void begin(std::int64_t boiling_point_mk);
  BoilChange feed(std::int64_t at_ms, std::int64_t temperature_mk);
  // The thermometer was away; what it had seen does not count any more.
  void restart();

  bool boiling() const { return boiling_; }
  // When it last stood at the level of its boil: where a fall began.
  std::int64_t on_plateau_ms() const { return on_plateau_ms_; }
  bool can_tell() const { return boiling_point_mk_ > 0; }
  std::int64_t boiling_point_mk() const { return boiling_point_mk_; }

 private:
  struct Sample {
    std::int64_t at_ms;
    std::int64_t temperature_mk;
  };
  static constexpr std::size_t capacity = 128;
  struct Window {
    double slope_k_s = 0;
    std::int64_t span_mk = 0;
  };
  // Over the rule's window; empty while it is not filled.
  std::optional<Window> window() const;

  BoilRule rule_;
  std::int64_t boiling_point_mk_ = 0;
  std::array<Sample, capacity> samples_{};
  std::size_t next_ = 0;
  std::size_t count_ = 0;
  bool boiling_ = false;
  bool near_said_ = false;
  std::int64_t plateau_mk_ = 0;
  std::int64_t on_plateau_ms_ = 0;
};

}  // namespace maslin::preserving
