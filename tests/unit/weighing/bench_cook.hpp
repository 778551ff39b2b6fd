// A cook at a kitchen scale, for tests: what she does to the load, and what a scale of any
// interval, rate and filter shows of it, with the truth beside it. The load moves in steps of 10
// ms, through a platform that answers at 4 Hz, the display's filter, noise and rounding.
// Deterministic by seed. Forces, times and amounts are common practice, no source.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <deque>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "proto/reading.hpp"

namespace maslin::weighing {

enum class Filter { one_pole, mean, adaptive };

struct BenchKind {
  double interval_g = 1;
  double rate_hz = 10;
  Filter filter = Filter::one_pole;
  double lag_s = 0.5;
  double noise = 0.1;  // of an interval
  bool flags = false;  // it says when it moves
};

// Interval, rate, filter, lag, flag: one of each for every seed.
inline BenchKind bench_kind(std::uint64_t seed) {
  constexpr double intervals[] = {0.1, 1, 2, 5};
  constexpr double rates[] = {2, 5, 10, 20};
  constexpr Filter filters[] = {Filter::one_pole, Filter::mean, Filter::adaptive};
  constexpr double lags[] = {0.3, 0.5, 0.8};
  BenchKind kind;
  kind.interval_g = intervals[seed % 4];
  kind.rate_hz = rates[seed / 4 % 4];
  kind.filter = filters[seed / 16 % 3];
  kind.lag_s = lags[seed / 48 % 3];
  kind.flags = seed / 144 % 2 == 1;
  return kind;
}

struct Truth {
  std::string what;   // as weighing::name(Moved)
  std::string style;  // pour, scoop, pinch, trickle ...
  std::int64_t from_ms = 0;
  std::int64_t to_ms = 0;
  double net_g = 0;
};

struct BenchReading {
  proto::Reading reading;
  std::int64_t mass_ug = 0;
  bool unwatched = false;  // first one after the scale was off
};

class BenchCook {
 public:
  BenchCook(const BenchKind& kind, std::uint64_t seed) : kind_(kind), random_(seed) {
    next_s_ = between(0, 1 / kind_.rate_hz);
  }

  std::vector<BenchReading> readings;
  std::vector<Truth> truth;

  double load_g() const { return load_g_; }
  double between(double least, double most) {
    return least + (most - least) * static_cast<double>(random_() >> 11) * 0x1p-53;
  }
  int whole(int least, int most) {
    return least + static_cast<int>(between(0, static_cast<double>(most - least + 1)));
  }

  void wait(double seconds) {
    for (double left = seconds; left > 1e-9; left -= step_s) tick(0);
  }
  void pause() { wait(between(6, 9)); }

  void set_down(double grams, const char* style = "") {
    note("on", style, [&] { move_to(load_g_ + grams, between(0.1, 0.9)); });
    content_g_ = 0;
  }
  void lift_off(const char* style = "") {
    note("off", style, [&] { move_to(0, between(0.15, 0.7)); });
    content_g_ = 0;
  }
  void pour(double grams, double grams_a_second) {
    note("added", "pour", [&] { run_in(grams, grams_a_second); });
  }
  void scoop(int scoops) {
    note("added", "scoop", [&] {
      for (int i = 0; i < scoops; ++i) {
        if (i > 0) wait(between(0.8, 2.2));
        move_to(load_g_ + between(12, 55), between(0.15, 0.5));
      }
    });
  }
  void pinch(int pinches) {
    note("added", "pinch", [&] {
      for (int i = 0; i < pinches; ++i) {
        if (i > 0) wait(between(0.8, 2.2));
        move_to(load_g_ + between(0.5, 3), between(0.2, 0.8));
      }
    });
  }
  void piece(double grams) {
    note("added", "piece", [&] { move_to(load_g_ + grams, between(0.03, 0.15)); });
  }
  void trickle(double grams_a_second, double seconds) {
    note("added", "trickle", [&] { run_in(grams_a_second * seconds, grams_a_second); });
  }
  void take(double grams) {
    note("taken", "", [&] { move_to(load_g_ - grams, between(0.4, 2.5)); });
  }
  // Away and back, lighter or heavier by so much.
  void carry(double more_g, const char* style) {
    note(more_g > 0   ? "heavier"
         : more_g < 0 ? "lighter"
                      : "lifted",
         style, [&] {
           const double load_g = load_g_;
           move_to(0, between(0.15, 0.5));
           wait(between(1.2, 5) + (more_g != 0 ? 1 : 0));
           move_to(load_g + more_g, between(0.15, 0.5));
         });
  }
  void lean() {
    note("disturbed", "lean", [&] { press(between(1, 4), between(30, 800)); });
  }
  void stir() {
    const double down_g = between(5, 60);
    const double swing_g = between(5, 90);
    const double hertz = between(0.5, 2.2);
    const double for_s = between(2, 6);
    note("disturbed", "stir", [&] {
      for (double t = 0; t < for_s; t += step_s) {
        const double ease = std::min({1.0, t / 0.3, (for_s - t) / 0.3});
        tick(ease * (down_g + swing_g * std::sin(2 * std::numbers::pi * hertz * t)));
      }
    });
  }
  // A hand, a spoon or a board that stays: added to the load until it is taken away.
  void rest_on(double grams, double seconds) {
    note("disturbed", "rests", [&] {
      const double load_g = load_g_;
      move_to(load_g + grams, between(0.1, 0.3));
      wait(seconds);
      move_to(load_g, between(0.1, 0.3));
    });
  }
  void steam(double grams_a_second, double seconds) {
    note("drifted", "", [&] {
      for (double t = 0; t < seconds; t += step_s) {
        load_g_ -= grams_a_second * step_s;
        tick(0);
      }
    });
  }
  void zero_key() {
    note("new zero", "key", [&] {
      zero_g_ = shown_g_ + noise_g_ + slow_g_;  // what it shows is zero, whatever lies on it
      wait(0.2);
    });
  }
  // Asleep, something may come or go meanwhile, awake with what lies on it as zero.
  void sleep(double seconds, double more_g = 0) {
    note("new zero", "off", [&] {
      now_s_ += seconds;
      load_g_ += more_g;
      position_g_ = shown_g_ = load_g_;
      speed_g_s_ = 0;
      box_.clear();
      noise_g_ = slow_g_ = 0;
      zero_g_ = load_g_;
      next_s_ = now_s_;
      unwatched_ = true;
    });
  }
  // Its cable out and in again: nobody watched, the zero is as it was.
  void replug(double seconds) {
    const double zero_g = zero_g_;
    sleep(seconds);
    truth.pop_back();
    zero_g_ = zero_g;
  }
  // Another unit on the display for what follows.
  void unit_key() { ounces_ = !ounces_; }

