// Random numbers that are the same at every run: one stream for each purpose, so that a change in
// one part of the kitchen does not move the others. The last bit of a normal deviate is the
// mathematical library's, far below what a scale or a probe shows.
#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>

namespace maslin::kitchen {

class Chance {
 public:
  // Streams of one seed, and neighbouring seeds, are independent of each other: both are mixed
  // before they meet, else one seed's numbers would be the next one's, shifted by one.
  Chance(std::uint64_t seed, std::uint64_t stream)
      : state_(mixed(mixed(seed + step) + stream * 0xd1b54a32d192ed03U)) {}
  // In (0, 1).
  double uniform() {
    state_ += step;
    return (static_cast<double>(mixed(state_) >> 11U) + 0.5) / 9007199254740992.0;
  }
  // Normal by Box and Muller.
  double normal(double mean, double deviation) {
    const double radius = std::sqrt(-2 * std::log(uniform()));
    return mean + deviation * radius * std::cos(2 * std::numbers::pi * uniform());
  }

 private:
  // splitmix64 (public domain algorithm; constants from memory).
  static constexpr std::uint64_t step = 0x9e3779b97f4a7c15U;
  static constexpr std::uint64_t mixed(std::uint64_t z) {
    z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9U;
    z = (z ^ (z >> 27U)) * 0x94d049bb133111ebU;
    return z ^ (z >> 31U);
  }

  std::uint64_t state_;
};

}  // namespace maslin::kitchen
