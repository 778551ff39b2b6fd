// A kitchen scale for tests: a load, a display lag, rounding to the interval, ten readings a
// second. Gives a test the words put, pour, lift, zero_key; feeds a Pan and collects what changed.
#pragma once

#include <cmath>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "daemon/weighing/pan.hpp"

namespace maslin::weighing {

class BenchScale {
 public:
  explicit BenchScale(double interval_g = 1, double lag_s = 0.3)
      : interval_g_(interval_g),
        lag_s_(lag_s),
        pan({static_cast<std::int64_t>(std::llround(interval_g * 1e6)),
             static_cast<std::int64_t>(lag_s * 1000)}) {}

  void wait(double seconds) {
    for (double left = seconds; left > 1e-9; left -= step_s) tick();
  }
  void put(double grams) { load_g_ += grams, wait(6); }
  void pour(double grams, double grams_a_second) {
    const double end_g = load_g_ + grams;
    while (load_g_ < end_g - 1e-9) {
      load_g_ = std::min(end_g, load_g_ + grams_a_second * step_s);
      tick();
    }
    wait(6);
  }
  void slide(double grams, double seconds) {
    for (double left = seconds; left > 1e-9; left -= step_s) {
      load_g_ += grams * step_s / seconds;
      tick();
    }
  }
  void take_out(double grams) { load_g_ -= grams, wait(6); }
  // Everything off for `seconds`, then on again, lighter or heavier by `more_g`.
  void lift(double seconds = 6, double more_g = 0) {
    const double load_g = load_g_;
    load_g_ = 0;
    wait(seconds);
    load_g_ = load_g + more_g;
    wait(6);
  }
  void zero_key() {
    zero_g_ = load_g_;
    shown_g_ = load_g_;  // the display does not creep to its zero, it jumps
    tick();
    wait(6);
  }
  void lose_power(double seconds, double poured_g = 0) {
    now_ms_ += static_cast<std::int64_t>(seconds * 1000);
    load_g_ += poured_g;
    zero_g_ = load_g_;
    shown_g_ = load_g_;
    pan.begin_unwatched_epoch("lost and back");
    wait(6);
  }
  void empty() { load_g_ = 0, wait(6); }
  void lift_below_zero() {  // on a scale that sends no number for it
    load_g_ = 0;
    send(proto::state::under);
  }
  void send(std::uint16_t state) {  // readings without a number
    for (int i = 0; i < 10; ++i) feed(0, state);
  }

  double net_g() const { return static_cast<double>(pan.net_ug().value_or(-999'000'000)) / 1e6; }
  int count(bool PanChange::*what) const {
    int n = 0;
    for (const auto& change : changes) n += change.*what ? 1 : 0;
    return n;
  }

 private:
  static constexpr double step_s = 0.1;
  void tick() {
    shown_g_ += (load_g_ - shown_g_) * (1 - std::exp(-step_s / lag_s_));
    feed(static_cast<std::int64_t>(std::floor((shown_g_ - zero_g_) / interval_g_ + 0.5)), 0);
  }
  void feed(std::int64_t digits, std::uint16_t state) {
    now_ms_ += 100;
    proto::Reading reading;
    reading.number = ++number_;
    reading.at_ms = now_ms_;
    reading.digits = digits;
    reading.unit = proto::Unit::g;
    reading.state = state;
    changes.push_back(pan.feed(reading, static_cast<std::int64_t>(std::llround(
                                            static_cast<double>(digits) * interval_g_ * 1e6))));
    if (heard) heard(now_ms_, changes.back());
  }

  double interval_g_;
  double lag_s_;
  double load_g_ = 0;
  double shown_g_ = 0;
  double zero_g_ = 0;
  std::int64_t now_ms_ = 0;
  std::uint64_t number_ = 0;

 public:
  Pan pan;
  std::vector<PanChange> changes;
  std::function<void(std::int64_t at_ms, const PanChange&)> heard;  // after every reading
};

}  // namespace maslin::weighing
