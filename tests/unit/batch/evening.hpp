// An evening at the stove for tests of the engine: a formula, a scale, a thermometer, and words for
// what the cook does. Collects every outcome.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "daemon/batch/engine.hpp"
#include "daemon/formula/read.hpp"
#include "daemon/plan/plan.hpp"

namespace maslin::batch {

class Evening {
 public:
  explicit Evening(const std::string& formula = "quayside-onion-relish", bool thermometer = true,
                   double interval_g = 1)
      : interval_g_(interval_g) {
    std::ifstream file(MASLIN_SOURCE_DIR "/daemon/formula/shipped/" + formula + ".toml");
    start.formula_text.assign(std::istreambuf_iterator<char>(file),
                              std::istreambuf_iterator<char>());
    start.formula_file = formula + ".toml";
    start.batch = "test";
    start.settings.altitude_m = 120;
    start.settings.scale_lag_s = 0.3;
    proto::DeviceDescription scale;
    scale.id = "test:scale";
    scale.interval_ug = std::llround(interval_g * 1e6);
    scale.capacity_ug = 5'000'000'000;
    scale.period_ms = 100;
    start.devices.push_back({proto::Role::bench, scale});
    if (thermometer) {
      proto::DeviceDescription probe;
      probe.id = "test:probe";
      probe.quantity = proto::Quantity::temperature;
      probe.period_ms = 1000;
      start.devices.push_back({proto::Role::pan, probe});
    }
  }

  void add_fine_scale() {
    proto::DeviceDescription fine;
    fine.id = "test:fine";
    fine.interval_ug = 100'000;
    fine.capacity_ug = 500'000'000;
    fine.period_ms = 100;
    start.devices.push_back({proto::Role::fine, fine});
  }
  std::uint16_t fine_device() const { return static_cast<std::uint16_t>(start.devices.size() - 1); }
  // From here on the cook works on the fine scale; the other one keeps what lies on it.
  void use_fine_scale() {
    others_g_ = load_g_;
    load_g_ = shown_g_ = zero_g_ = 0;
    on_fine_ = true;
    wait(3);
  }

  void begin() {
    const auto read = formula::read(start.formula_text, start.formula_file);
    ASSERT_TRUE(read.has_value()) << proto::line(read.error().front());
    const auto made =
        plan::make(*read, start.request, {start.devices, start.settings, start.facts});
    ASSERT_TRUE(made.has_value()) << proto::line(made.error().front());
    start.plan = *made;
    give(start);
    wait(3);
  }

  // ---- the cook ----
  void put(double grams) { load_g_ += grams, wait(8); }
  void pour(double grams, double grams_a_second = 30) {
    const double end_g = load_g_ + grams;
    while (load_g_ < end_g - 1e-9) {
      load_g_ = std::min(end_g, load_g_ + grams_a_second / 10);
      tick();
    }
    wait(6);
  }
  void pour_without_rest(double grams, double grams_a_second = 30) {
    const double end_g = load_g_ + grams;
    while (load_g_ < end_g - 1e-9) {
      load_g_ = std::min(end_g, load_g_ + grams_a_second / 10);
      tick();
    }
  }
  // So much more on the pan for one reading.
  void shake(double grams) {
    load_g_ += grams;
    tick();
    load_g_ -= grams;
  }
  // Laid on the pan for so long, and off again.
  void put_for(double grams, double seconds) {
    load_g_ += grams;
    wait(seconds);
    load_g_ -= grams;
    wait(6);
  }
  void slide(double grams, double grams_a_second) {
    for (double left = grams; left > 0; left -= grams_a_second / 10) {
      load_g_ += grams_a_second / 10;
      tick();
    }
  }
  void take_out(double grams) { load_g_ -= grams, wait(6); }
  // Without waiting until the scale is quiet again.
  void take_out_quickly(double grams) { load_g_ -= grams, wait(2.9); }
  void empty_pan() { load_g_ = 0, wait(4); }
  void lift() {
    const double load_g = load_g_;
    empty_pan();
    put(load_g);
  }
  void lift_and_pour_out(double grams) {
    const double load_g = load_g_;
    empty_pan();
    put(load_g - grams);
  }
  // A firm press of the hand on the pan, and time for the scale to come to rest.
  void press(double grams = 700, double seconds = 0.5) {
    load_g_ += grams;
    wait(seconds);
    load_g_ -= grams;
    wait(1.5);
  }
  void wait_in_silence(double seconds) {
    silent_ = true;
    wait(seconds);
    silent_ = false;
  }
  void wait(double seconds) {
    for (double left = seconds; left > 1e-9; left -= 0.1) tick();
  }
  // Only the engine's own timers, no reading: a night, a day.
  void hours(double hours) {
    const std::int64_t end_ms = now_ms + std::llround(hours * 3'600'000);
    while (engine.deadline_ms() && *engine.deadline_ms() <= end_ms) {
      now_ms = std::max(now_ms, *engine.deadline_ms());
      give(proto::Timer{"deadline"});
    }
    now_ms = end_ms;
  }
  void jars(const proto::JarWord& word) {
    const auto trouble = engine.refuses(word);
    ASSERT_FALSE(trouble.has_value()) << word.what << ": " << trouble->what;
    give(word);
  }
  // A pot heated at a steady rate up to `top_c`, for so long.
  void heat(double seconds, double top_c, double kelvin_a_second = 0.5) {
    for (double left = seconds; left > 1e-9; left -= 1) {
      pan_c_ = pan_c_ < top_c ? std::min(top_c, pan_c_ + kelvin_a_second)
                              : std::max(top_c, pan_c_ - kelvin_a_second);
      wait(1);
      send(1, std::llround(pan_c_ * 10), proto::Unit::celsius, proto::Quantity::temperature, 0);
    }
  }
  void say(const std::string& word, const std::string& text = {}) {
    if (word == "ok") wait(1);  // nobody answers before the step is heard
    const proto::Command command{word, text};
    const auto trouble = engine.refuses(command, now_ms);
    ASSERT_FALSE(trouble.has_value()) << word << ": " << trouble->what;
    give(command);
  }
  // What the engine says against it; empty where it would take it.
  std::string refusal(const std::string& word, const std::string& text = {}) const {
    const auto trouble = engine.refuses(proto::Command{word, text}, now_ms);
    return trouble ? trouble->what : "";
  }