  // A vessel, then some of all that cooks do, with pauses between.
  void evening(bool bowls) {
    wait(between(2, 4));
    set_down(between(80, 1400));
    pause();
    if (bowls && whole(0, 1) == 0) {
      some_addition();
      pause();
      for (int i = whole(3, 5); i > 0; --i) {
        lift_off("bowl");
        wait(between(18, 26));
        set_down(between(120, 600), "bowl");
        pause();
        some_addition();
        pause();
      }
      lift_off("bowl");
      wait(9);
      return;
    }
    for (int i = whole(4, 6); i > 0; --i) {
      anything();
      pause();
    }
  }

  void some_addition() {
    switch (whole(0, 4)) {
      case 0:
        return pour(between(15, 400), between(5, 45));
      case 1:
        return scoop(whole(1, 6));
      case 2:
        return pinch(whole(2, 8));
      case 3:
        return piece(between(15, 180));
      default:
        return trickle(between(0.5, 2), between(3, 10));
    }
  }

 private:
  static constexpr double step_s = 0.01;

  void anything() {
    switch (whole(0, 12)) {
      case 0:
      case 1:
      case 2:
        return some_addition();
      case 3:
        if (content_g_ < 25) return some_addition();
        return take(between(0.1, 0.5) * content_g_);
      case 4:
        return carry(0, "lift");
      case 5:
        return carry(-std::min(between(20, 300), 0.7 * load_g_), "decant");
      case 6:
        return carry(between(20, 300), "filled");
      case 7: {
        double other_g = between(80, 1400);
        if (std::abs(other_g - load_g_) < 20) other_g += 40;
        content_g_ = 0;
        return carry(other_g - load_g_, "swap");
      }
      case 8:
        return lean();
      case 9:
        return stir();
      case 10:
        return steam(between(0.06, 0.16), between(25, 40));
      case 11:
        if (std::abs(load_g_ - zero_g_) < 10 * kind_.interval_g) return some_addition();
        return zero_key();
      default:
        return sleep(between(6, 20));
    }
  }

  template <class Do>
  void note(const char* what, const char* style, Do act) {
    const double before_g = load_g_;
    Truth one{what, style, now_ms(), 0, 0};
    act();
    one.to_ms = now_ms();
    one.net_g = load_g_ - before_g;
    if (one.what == "added" || one.what == "taken") content_g_ += one.net_g;
    truth.push_back(one);
  }
  std::int64_t now_ms() const { return std::llround(now_s_ * 1000); }

