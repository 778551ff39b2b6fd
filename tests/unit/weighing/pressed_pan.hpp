// A pan that is pressed, and all else that happens on one in a kitchen, as a scale shows it: the
// load in steps of 10 ms, a platform that answers at 4 Hz, the display's filter, noise, rounding.
// Written apart from the detector's rule; forces and times are common practice, no source.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>
#include <string>
#include <utility>
#include <vector>

namespace maslin::weighing {

struct ScaleKind {
  double interval_g = 1;
  double rate_hz = 10;
  bool box = false;  // the mean of the last 2 lags, else one pole
  double lag_s = 0.5;
};

struct Shown {
  std::int64_t at_ms = 0;
  std::int64_t level_ug = 0;
};

struct Happened {
  std::string what;
  std::vector<Shown> readings;
  std::int64_t released_ms = 0;  // when the hand, or whatever it was, was off again
};

class PressedPan {
 public:
  PressedPan(const ScaleKind& scale, std::uint64_t seed) : scale_(scale), random_(seed) {}

  Happened firm_press() { return press("press", between(0.25, 0.8), between(300, 1800)); }
  Happened long_press() { return press("long press", between(1.5, 3), between(300, 1800)); }
  Happened double_press() {
    begin();
    const double first_s = between(0.25, 0.6);
    hand(3, first_s, between(300, 1500));
    const double second_s = 3 + first_s + between(0.15, 0.5);
    hand(second_s, between(0.25, 0.6), between(300, 1500));
    return show("double press", second_s + 0.6);
  }
  // A vessel lifted off or set down by a quick hand.
  Happened lifted_off() {
    load_.assign(static_cast<std::size_t>(whole_s / step_s), between(400, 1500));
    stay(3, -load_.front(), between(0.05, 0.25));
    return show("lifted off", 3.25);
  }
  Happened set_down() {
    load_.assign(static_cast<std::size_t>(whole_s / step_s), 0);
    stay(3, between(400, 1500), between(0.05, 0.25));
    return show("set down", 3.25);
  }
  Happened rim_tap() {
    begin();
    double at_s = 3;
    for (int i = whole(1, 3); i > 0; --i) {
      bump(at_s, between(0.03, 0.12), between(50, 500));
      at_s += between(0.2, 0.5);
    }
    return show("rim tap", at_s);
  }
  // Anything in a kitchen that is no press.
  Happened other() {
    begin();
    switch (whole(0, 8)) {
      case 0:
        return pour();
      case 1:
        return scoop();
      case 2:
        return pieces();
      case 3:
        return vessel();
      case 4:
        return lifted();
      case 5:
        return stir();
      case 6:
        return lean();
      case 7:
        return scrape();
      default:
        return spoon();
    }
  }

 private:
  static constexpr double step_s = 0.01;
  static constexpr double whole_s = 14;

  double between(double least, double most) {
    return least + (most - least) * static_cast<double>(random_() >> 11) * 0x1p-53;
  }
  int whole(int least, int most) {
    return least + static_cast<int>(between(0, static_cast<double>(most - least + 1)));
  }
  double normal() {
    return std::sqrt(-2 * std::log(1 - between(0, 1))) *
           std::cos(2 * std::numbers::pi * between(0, 1));
  }

