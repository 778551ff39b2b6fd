// A pan in-process: simulated content, burner and thermometer on one side, the engine and a cook
// who looks on the other. The true temperature only the tally knows. Used by pan_truth_test.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <optional>
#include <string>
#include <vector>

#include "daemon/batch/engine.hpp"
#include "daemon/formula/read.hpp"
#include "daemon/plan/plan.hpp"
#include "daemon/preserving/boiling.hpp"
#include "plugins/kitchen/physics.hpp"

namespace maslin::scenario {

inline constexpr const char* pan_formula = R"(
name = "Quayside trial pan"
status = "own"
invented = true
keeping = "refrigerator"
[[ingredient]]
name = "table salt"
amount = "1 tsp"
counts_as = "salt"
band = "20 %"
[[ingredient]]
name = "sugar"
amount = "2 cups"
counts_as = "sugar"
band = "20 %"
[[operation]]
kind = "weigh"
[[operation]]
kind = "heat"
until = "boil"
[[operation]]
kind = "dwell"
time = "10 min"
while = "boiling"
[[operation]]
kind = "fill"
)";

// So far under its own boil, what is in the pan does not boil any more.
inline constexpr double off_boil_k = 0.3;
// How far the rule of the pan lets it fall (preserving/boil_watch), and what noise and rounding of
// a probe add.
inline constexpr double rule_k = 1.0;
inline constexpr double noise_k = 0.3;

enum class Event { none, cold_addition, burner_out };
// What is wrong with the thermometer besides lag, offset and noise: foam about it makes it read low
// for a while, on the bottom it reads high while the burner is on, it is taken out to stir, it
// slips out for good, or its plug does for some seconds.
enum class Tip { in_the_pan, in_foam, on_the_bottom, out_to_stir, slips_out, unplugged };

struct PanTrial {
  double altitude_m = 0;
  double kilograms = 1;
  double burner_w = 1500;
  double over_water_k = 0;  // of its boil: sugar, weather
  Event event = Event::none;
  Tip tip = Tip::in_the_pan;
  double tip_k = 0;  // how far it reads off there
  double tip_every_s = 0;
  double tip_for_s = 0;
  double after_s = 0;
  double for_s = 0;
  double share = 0;    // of the content that is added cold
  double answers = 1;  // how often the cook, when asked: else no hand is free
  kitchen::PotModel pot;
  kitchen::ProbeModel probe;
};