  void move_to(double to_g, double seconds) {
    const double from_g = load_g_;
    const double bump_g = (to_g > from_g ? between(0, 0.4) : between(0, 0.05)) * (to_g - from_g);
    for (double t = 0; t < seconds; t += step_s) {
      load_g_ = from_g + (to_g - from_g) * (t / seconds);
      tick(bump_g * std::sin(std::numbers::pi * t / seconds));
    }
    load_g_ = to_g;
  }
  // Flow rises over half a second, wavers, falls over a quarter.
  void run_in(double grams, double grams_a_second) {
    double left_g = grams;
    double waver = 0;
    for (double t = 0; left_g > 0; t += step_s) {
      waver += -waver * step_s / 0.5 + normal() * 0.15 * std::sqrt(2 * step_s / 0.5);
      const double ease = std::min({1.0, 0.1 + t / 0.5, 0.1 + left_g / (0.25 * grams_a_second)});
      const double now_g =
          std::min(left_g, grams_a_second * ease * std::max(0.1, 1 + waver) * step_s);
      left_g -= now_g;
      load_g_ += now_g;
      tick(0);
    }
  }
  void press(double for_s, double peak_g) {
    const double down_s = between(0.1, 0.4);
    const double slope = between(-0.2, 0.2);
    const double tremble = between(0, 0.04);
    const double hertz = between(4, 9);
    for (double t = 0; t < for_s; t += step_s) {
      const double share = std::min({1.0, t / down_s, (for_s - t) / down_s});
      tick(peak_g * share *
           (1 + slope * (t / for_s - 0.5) + tremble * std::sin(2 * std::numbers::pi * hertz * t)));
    }
  }

  double normal() {
    return std::sqrt(-2 * std::log(1 - between(0, 1))) *
           std::cos(2 * std::numbers::pi * between(0, 1));
  }
  void tick(double force_g) {
    const double omega = 2 * std::numbers::pi * 4;
    speed_g_s_ +=
        step_s * (omega * omega * (load_g_ + force_g - position_g_) - 2 * 0.7 * omega * speed_g_s_);
    position_g_ += step_s * speed_g_s_;
    const double tau_s = kind_.lag_s;
    if (kind_.filter == Filter::mean) {
      const auto width = static_cast<std::size_t>(2 * tau_s / step_s);
      box_.push_back(position_g_);
      box_sum_g_ += position_g_;
      while (box_.size() > width) {
        box_sum_g_ -= box_.front();
        box_.pop_front();
      }
      if (box_.size() < 3) box_sum_g_ = 0;
      if (box_.size() < 3) {
        for (const double g : box_) box_sum_g_ += g;
      }
      shown_g_ = box_sum_g_ / static_cast<double>(box_.size());
    } else {
      const bool far = kind_.filter == Filter::adaptive &&
                       std::abs(position_g_ - shown_g_) > 10 * kind_.interval_g;
      shown_g_ += (position_g_ - shown_g_) * (1 - std::exp(-step_s / (far ? tau_s / 5 : tau_s)));
    }
    noise_g_ += -noise_g_ * step_s / tau_s +
                normal() * std::sqrt(2 * step_s / tau_s) * kind_.noise * kind_.interval_g;
    slow_g_ +=
        -slow_g_ * step_s / 2 + normal() * std::sqrt(2 * step_s / 2) * 0.05 * kind_.interval_g;
    now_s_ += step_s;
    if (now_s_ < next_s_) return;
    next_s_ += (1 + between(-0.03, 0.03)) / kind_.rate_hz;
    send();
  }

  void send() {
    BenchReading one;
    one.reading.number = readings.size() + 1;
    one.reading.at_ms = now_ms();
    const double net_g = shown_g_ + noise_g_ + slow_g_ - zero_g_;
    const double interval_g = ounces_ ? 28.349523125 * 0.1 : kind_.interval_g;
    one.reading.digits = static_cast<std::int64_t>(std::floor(net_g / interval_g + 0.5));
    one.reading.unit = ounces_ ? proto::Unit::oz : proto::Unit::g;
    one.reading.exponent = ounces_ || kind_.interval_g < 1 ? -1 : 0;
    one.mass_ug = std::llround(static_cast<double>(one.reading.digits) * interval_g * 1e6);
    one.unwatched = unwatched_;
    unwatched_ = false;
    recent_.push_back(one.reading.digits);
    if (recent_.size() > 5) recent_.pop_front();
    const auto [least, most] = std::minmax_element(recent_.begin(), recent_.end());
    if (kind_.flags && *most - *least > 1) one.reading.state = proto::state::moving;
    readings.push_back(one);
  }

  BenchKind kind_;
  std::mt19937_64 random_;
  double now_s_ = 0;
  double next_s_ = 0;
  double load_g_ = 0;
  double content_g_ = 0;
  double zero_g_ = 0;
  double position_g_ = 0;
  double speed_g_s_ = 0;
  double shown_g_ = 0;
  double noise_g_ = 0;
  double slow_g_ = 0;
  std::deque<double> box_;
  double box_sum_g_ = 0;
  std::deque<std::int64_t> recent_;
  bool unwatched_ = false;
  bool ounces_ = false;
};

}  // namespace maslin::weighing