  // ---- the machine ----
  void give(const proto::Input& input) { keep(engine.input(now_ms, input)); }
  void scale_lost(double seconds, double poured_g = 0) {
    give(proto::DeviceEvent{0, "lost", "unplugged"});
    silent_ = true;
    wait(seconds);
    load_g_ += poured_g;
    zero_g_ = load_g_;
    shown_g_ = load_g_;
    silent_ = false;
    give(proto::DeviceEvent{0, "back", ""});
    wait(6);
  }
  void fault(double seconds) {
    for (double left = seconds; left > 1e-9; left -= 0.1) {
      now_ms += 100;
      send(0, 0, proto::Unit::g, proto::Quantity::mass, proto::state::fault);
    }
  }
  void zero_key() {
    zero_g_ = load_g_;
    shown_g_ = load_g_;
    wait(6);
  }
  void send(std::uint16_t device, std::int64_t digits, proto::Unit unit, proto::Quantity quantity,
            std::uint16_t state, std::int8_t exponent = 0) {
    proto::Reading reading;
    reading.number = ++number_;
    reading.at_ms = now_ms;
    reading.digits = digits;
    reading.exponent = quantity == proto::Quantity::temperature ? -1 : exponent;
    reading.device = device;
    reading.unit = unit;
    reading.quantity = quantity;
    reading.state = state;
    keep(engine.reading(reading));
  }

  // ---- what was said ----
  template <class T>
  std::vector<T> all() const {
    std::vector<T> found;
    for (const auto& outcome : outcomes) {
      if (const auto* one = std::get_if<T>(&outcome)) found.push_back(*one);
    }
    return found;
  }
  int cues(const std::string& id) const {
    int n = 0;
    for (const auto& cue : all<proto::Cue>()) n += cue.id == id ? 1 : 0;
    return n;
  }
  std::string verdict(const std::string& ingredient) const {
    std::string last = "none";
    for (const auto& verdict : all<proto::Verdict>()) {
      if (verdict.ingredient == ingredient) last = verdict.verdict;
    }
    return last;
  }
  double weighed_g(const std::string& ingredient) const {
    double last = -1;
    for (const auto& weighing : all<proto::Weighing>()) {
      if (weighing.ingredient == ingredient) last = static_cast<double>(weighing.net_ug) / 1e6;
    }
    return last;
  }
  proto::PlannedIngredient planned(const std::string& ingredient) const {
    proto::Plan plan = start.plan;
    for (const auto& final : all<proto::PlanFinal>()) plan = final.plan;
    for (const auto& one : plan.ingredients) {
      if (one.name == ingredient) return one;
    }
    return {};
  }
  double aim_g(const std::string& ingredient) const {
    return static_cast<double>(planned(ingredient).aim_ug) / 1e6;
  }
  bool by_measure(const std::string& ingredient) const {
    return planned(ingredient).check != "weigh";
  }
  std::string waits_for() const { return engine.status().ingredient; }
  std::string state() const { return engine.status().state; }

  proto::Start start;
  Engine engine;
  std::vector<proto::Outcome> outcomes;
  std::int64_t now_ms = 1000;

 private:
  void tick() {
    now_ms += 100;
    while (engine.deadline_ms() && *engine.deadline_ms() < now_ms) {
      keep(engine.input(*engine.deadline_ms(), proto::Timer{"deadline"}));
    }
    shown_g_ += (load_g_ - shown_g_) * (1 - std::exp(-0.1 / 0.3));
    if (silent_) return;
    const double shown_g = shown_g_ - zero_g_;
    if (on_fine_) {
      send(0, std::llround(others_g_ / interval_g_), proto::Unit::g, proto::Quantity::mass, 0);
      send(fine_device(), std::llround(shown_g * 10), proto::Unit::g, proto::Quantity::mass, 0, -1);
    } else {
      send(0, static_cast<std::int64_t>(std::floor(shown_g / interval_g_ + 0.5)), proto::Unit::g,
           proto::Quantity::mass, 0);
    }
  }
  void keep(std::span<const proto::Outcome> more) {
    outcomes.insert(outcomes.end(), more.begin(), more.end());
  }

  double interval_g_;
  double load_g_ = 0;
  double shown_g_ = 0;
  double zero_g_ = 0;
  double pan_c_ = 20;
  double others_g_ = 0;  // on the bench scale while the fine one is used
  bool on_fine_ = false;
  bool silent_ = false;
  std::uint64_t number_ = 0;
};

}  // namespace maslin::batch
