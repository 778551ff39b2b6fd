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
  // Streams of one seed are independent of each other.
  Chance(std::uint64_t seed, std::uint64_t stream)
      : state_(seed * 0x9e3779b97f4a7c15U + stream * 0xd1b54a32d192ed03U) {
    (void)uniform();
  }
  // In (0, 1).
  double uniform() {
    // splitmix64 (public domain algorithm; constants from memory).
    std::uint64_t z = (state_ += 0x9e3779b97f4a7c15U);
    z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9U;
    z = (z ^ (z >> 27U)) * 0x94d049bb133111ebU;
    z ^= z >> 31U;
    return (static_cast<double>(z >> 11U) + 0.5) / 9007199254740992.0;
  }
  // Normal by Box and Muller.
  double normal(double mean, double deviation) {
    const double radius = std::sqrt(-2 * std::log(uniform()));
    return mean + deviation * radius * std::cos(2 * std::numbers::pi * uniform());
  }

 private:
  std::uint64_t state_;
};

}  // namespace maslin::kitchen
