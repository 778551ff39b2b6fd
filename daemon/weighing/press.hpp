// The pan of a scale as the cook's button: a firm press with the hand, found in the readings. One
// per scale, fed by batch/ with every usable reading; causal, no clock of its own.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>

#include "daemon/weighing/lag.hpp"

namespace maslin::weighing {

// A press that is over; told when the scale is at rest again.
struct Press {
  std::int64_t began_ms = 0;     // the last moment at which the hand was surely not on the pan
  std::int64_t force_ug = 0;     // its mean, as a mass
  std::int64_t duration_ms = 0;  // of the hand on the pan, the display's lag taken out
};

// How a display is thought to lag: a mean over twice its lag, or a one-pole filter, whose tail is
// taken out of the readings again before anything else is looked at.
enum class Display : std::uint8_t { mean, one_pole };

// One scale under one idea of its display.
class PressTrack {
 public:
  PressTrack(std::int64_t interval_ug, std::int64_t lag_ms, Display display);

  std::optional<Press> feed(std::int64_t at_ms, std::int64_t level_ug);
  void restart();

 private:
  enum class State : std::uint8_t { waiting, quiet, moved };
  // Grams, and seconds since the rest before. The sums over what the load is above that rest, and
  // over it times the first and second power of the time, give its impulse and its duration:
  // neither depends on the display but for a share that is known.
  struct Sample {
    std::int64_t at_ms = 0;
    double shown_g = 0;
    double load_g = 0;
    double sum = 0, sum_t = 0, sum_tt = 0;
  };
  static constexpr std::size_t capacity = 64;
  const Sample& back(std::size_t n) const {
    return samples_[(next_ + capacity - 1 - n) % capacity];
  }
  std::optional<double> load_of(std::int64_t at_ms, double shown_g) const;
  void push(Sample sample);
  void add_since(std::int64_t from_ms, double from_g, Sample& sample) const;
  // How many of the newest readings are a rest of `for_ms` with so many readings; 0: none.
  std::size_t rest(std::int64_t for_ms, std::size_t fewest) const;
  double mean(std::size_t from, std::size_t to) const;  // load of back(from) .. back(to - 1)
  void begin_move(double load_g);
  void follow(double load_g);
  std::optional<Press> judge(const Sample& last) const;
  double same_level_g() const { return std::max(1.6 * interval_g_, 0.4); }

  double interval_g_;
  double lag_s_;
  Display display_;
  double tolerance_g_;  // peak to peak of a rest
  State state_ = State::waiting;
  std::array<Sample, capacity> samples_{};
  std::size_t next_ = 0;
  std::size_t count_ = 0;
  std::int64_t rest_ms_ = 0;  // the last moment of the rest before
  double rest_g_ = 0;         // its level
  double peak_g_ = 0;         // above it, since then
  double lowest_g_ = 0;       // against it, since then
  double fallen_to_g_ = 0;    // the lowest since the peak
  bool rose_again_ = false;
};

// A firm press: one rise of 0.25 to 0.8 s with a force of 300 g or more, quiet before and after at
// one level. A scale that sends fewer than five readings a second, or only what changes, gives
// none, nor one whose lag is far from what is known of it. What simulation says of it:
// weighing/README.md.
class PressDetector {
 public:
  // interval_ug > 0; lag_ms > 0 is the display lag of the scale until it has shown its own.
  PressDetector(std::int64_t interval_ug, std::int64_t lag_ms);

  std::optional<Press> feed(std::int64_t at_ms, std::int64_t level_ug);
  // Forgets what it saw: after a new zero, a reading without a value, a gap.
  void restart();

 private:
  std::int64_t interval_ug_;
  LagLearner lag_;
  PressTrack one_pole_;
  PressTrack mean_;
  std::int64_t told_ms_ = std::numeric_limits<std::int64_t>::min();  // of the last press
};

}  // namespace maslin::weighing
