// Is the pan at the boil: from its thermometer and the boiling point of water here. Fed by batch/
// with every temperature of the pan; causal, no clock of its own.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>

namespace maslin::preserving {

enum class BoilChange : std::uint8_t { nothing, near, reached, left };

// Reached: no more than 0.7 K under the local boiling point of water and flat (under 0.02 K/s over
// 10 s); syrup boils above that point, so there is no upper limit. Left: more than 1 K under the
// level of its own boil and falling, or flat more than 1.5 K under the boiling point. Near: within
// 4 K and rising. The figures are common practice, no source; a flat line far below the boiling
// point is no boil.
class BoilWatch {
 public:
  // 0 where the altitude is not known: then nothing is ever recognised, and the cook is asked.
  void begin(std::int64_t boiling_point_mk);
  BoilChange feed(std::int64_t at_ms, std::int64_t temperature_mk);
  // The thermometer was away; what it had seen does not count any more.
  void restart();

  bool boiling() const { return boiling_; }
  bool can_tell() const { return boiling_point_mk_ > 0; }
  std::int64_t boiling_point_mk() const { return boiling_point_mk_; }

 private:
  struct Sample {
    std::int64_t at_ms;
    std::int64_t temperature_mk;
  };
  static constexpr std::size_t capacity = 128;
  // Kelvin per second over the last 10 s; empty while they are not filled.
  std::optional<double> slope_k_s() const;

  std::int64_t boiling_point_mk_ = 0;
  std::array<Sample, capacity> samples_{};
  std::size_t next_ = 0;
  std::size_t count_ = 0;
  bool boiling_ = false;
  bool near_said_ = false;
  std::int64_t plateau_mk_ = 0;
};

}  // namespace maslin::preserving
