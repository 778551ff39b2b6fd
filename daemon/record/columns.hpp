// The pieces a chunk is made of: varints, compressed columns and the predictors whose misses are
// what a column holds. Private to record/. Everything is integer arithmetic that wraps, so that any
// input, also garbage, decodes to the same values everywhere.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace maslin::record {

// Small numbers of either sign become small numbers: 0, -1, 1, -2 ... -> 0, 1, 2, 3 ...
inline std::uint64_t zigzag(std::int64_t value) {
  return (static_cast<std::uint64_t>(value) << 1U) ^ static_cast<std::uint64_t>(value >> 63);
}
inline std::int64_t unzigzag(std::uint64_t value) {
  return static_cast<std::int64_t>((value >> 1U) ^ (~(value & 1U) + 1U));
}
inline std::int64_t wrapping_add(std::int64_t a, std::int64_t b) {
  return static_cast<std::int64_t>(static_cast<std::uint64_t>(a) + static_cast<std::uint64_t>(b));
}
inline std::int64_t wrapping_sub(std::int64_t a, std::int64_t b) {
  return static_cast<std::int64_t>(static_cast<std::uint64_t>(a) - static_cast<std::uint64_t>(b));
}

// LEB128, least significant group first.
void put_varint(std::string& bytes, std::uint64_t value);

// Takes bytes apart. Once something does not fit, everything after is zero and failed() stays true.
class Cursor {
 public:
  explicit Cursor(std::string_view bytes) : rest_(bytes) {}
  std::uint64_t varint();
  std::uint8_t byte();
  std::string_view take(std::uint64_t size);
  bool failed() const { return failed_; }
  bool done() const { return rest_.empty() && !failed_; }

 private:
  std::string_view rest_;
  bool failed_ = false;
};

// A column as stored: compressed size as a varint, then a zstd frame.
void put_column(std::string& bytes, std::string_view column);
// nullopt where it is not one, or unpacks to more than `most` bytes.
std::optional<std::string> take_column(Cursor& cursor, std::uint64_t most);

// Guesses the next stamp of a device that sends at a steady pace, like a clock that is corrected by
// a part of what it was wrong: stamps that jitter around a grid then cost the jitter once, not
// twice as plain differences would.
class PaceGuess {
 public:
  // `period` between stamps in 1/256 ms. A miss moves the phase by 1/2^phase_shift of it, the
  // period by 1/2^period_shift (0: never).
  PaceGuess(std::int64_t first_ms, std::int64_t period, int phase_shift, int period_shift);
  std::int64_t next() const;
  void saw(std::int64_t at_ms);

 private:
  std::int64_t last_;
  std::int64_t ahead_ = 0;  // the grid less the last stamp, 1/256 ms
  std::int64_t period_;
  int phase_shift_;
  int period_shift_;
};

// Guesses the next digits: the last ones (order 1), or as much further as last time (order 2).
class DigitsGuess {
 public:
  DigitsGuess(std::int64_t first, int order) : last_(first), order_(order) {}
  std::int64_t next() const { return order_ == 2 ? wrapping_add(last_, step_) : last_; }
  void saw(std::int64_t digits) {
    step_ = wrapping_sub(digits, last_);
    last_ = digits;
  }

 private:
  std::int64_t last_;
  std::int64_t step_ = 0;
  int order_;
};

}  // namespace maslin::record
