// At rest and quiet: when a scale's indication may be shown, and when it may be booked. One per
// scale, fed by Pan with every usable reading; causal, no clock of its own.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

namespace maslin::weighing {

// What one reading changed.
enum class Settling : std::uint8_t {
  nothing,
  at_rest,   // a new rest: enough to show a number
  quiet,     // the rest has lasted: enough for a weighing
  reopened,  // a quiet level has crept away and is not booked any more
  departed,  // the load moves again; level() is still the last rest, the one that counts
};

// At rest: at least 4 readings over T = max(1 s, twice the scale's lag), peak to peak within one
// interval (or what this scale's rests are learned to show), and the means of both halves within
// 0.35 intervals, so that a slow slope does not pass. Quiet: 3 s of one rest, whose level has not
// moved by more than 0.75 intervals. Departure: two intervals off the level. Figures from
// simulation over 0.1-5 g and 2-20 readings a second: no booked level off by more than 1.2
// intervals when the next action comes 6 s later.
class RestDetector {
 public:
  // interval_ug > 0; lag_ms is the display lag of the scale.
  RestDetector(std::int64_t interval_ug, std::int64_t lag_ms);

  // `vetoed`: the device itself says that the load moves; it can forbid a rest, never make one. One
  // that goes on for ten seconds while the readings rest is not believed any more.
  Settling feed(std::int64_t at_ms, std::int64_t level_ug, bool vetoed);
  // Forgets everything but the scale: after a new zero, a gap, a restart.
  void restart();
  // Another unit has another interval.
  void restart(std::int64_t interval_ug);

  bool at_rest() const { return at_rest_; }
  bool quiet() const { return quiet_; }
  // Mean of the later half of the window at the last reading of the rest; valid once a rest was
  // seen.
  std::int64_t level_ug() const { return level_ug_; }
  // Since when the level has been this one: a creep begins it anew.
  std::int64_t level_since_ms() const { return anchor_since_ms_; }
  // The first reading of the window that was found to be at rest.
  std::int64_t rest_began_ms() const { return rest_began_ms_; }
  // Standard deviation of single readings about the rest, from the last window; 0 when digits
  // repeat.
  double repeatability_ug() const { return repeatability_ug_; }
  // Its degrees of freedom, 1 or more: readings closer than the lag are not independent.
  std::int64_t repeatability_dof() const { return repeatability_dof_; }

  // Rate of change over about the last 0.6 s, micrograms per second; 0 with fewer than three
  // readings.
  double flow_ug_s() const;

 private:
  struct Sample {
    std::int64_t at_ms;
    std::int64_t level_ug;
  };
  static constexpr std::size_t capacity = 64;
  const Sample& back(std::size_t n) const {
    return samples_[(next_ + capacity - 1 - n) % capacity];
  }
  bool window_rests();

  std::int64_t interval_ug_;
  std::int64_t lag_ms_;
  std::int64_t window_ms_;
  std::array<Sample, capacity> samples_{};
  std::size_t next_ = 0;
  std::size_t count_ = 0;
  bool at_rest_ = false;
  bool quiet_ = false;
  std::int64_t level_ug_ = 0;
  std::int64_t window_level_ug_ = 0;
  std::int64_t anchor_ug_ = 0;  // level from which creeping is counted
  std::int64_t anchor_since_ms_ = 0;
  std::int64_t rest_began_ms_ = 0;
  std::int64_t window_began_ms_ = 0;
  double window_deviation_ug_ = 0;
  std::int64_t window_dof_ = 1;
  double repeatability_ug_ = 0;
  std::int64_t repeatability_dof_ = 1;
  std::int64_t vetoed_since_ms_ = -1;  // though the readings rest; -1: it does not
  bool flag_fails_ = false;            // the flag says "moving" for ever
};

}  // namespace maslin::weighing
