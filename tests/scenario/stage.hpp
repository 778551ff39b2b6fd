// A whole batch in-process: the simulated kitchen on one side, the engine on the other, nothing
// between. The engine sees readings and words; the kitchen hears cues. Used by every scenario test.
#pragma once

#include <gtest/gtest.h>

#include <fstream>
#include <iterator>
#include <map>
#include <string>
#include <vector>

#include "daemon/batch/engine.hpp"
#include "daemon/formula/read.hpp"
#include "daemon/plan/plan.hpp"
#include "plugins/kitchen/world.hpp"

namespace maslin::scenario {

inline std::string file_text(const std::string& name) {
  std::ifstream file(std::string(MASLIN_SOURCE_DIR) + "/" + name);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

// When an outcome was said, and how the load stood then.
struct Said {
  std::int64_t at_ms = 0;
  std::int64_t still_since_ms = 0;
  proto::Outcome outcome;
};

class Stage final : public kitchen::Sink {
 public:
  Stage(const kitchen::Scenario& scenario, const std::string& formula_text, double altitude_m = 12)
      : scenario_(scenario), world_(scenario) {
    proto::Start start;
    start.batch = "scenario";
    start.formula_text = formula_text;
    start.formula_file = "formula.toml";
    start.settings.altitude_m = altitude_m;
    start.settings.scale_lag_s = scenario.scale.lag_s;
    proto::DeviceDescription scale;
    scale.id = "kitchen:scale:1";
    scale.interval_ug = std::llround(scenario.scale.interval_g * 1e6);
    scale.capacity_ug = std::llround(scenario.scale.capacity_g * 1e6);
    scale.period_ms = std::llround(1000 / scenario.scale.rate_hz);
    proto::DeviceDescription probe;
    probe.id = "kitchen:probe:1";
    probe.quantity = proto::Quantity::temperature;
    proto::DeviceDescription pedal;
    pedal.id = "kitchen:pedal:1";
    pedal.quantity = proto::Quantity::press;
    start.devices = {
        {proto::Role::bench, scale}, {proto::Role::pan, probe}, {proto::Role::pedal, pedal}};
    const auto formula = formula::read(formula_text, start.formula_file);
    EXPECT_TRUE(formula.has_value()) << (formula ? "" : proto::line(formula.error().front()));
    if (!formula) return;
    const auto plan = plan::make(*formula, start.request, {start.devices, start.settings, {}});
    EXPECT_TRUE(plan.has_value()) << (plan ? "" : proto::line(plan.error().front()));
    if (!plan) return;
    start.plan = *plan;
    take(engine.input(0, start));
  }

  // Until the batch has ended or so much simulated time is over.
  void run(double longest_s) {
    const auto end_ms = static_cast<std::int64_t>(longest_s * 1000);
    while (!engine.ended() && world_.next_ms() <= end_ms) {
      const std::int64_t at_ms = world_.next_ms();
      watch_silence(at_ms);
      while (engine.deadline_ms() && *engine.deadline_ms() < at_ms) {
        take(engine.input(*engine.deadline_ms(), proto::Timer{"deadline"}));
      }
      world_.advance(at_ms, *this);
    }
  }

  void scale_reading(std::int64_t at_ms, std::int64_t intervals, bool over) override {
    scale_ms_ = at_ms;
    if (std::exchange(silent_, false)) take(engine.input(at_ms, proto::DeviceEvent{0, "back", ""}));
    // Tenths of a gram, so that every interval from 0.1 g up is whole.
    const auto tenths =
        std::llround(static_cast<double>(intervals) * scenario_.scale.interval_g * 10);
    read(at_ms, 0, tenths, -1, proto::Unit::g, proto::Quantity::mass,
         over ? proto::state::over : 0);
  }
  void scale_there(std::int64_t at_ms, bool there) override {
    silent_ = !there;
    scale_ms_ = at_ms;
    take(engine.input(at_ms,
                      proto::DeviceEvent{0, there ? "back" : "lost", there ? "" : "unplugged"}));
  }
  void probe_reading(std::int64_t at_ms, std::int64_t tenths_c) override {
    read(at_ms, 1, tenths_c, -1, proto::Unit::celsius, proto::Quantity::temperature, 0);
  }
  void canner_reading(std::int64_t, std::int64_t) override {}
  void pedal(std::int64_t at_ms, std::int64_t presses) override {
    read(at_ms, 2, presses, 0, proto::Unit::count, proto::Quantity::press, 0);
  }

  template <class T>
  std::vector<T> all() const {
    std::vector<T> found;
    for (const auto& one : said) {
      if (const auto* body = std::get_if<T>(&one.outcome)) found.push_back(*body);
    }
    return found;
  }
  // The last weighing of each ingredient.
  std::map<std::string, proto::Weighing> weighings() const {
    std::map<std::string, proto::Weighing> last;
    for (const auto& weighing : all<proto::Weighing>()) last[weighing.ingredient] = weighing;
    return last;
  }
  double truth_g(const std::string& ingredient) const {
    for (const auto& one : world_.truth()) {
      if (one.ingredient == ingredient) return one.grams;
    }
    return 0;
  }

  batch::Engine engine;
  std::vector<Said> said;

 private:
  void read(std::int64_t at_ms, std::uint16_t device, std::int64_t digits, std::int8_t exponent,
            proto::Unit unit, proto::Quantity quantity, std::uint16_t state) {
    proto::Reading reading;
    reading.number = ++number_;
    reading.at_ms = at_ms;
    reading.digits = digits;
    reading.device = device;
    reading.state = state;
    reading.exponent = exponent;
    reading.unit = unit;
    reading.quantity = quantity;
    take(engine.reading(reading));
  }
  void take(std::span<const proto::Outcome> outcomes) {
    const std::vector<proto::Outcome> kept(outcomes.begin(), outcomes.end());
    for (const auto& outcome : kept) {
      if (const auto* cue = std::get_if<proto::Cue>(&outcome)) {
        world_.hear({engine.now_ms(), cue->id, cue->text, cue->ingredient,
                     static_cast<double>(cue->amount_ug) / 1e6});
      }
      said.push_back({engine.now_ms(), world_.last_change_ms(), outcome});
    }
  }

  // What the session does: a scale that sends at a period and then does not is silent, and back
  // when it does.
  void watch_silence(std::int64_t at_ms) {
    if (silent_ || at_ms - scale_ms_ < 3000) return;
    silent_ = true;
    take(engine.input(scale_ms_ + 3000, proto::DeviceEvent{0, "silent", "no reading for 3 s"}));
  }

  kitchen::Scenario scenario_;
  kitchen::World world_;
  std::int64_t scale_ms_ = 0;  // of its last reading or return
  bool silent_ = false;        // or unplugged
  std::uint64_t number_ = 0;
};

}  // namespace maslin::scenario
