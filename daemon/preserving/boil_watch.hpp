// Is a pot at the boil: from its thermometer and the boiling point of water here. Fed by batch/
// with every temperature of the pan or of the canner; causal, no clock of its own.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>

namespace maslin::preserving {

enum class BoilChange : std::uint8_t { nothing, near, stands, reached, falling, away, back, left };

// Reached: no further under the local boiling point of water than the rule says, nor under the
// highest level that the pot has shown, and over the window flat: rising by less than flat_k_s,
// not falling, and within a span; what boils may be hotter than water, so there is no upper limit.
// Where the rule has a kink, it must also have become flat: what rises slowly all the time, a large
// pan over a small burner, passes the boiling point of water as slowly as another stands there. The
// slower it came, the longer it is watched.
// Falling: off its level and going down, once, ahead of left. Left: further under the level of its
// own boil than the rule says, and falling or there for long; or far under the boiling point. Away:
// as far under it, and sooner than a pot can cool: the thermometer was lifted or stands in foam, or
// something cold went in. Back: there again sooner than this pot has ever been heated, all the way,
// so that it was the thermometer and not the pot that had left. Where it comes back more slowly, or
// only the first of the way was quick, it has to reach its boil again. Near: within 4 K and rising.
// Stands: flat within 1.5 K under the boiling point, which an uncalibrated thermometer in a boil
// may show too: the cook is asked. A flat line far below the boiling point is no boil. The figures
// are common practice, no source, those of the canner held against simulated ones
// (tests/scenario/bath_truth_test).
struct BoilRule {
  std::int64_t short_of_boil_mk = 0;
  std::int64_t fallen_mk = 0;
  double falling_k_s = 0;  // slower than this is no fall
  double flat_k_s = 0;     // faster than this is still rising
  std::int64_t window_ms = 0;
  std::int64_t span_mk = 0;       // greatest less least in the window: a valley is not flat
  std::int64_t off_level_mk = 0;  // so far under its level it is no longer there
  // A level is the mean over so long, the level of the boil the highest mean over a window, so that
  // noise neither lifts it nor falls from it; 0: single readings, which follow a syrup's climb.
  std::int64_t level_ms = 0;
  std::int64_t under_ms = 0;  // fallen for so long counts however slow the fall; 0: it does not
  std::int64_t under_highest_mk = 0;  // further under the highest level is no boil; 0: may be
  bool says_stands = false;
  // Share of the slope that it came with; 0: how it came does not matter.
  double kink_share = 0;
  // From half of a fall to all of it within so long, no pot has cooled; 0: no fall is so quick.
  std::int64_t quick_ms = 0;
  double over_water_k = 0;       // its boil may lie so far over water's
  std::int64_t forecast_ms = 0;  // its slope is taken over so long, or less where there is no more
};
// When a pot that warms is at its boil, from its newest temperature on.
struct BoilForecast {
  double from_s = 0;
  double likely_s = 0;
  double to_s = 0;
};
// Syrup climbs while it boils and foams up and down; held against simulated pans
// (tests/scenario/pan_truth_test).
inline constexpr BoilRule pan_rule{.short_of_boil_mk = 700,
                                   .fallen_mk = 1000,
                                   .falling_k_s = 0.01,
                                   .flat_k_s = 0.01,
                                   .window_ms = 20'000,
                                   .span_mk = 700,
                                   .off_level_mk = 150,
                                   .kink_share = 0.35,
                                   .quick_ms = 4000,
                                   .over_water_k = 3,
                                   .forecast_ms = 20'000};
// Litres of water with the burner out fall by 0.5 K a minute only, turned down by much less, and
// rise as slowly over a small burner.
inline constexpr BoilRule canner_rule{.short_of_boil_mk = 500,
                                      .fallen_mk = 400,
                                      .falling_k_s = 0.004,
                                      .flat_k_s = 0.0015,
                                      .window_ms = 45'000,
                                      .span_mk = 500,
                                      .off_level_mk = 200,
                                      .level_ms = 10'000,
                                      .under_ms = 30'000,
                                      .under_highest_mk = 250,
                                      .says_stands = true,
                                      .over_water_k = 0.8,
                                      .forecast_ms = 90'000};

class BoilWatch {
 public:
  explicit BoilWatch(const BoilRule& rule = pan_rule) : rule_(rule) {}
  // 0 where the altitude is not known: then nothing is ever recognised, and the cook is asked.
  void begin(std::int64_t boiling_point_mk);
  BoilChange feed(std::int64_t at_ms, std::int64_t temperature_mk);
  // The thermometer was away; what it had seen does not count any more.
  void restart();
  // It was not fed for a little while: what it knows stands, the window fills anew.
  void gap() { count_ = 0; }
  // The boil is over, or something cold went in: it must be reached again, and no lower than the
  // highest level that was seen.
  void again();
  // The cook has seen it boil hard: where it stands now is the level of the boil. False where it
  // cannot be, or nothing is known of the last while: then the readings prove nothing.
  bool seen_boiling();

  // While it warms: by its slope of late, for a thermometer that lags by 2 to 20 s and is off by
  // 0.7 K, and a boil of up to 3 K over water in a pan, 0.8 K in a canner (about 95 %; common
  // practice, no source). Empty where it does not warm, or boils.
  std::optional<BoilForecast> forecast() const;
  std::int64_t newest_ms() const { return samples_[(next_ + capacity - 1) % capacity].at_ms; }
  bool boiling() const { return boiling_; }
  // It boils by the readings of a whole window, not only by what was known before a gap.
  bool watching() const { return boiling_ && window().has_value(); }
  // The boil of this pot has been measured, or seen at a level that it showed, since begin.
  bool has_boiled() const { return boiled_mk_ > 0; }
  // Away, and rising sooner than the pot can: the thermometer is being put back.
  bool returning() const;
  // So much lies further under the level that this pot has boiled at than the rule lets it fall.
  bool under_boil(std::int64_t temperature_mk) const {
    return has_boiled() && temperature_mk < boiled_mk_ - rule_.fallen_mk;
  }
  // Flat so far below the boiling point that no eye takes it for a boil: the thermometer stands
  // elsewhere, or nobody has looked.
  std::optional<std::int64_t> stands_far_below_mk() const;
  // Flat: where it stands, whether that can be a boil or not.
  std::optional<std::int64_t> stands_mk() const;
  // It has boiled at a higher level and now stands or falls under that, as far as the eye could
  // still take it for a boil: whoever says so has not looked.
  bool stands_under() const;
  // While it boils: when it last stood at the level of its boil, where a fall began.
  std::int64_t on_plateau_ms() const { return on_plateau_ms_; }
  // While it boils: the level of its boil, by the rule.
  std::int64_t level_mk() const { return plateau_mk_; }
  bool can_tell() const { return boiling_point_mk_ > 0; }
  std::int64_t boiling_point_mk() const { return boiling_point_mk_; }

 private:
  struct Sample {
    std::int64_t at_ms;
    std::int64_t temperature_mk;
  };
  static constexpr std::size_t capacity = 512;
  struct Window {
    double slope_k_s = 0;
    std::int64_t span_mk = 0;
    std::int64_t mean_mk = 0;
    std::int64_t level_mk = 0;  // by the rule: the mean of the last while, or the newest reading
  };
  // Over the rule's window, or so long; empty while it is not filled.
  std::optional<Window> window() const { return window(rule_.window_ms); }
  std::optional<Window> window(std::int64_t length_ms) const;
  bool flat(const Window& lately) const;
  bool kinked(std::int64_t level_mk) const;
  void note_approach(std::int64_t at_ms, double slope_k_s);
  BoilChange feed_boiling(std::int64_t at_ms, const Window& lately);
  void boil(std::int64_t at_ms, std::int64_t level_mk);
  bool comes_back(std::int64_t at_ms, std::int64_t level_mk);
  bool as_quick_to_the_end(std::int64_t at_ms, std::int64_t level_mk) const;
  double heats_k_s() const;

  BoilRule rule_;
  std::int64_t boiling_point_mk_ = 0;
  std::array<Sample, capacity> samples_{};
  std::size_t next_ = 0;
  std::size_t count_ = 0;
  bool boiling_ = false;
  bool near_said_ = false;
  std::int64_t plateau_mk_ = 0;
  std::int64_t on_plateau_ms_ = 0;
  std::int64_t not_fallen_ms_ = 0;
  std::int64_t highest_mk_ = 0;  // level, since begin
  std::int64_t stood_mk_ = 0;    // where it was last said to stand
  std::int64_t boiled_mk_ = 0;   // the level that it has boiled at, since begin; 0 none
  bool falling_said_ = false;
  // Greatest slope of this span of time and of the one before.
  double approach_k_s_ = 0;
  double approach_before_k_s_ = 0;
  std::int64_t approach_since_ms_ = 0;
  double heats_k_s_ = 0;             // the slope of its way to the first boil; 0: nobody saw it
  std::int64_t half_fallen_ms_ = 0;  // while it boils: when it last was not half of a fall under
  struct Away {
    std::int64_t lowest_mk;
    std::int64_t lowest_ms;  // it was last there, or nearly
    // Half of the way back was over then, sooner than the pot can.
    std::optional<std::int64_t> half_back_ms{};
  };
  std::optional<Away> away_;
};

}  // namespace maslin::preserving