// Pans of so many kilograms at least, with whatever can be wrong with the thermometer.
inline PanTrial draw_pan(std::uint64_t seed, double least_kg, bool any_tip) {
  kitchen::Chance chance(seed, 41);
  const auto between = [&](double least, double most) {
    return least + (most - least) * chance.uniform();
  };
  PanTrial t;
  t.altitude_m = between(0, 3000);
  t.kilograms = between(least_kg, 12);
  t.over_water_k = between(0, 3) + between(-0.3, 0.3);
  const auto point_mk = preserving::boiling_point_mk(t.altitude_m);
  t.pot.boils_at_c =
      static_cast<double>(point_mk.value_or(373'150) - 273'150) / 1000 + t.over_water_k;
  t.pot.loss_w_per_k = between(3, 6) * std::pow(t.kilograms / 3, 2.0 / 3);
  t.pot.power_w = std::max(between(800, 3000), 1.4 * t.pot.loss_w_per_k * 80);
  t.probe.lag_s = between(2, 20);
  t.probe.offset_k = between(-0.7, 0.7);
  t.probe.noise_k = between(0.01, 0.08);
  t.after_s = between(30, 400);
  t.for_s = between(30, 240);
  t.share = between(0.02, 0.15);
  const double kind = chance.uniform();
  t.event = kind < 0.4 ? Event::none : kind < 0.7 ? Event::cold_addition : Event::burner_out;
  if (!any_tip) return t;
  t.answers = 0.75;
  const double tip = chance.uniform();
  t.tip_every_s = between(90, 240);
  if (tip < 0.15) {
    t.tip = Tip::in_foam;
    t.tip_k = -between(0.5, 2.5);
    t.tip_for_s = between(5, 40);
  } else if (tip < 0.3) {
    t.tip = Tip::on_the_bottom;
    t.tip_k = between(0.3, 2);
  } else if (tip < 0.45) {
    t.tip = Tip::out_to_stir;
    t.tip_for_s = between(3, 15);
  } else if (tip < 0.55) {
    t.tip = Tip::slips_out;
  } else if (tip < 0.65) {
    t.tip = Tip::unplugged;
    t.tip_for_s = between(3, 12);
  }
  // Half of those that nobody watches for a while have something cold put in just then.
  if ((t.tip == Tip::out_to_stir || t.tip == Tip::unplugged) && chance.uniform() < 0.5) {
    t.event = Event::cold_addition;
    t.after_s = t.tip_every_s;
  }
  return t;
}

struct PanTally {
  bool done = false;
  bool found = false;  // the boil by the thermometer
  double delay_s = 0;  // from the true boil to "boil reached"; below 0 too early
  double credited_s = 0;
  double under_s = 0;   // credited off the boil
  double beyond_s = 0;  // of it, further than rule, noise and bias explain, and the lag was over
  int pauses = 0;
  int false_pauses = 0;              // while it boiled
  double boiled_h = 0;               // of the dwell
  std::vector<double> lost_dated_s;  // where the loss was dated to, less when it truly began
  int asked = 0;                     // whether it boils, by words of its own
  int asked_boiling = 0;             // of them while it had boiled all the time
  double uncounted_s = 0;            // boiled while the dwell was under way, and not credited
  std::optional<double> foam_s;      // told so long before it boiled
  int falls = 0;                     // boils lost by their reading
  std::vector<double> warned_s;      // of them told ahead, so long before
  int forecasts = 0;                 // of the boil, every ten seconds on the way there
  int forecasts_held = 0;            // that it came within its interval
};

class PanStage {
 public:
  PanStage(const PanTrial& trial, std::uint64_t seed)
      : trial_(trial),
        pot_(trial.pot),
        probe_(trial.probe, trial.pot.room_c, kitchen::Chance(seed, 42)),
        cook_(seed, 43) {
    proto::DeviceDescription probe;
    probe.id = "kitchen:probe:1";
    probe.quantity = proto::Quantity::temperature;
    probe.period_ms = 1000;
    proto::Start start;
    start.formula_text = pan_formula;
    start.settings.altitude_m = trial.altitude_m;
    start.devices = {{proto::Role::pan, probe}};
    const auto formula = formula::read(pan_formula, "trial.toml");
    const auto plan = plan::make(*formula, {}, {start.devices, start.settings, {}});
    if (plan) start.plan = *plan;
    take(engine_.input(0, start));
    while (engine_.status().phase == "weigh" && ++now_s_ < 30) ok();
    pot_.fill(trial.kilograms * 1000);
    pot_.burner(1);
  }

  PanTally run() {
    while (!tally_.done && now_s_ < 4 * 3600) step();
    for (const auto& one : spans_) {
      tally_.credited_s += one.seconds;
      if (one.under) tally_.under_s += one.seconds;
      if (one.beyond) tally_.beyond_s += one.seconds;
    }
    tally_.uncounted_s =
        std::max(0.0, tally_.boiled_h * 3600 - (tally_.credited_s - tally_.under_s));
    if (tally_.foam_s) *tally_.foam_s = boiled_s_ - *tally_.foam_s;
    for (const auto& [from_s, to_s] : foretold_) {
      ++tally_.forecasts;
      tally_.forecasts_held += boiled_s_ >= from_s && boiled_s_ <= to_s ? 1 : 0;
    }
    return tally_;
  }

 private:
  void ok() {
    if (say("ok")) word_s_ = now_s_;
  }
  bool say(const char* word) {
    const proto::Command command{word, ""};
    if (engine_.refuses(command, now_s_ * 1000)) return false;
    take(engine_.input(now_s_ * 1000, command));
    return true;
  }
  // Whoever is asked looks first, and knows whether it has boiled since the last word.
  void answer() {
    if (!answer_s_ || now_s_ < *answer_s_) return;
    answer_s_.reset();
    const bool boils =
        about_all_the_time_ ? static_cast<double>(word_s_) >= last_off_s_ : pot_.boiling();
    if (boils) {
      ok();
    } else {
      (void)say("no");
    }
  }

  void step() {
    ++now_s_;
    const double event_s = since_dwell_s() - trial_.after_s;
    double taken_w = 0;
    if (trial_.event == Event::cold_addition && event_s >= 0 && event_s < 5) {
      taken_w = trial_.kilograms * 1000 * trial_.share * trial_.pot.heat_capacity_j_gk *
                (pot_.temperature_c() - trial_.pot.room_c) / 5;
    }
    const bool out = trial_.event == Event::burner_out && event_s >= 0 && event_s < trial_.for_s;
    pot_.burner(out ? 0 : 1);
    pot_.advance(1, taken_w);
    advance_tip();
    if (pot_.boils_at_c() - pot_.temperature_c() > off_boil_k) {
      last_off_s_ = static_cast<double>(now_s_);
    }
    if (pot_.boiling())
      off_since_s_ = -1;
    else if (off_since_s_ < 0)
      off_since_s_ = static_cast<double>(now_s_);
    if (dwell_s_ > 0 && pot_.boiling()) tally_.boiled_h += 1.0 / 3600;
    if (pot_.boiling() && boiled_s_ < 0) boiled_s_ = static_cast<double>(now_s_);
    while (engine_.deadline_ms() && *engine_.deadline_ms() <= now_s_ * 1000) {
      take(engine_.input(*engine_.deadline_ms(), proto::Timer{"deadline"}));
    }
    plug();
    if (unplugged_) {
      answer();
      count(engine_.status());
      return;
    }
    proto::Reading reading;
    reading.number = ++number_;
    reading.at_ms = now_s_ * 1000;
    reading.digits = probe_.steps() + std::llround(shifted_k_ / 0.1);
    reading.exponent = -1;
    reading.unit = proto::Unit::celsius;
    reading.quantity = proto::Quantity::temperature;
    const auto before = engine_.status();
    foretell(before);
    take(engine_.reading(reading));
    const auto after = engine_.status();
    // A pan that nobody's thermometer finds at the boil is seen by the cook, who does not hurry.
    if (after.phase == "heat" && pot_.boiling() && static_cast<double>(now_s_) > boiled_s_ + 180)
      ok();
    if (waits_ && pot_.boiling()) ok();
    answer();
    count(engine_.status());
  }

  // What this second has added to the time that counts, or taken off it.
  void count(const proto::BatchStatus& status) {
    const bool counts = status.phase == "dwell" && status.left_ms;
    if (counts && left_ms_) {
      const double counted_s = static_cast<double>(*left_ms_ - *status.left_ms) / 1000;
      credit(counted_s);
      if (paused_now_) dated(counted_s);
    }
    left_ms_ = counts ? status.left_ms : std::nullopt;
    paused_now_ = false;
  }

  // Seconds of the dwell as they were counted, and as some are taken back when a loss is dated.
  void credit(double seconds) {
    for (; seconds < -0.5 && !spans_.empty(); seconds += spans_.back().seconds, spans_.pop_back()) {
    }
    if (seconds <= 0) return;
    const double under_k = pot_.boils_at_c() - pot_.temperature_c();
    under_for_s_ = under_k > off_boil_k ? under_for_s_ + seconds : 0;
    // By the cook's word the pan boiled; what its thermometer shows then is no measure of it.
    const bool beyond =
        under_k > rule_k + noise_k + trial_.over_water_k + std::max(0.0, trial_.probe.offset_k) &&
        under_for_s_ > 3 * trial_.probe.lag_s;
    spans_.push_back({seconds, under_k > off_boil_k, beyond});
  }

  double since_dwell_s() const {
    return dwell_s_ > 0 ? static_cast<double>(now_s_) - dwell_s_ : -1;
  }
  bool tip_now() const {
    return since_dwell_s() > 30 &&
           std::fmod(since_dwell_s(), trial_.tip_every_s) < trial_.tip_for_s;
  }

  // So far the tip shows what the pan has, and what it really stands in.
  void advance_tip() {
    const bool now = tip_now();
    const bool out = (trial_.tip == Tip::out_to_stir && now) ||
                     (trial_.tip == Tip::slips_out && since_dwell_s() > trial_.tip_every_s);
    shifted_k_ = 0;
    if (trial_.tip == Tip::in_foam && now) shifted_k_ = trial_.tip_k;
    if (trial_.tip == Tip::on_the_bottom) shifted_k_ = trial_.tip_k;
    if (out) {
      probe_.cool(1, trial_.pot.room_c);
    } else {
      probe_.advance(1, pot_.temperature_c());
    }
  }

  void plug() {
    const bool out = trial_.tip == Tip::unplugged && tip_now();
    if (out == unplugged_) return;
    unplugged_ = out;
    take(engine_.input(now_s_ * 1000, proto::DeviceEvent{0, out ? "lost" : "back", ""}));
  }

  // The loss was told now and dated back by what was taken off the time.
  void dated(double counted_s) {
    if (off_since_s_ < 0) return;
    const double at_s = static_cast<double>(now_s_) + std::min(0.0, counted_s - 1);
    tally_.lost_dated_s.push_back(at_s - off_since_s_);
  }

  // What the status foretells, held against when it boiled.
  void foretell(const proto::BatchStatus& status) {
    if (now_s_ % 10 != 0 || !status.boil_from_s || !status.boil_to_s || pot_.boiling()) return;
    if (pot_.temperature_c() < trial_.pot.boils_at_c - 30) return;
    foretold_.push_back({static_cast<double>(now_s_) + *status.boil_from_s,
                         static_cast<double>(now_s_) + *status.boil_to_s});
  }

  void take(std::span<const proto::Outcome> outcomes) {
    const std::vector<proto::Outcome> kept(outcomes.begin(), outcomes.end());
    for (const auto& outcome : kept) {
      if (const auto* cue = std::get_if<proto::Cue>(&outcome)) hear(*cue);
      const auto* condition = std::get_if<proto::Condition>(&outcome);
      if (condition == nullptr) continue;
      if (condition->what == "boil reached") {
        tally_.found = condition->evidence == "measured";
        tally_.delay_s = static_cast<double>(now_s_) -
                         (boiled_s_ < 0 ? static_cast<double>(now_s_) + 600 : boiled_s_);
      } else if (condition->what == "dwell began") {
        if (dwell_s_ == 0) dwell_s_ = static_cast<double>(now_s_);
        waits_ = false;
      } else if (condition->what == "dwell paused") {
        ++tally_.pauses;
        answer_s_.reset();
        if (condition->evidence == "measured" && off_since_s_ >= 0) {
          ++tally_.falls;
          if (falling_s_ >= off_since_s_) {
            tally_.warned_s.push_back(static_cast<double>(now_s_) - falling_s_);
          }
        }
        tally_.false_pauses += pot_.boiling() && off_since_s_ < 0 ? 1 : 0;
        paused_now_ = true;
        waits_ = true;
      } else if (condition->what == "dwell done") {
        tally_.done = true;
      }
    }
  }

  void hear(const proto::Cue& cue) {
    if (cue.id == "foam") tally_.foam_s = static_cast<double>(now_s_);
    if (cue.id == "falling") falling_s_ = static_cast<double>(now_s_);
    if (cue.id != "pan_asked") return;
    about_all_the_time_ = cue.text.find("all the time") != std::string::npos;
    ++tally_.asked;
    const double since_s = about_all_the_time_ ? static_cast<double>(word_s_) : last_off_s_;
    tally_.asked_boiling += pot_.boiling() && since_s >= last_off_s_ ? 1 : 0;
    if (cook_.uniform() < trial_.answers) answer_s_ = now_s_ + 8;
  }

  PanTrial trial_;
  kitchen::Pot pot_;
  kitchen::Probe probe_;
  kitchen::Chance cook_;
  batch::Engine engine_;
  PanTally tally_;
  std::int64_t now_s_ = 0;
  std::uint64_t number_ = 0;
  double boiled_s_ = -1;
  double dwell_s_ = 0;
  double under_for_s_ = 0;
  double shifted_k_ = 0;
  bool unplugged_ = false;
  double off_since_s_ = 0;  // not boiling since; below 0: it boils
  bool paused_now_ = false;
  std::optional<std::int64_t> left_ms_;  // of the dwell, a second ago
  std::int64_t word_s_ = 0;
  double last_off_s_ = 0;  // it was last off its boil
  double falling_s_ = -1;  // last told to fall
  std::optional<std::int64_t> answer_s_;
  bool about_all_the_time_ = false;
  struct Span {
    double seconds;
    bool under;
    bool beyond;
  };
  std::vector<Span> spans_;
  struct Foretold {
    double from_s;
    double to_s;
  };
  std::vector<Foretold> foretold_;
  bool waits_ = false;
};

}  // namespace maslin::scenario