  void begin() {
    load_.assign(static_cast<std::size_t>(whole_s / step_s),
                 whole(0, 4) == 0 ? 0 : between(150, 2500));
  }
  template <class Function>
  void add(double from_s, double to_s, Function grams_at) {
    for (std::size_t i = 0; i < load_.size(); ++i) {
      const double t = static_cast<double>(i) * step_s;
      if (t >= from_s && t < to_s) load_[i] += grams_at(t - from_s);
    }
  }
  void stay(double from_s, double grams, double ramp_s = 0.05) {
    add(from_s, whole_s, [&](double t) { return grams * std::min(1.0, t / ramp_s); });
  }
  void bump(double from_s, double for_s, double peak_g) {
    add(from_s, from_s + for_s,
        [&](double t) { return peak_g * std::sin(std::numbers::pi * t / for_s); });
  }
  // Down, held with a little tremble, up again.
  void hand(double from_s, double for_s, double peak_g) {
    const double down_s = std::min(between(0.06, 0.18), 0.4 * for_s);
    const double up_s = std::min(between(0.05, 0.15), 0.4 * for_s);
    const double slope = between(-0.2, 0.2);
    const double tremble = between(0, 0.06);
    const double hertz = between(4, 9);
    add(from_s, from_s + for_s, [&](double t) {
      const double share = std::min({1.0, t / down_s, (for_s - t) / up_s});
      const double held =
          1 + slope * (t / for_s - 0.5) + tremble * std::sin(2 * std::numbers::pi * hertz * t);
      return peak_g * share * held;
    });
  }
  Happened press(const char* what, double for_s, double peak_g) {
    begin();
    const double from_s = 3 + between(0, 0.3);
    hand(from_s, for_s, peak_g);
    return show(what, from_s + for_s);
  }
  Happened pour() {
    const double rate = between(5, 60);
    const double for_s = between(0.4, 5);
    add(3, 3 + for_s, [&](double t) { return rate * t; });
    stay(3 + for_s, rate * for_s, step_s);
    return show("pour", 3 + for_s);
  }
  Happened scoop() {
    stay(3, between(3, 80), between(0.1, 0.5));
    for (int i = whole(0, 3); i > 0; --i)
      bump(between(3, 3.8), between(0.04, 0.15), between(30, 350));
    return show("scoop", 4);
  }
  Happened pieces() {
    double at_s = 3;
    for (int i = whole(1, 4); i > 0; --i) {
      const double piece_g = between(2, 250);
      stay(at_s, piece_g, 0.02);
      bump(at_s, between(0.03, 0.1), piece_g * between(1, 4));
      at_s += between(0.15, 0.8);
    }
    return show("pieces", at_s);
  }
  Happened vessel() {
    const bool on = whole(0, 1) == 0 || load_.front() < 1;
    if (on) {
      const double vessel_g = between(60, 1200);
      stay(3, vessel_g, between(0.05, 0.3));
      bump(3, between(0.1, 0.3), vessel_g * between(0, 0.8));
    } else {
      stay(3, -load_.front(), between(0.05, 0.3));
      if (whole(0, 1) == 0) bump(2.8, 0.3, between(20, 300));  // the hand takes hold
    }
    return show("vessel", 3.3);
  }
  Happened lifted() {
    const double away_s = between(0.4, 4);
    stay(3, -load_.front(), between(0.05, 0.3));
    stay(3.3 + away_s, load_.front(), between(0.05, 0.3));
    bump(3.3 + away_s, 0.15, load_.front() * between(0, 0.6));
    return show("lifted", 3.6 + away_s);
  }
  Happened stir() {
    const double for_s = between(1.5, 6);
    const double hertz = between(0.7, 2.5);
    const double down_g = between(10, 120);
    const double swing_g = between(10, 150);
    add(3, 3 + for_s, [&](double t) {
      return std::min(1.0, t / 0.2) *
             (down_g + swing_g * std::sin(2 * std::numbers::pi * hertz * t));
    });
    return show("stir", 3 + for_s);
  }
  Happened lean() {
    const double for_s = between(1.8, 6);
    hand(3, for_s, between(80, 2500));
    return show("lean", 3 + for_s);
  }
  Happened scrape() {
    double at_s = 3;
    for (int i = whole(3, 8); i > 0; --i) {
      const double for_s = between(0.15, 0.6);
      bump(at_s, for_s, between(20, 250));
      at_s += for_s + between(0, 0.35);
    }
    if (whole(0, 1) == 0) stay(at_s, between(0.5, 15));
    return show("scrape", at_s);
  }
  // A spoon laid down and taken up again.
  Happened spoon() {
    const double spoon_g = between(15, 90);
    const double for_s = between(0.5, 4);
    stay(3, spoon_g);
    stay(3 + for_s, -spoon_g);
    if (whole(0, 1) == 0) bump(3, 0.08, between(20, 200));
    return show("spoon", 3 + for_s);
  }

  Happened show(std::string what, double released_s) {
    Happened all{std::move(what), {}, static_cast<std::int64_t>(released_s * 1000)};
    // The platform: two poles at 4 Hz, damped to 0.6 of critical (common practice, no source).
    const double omega = 2 * std::numbers::pi * 4;
    double position = load_.front();
    double speed = 0;
    double pole = position;
    double noise = 0;
    double next_s = between(0, 1 / scale_.rate_hz);
    std::vector<double> sums{0};
    for (std::size_t i = 0; i < load_.size(); ++i) {
      speed += step_s * (omega * omega * (load_[i] - position) - 2 * 0.6 * omega * speed);
      position += step_s * speed;
      sums.push_back(sums.back() + position);
      pole += (position - pole) * (1 - std::exp(-step_s / scale_.lag_s));
      noise +=
          -noise * step_s / 0.3 + normal() * std::sqrt(2 * step_s / 0.3) * 0.1 * scale_.interval_g;
      const double now_s = static_cast<double>(i) * step_s;
      if (now_s < next_s) continue;
      next_s += (1 + between(-0.03, 0.03)) / scale_.rate_hz;
      double shown = pole;
      if (scale_.box) {
        const auto width = std::min(static_cast<std::size_t>(2 * scale_.lag_s / step_s), i + 1);
        shown = (sums[i + 1] - sums[i + 1 - width]) / static_cast<double>(width);
      }
      const double digits = std::floor((shown + noise) / scale_.interval_g + 0.5);
      all.readings.push_back(
          {std::llround(now_s * 1000), std::llround(digits * scale_.interval_g * 1e6)});
    }
    return all;
  }

  ScaleKind scale_;
  std::mt19937_64 random_;
  std::vector<double> load_;
};

}  // namespace maslin::weighing
