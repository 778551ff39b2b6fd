// A water bath in-process: a simulated canner with a thermometer and a cook on one side, the engine
// on the other. The engine sees readings and words; the true temperature of the water only the
// tally knows. Used by bath_truth_test.
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

// What happens to the burner. short_of_boil: turned down before the boil is there, for a while.
enum class Burner { steady, out, turned_down, short_of_boil };

struct CannerTrial {
  std::uint64_t seed = 0;
  double altitude_m = 0;
  kitchen::CannerModel canner;
  kitchen::ProbeModel probe;
  double boils_over_k = 0;  // the water's boil over the one that the altitude gives: depth, weather
  double load_below_k = 0;  // jars go in so far under the boil; 0: at the boil
  Burner burner = Burner::steady;
  double stands_below_k = 0;  // short_of_boil: where the water would come to rest
  double share = 0;           // of the burner's power meanwhile
  double after_s = 0;         // after the boil came back
  double for_s = 0;
  int minutes = 10;

  double boils_at_c() const { return canner.pot.boils_at_c; }
  // How far under its boil the water may be while the probe shows what the rule takes for a boil:
  // half a kelvin under the computed point, made more or less by what the probe shows too much and
  // by how much hotter this water boils.
  double start_allowance_k() const { return 0.5 + probe.offset_k + boils_over_k; }
};

inline CannerTrial draw_canner(std::uint64_t seed) {
  kitchen::Chance chance(seed, 31);
  const auto between = [&](double least, double most) {
    return least + (most - least) * chance.uniform();
  };
  CannerTrial t;
  t.seed = seed;
  t.altitude_m = between(0, 3000);
  const double litres = between(1, 12);
  t.boils_over_k = between(0, 0.8) + between(-0.3, 0.3);  // depth; weather
  const auto point_mk = preserving::boiling_point_mk(t.altitude_m);
  auto& pot = t.canner.pot;
  pot.heat_capacity_j_gk = 4.19;
  pot.boils_at_c =
      static_cast<double>(point_mk.value_or(373'150) - 273'150) / 1000 + t.boils_over_k;
  pot.power_w = between(800, 3000);
  t.canner.water_g = litres * 1000;
  t.canner.lid_loses = between(0.5, 1);
  // With the burner out nine litres fall 0.5 to 1.1 K a minute (calculated, practice); smaller
  // canners have less surface. No cook takes a burner that cannot boil the water.
  const double over_room_k = pot.boils_at_c - pot.room_c;
  pot.loss_w_per_k = std::min(between(4, 9) * std::pow(litres / 9, 2.0 / 3) / t.canner.lid_loses,
                              pot.power_w / (1.15 * over_room_k * t.canner.lid_loses));
  const double jars = std::max(1.0, std::floor(litres / 1.5));
  t.canner.jars_c = between(60, 88);
  t.canner.jars_j_per_k = jars * between(800, 2000);
  t.canner.jars_w_per_k = jars * between(5, 12);
  t.probe.lag_s = between(2, 20);
  t.probe.offset_k = between(-0.7, 0.7);
  t.probe.noise_k = between(0.01, 0.08);
  t.probe.resolution_k = chance.uniform() < 0.5 ? 0.1 : 0.0625;
  t.probe.period_s = chance.uniform() < 0.5 ? 1 : 2;
  t.load_below_k = chance.uniform() < 0.4 ? 0 : between(0, 8);
  const double kind = chance.uniform();
  const double lost_w = pot.loss_w_per_k * t.canner.lid_loses * over_room_k;
  t.after_s = between(20, 560);
  t.for_s = between(20, 400);
  if (kind < 0.3) {
    t.burner = Burner::out;
  } else if (kind < 0.55) {
    t.burner = Burner::turned_down;
    t.for_s *= 2;
    t.share = between(0.2, 0.98) * lost_w / pot.power_w;
  } else if (kind < 0.7) {
    t.burner = Burner::short_of_boil;
    t.stands_below_k = between(0.3, 3);
    t.share = lost_w / pot.power_w * (over_room_k - t.stands_below_k) / over_room_k;
    t.load_below_k = t.stands_below_k + 1;
    t.canner.jars_c = pot.boils_at_c - t.load_below_k;  // hot jars: nothing else moves it
    t.for_s = 1800;
  }
  return t;
}

// What came of it, by the true temperature. Credited is the span from the last begin of the time to
// its end, which is all that counts for the jars.
struct CannerTally {
  bool done = false;
  bool asked_first = false;  // the first begin was by the cook's word
  int restarts = 0;          // the boil was told to be lost
  int false_restarts = 0;    // with the water at its boil ever since the time began
  double credited_s = 0;
  double under_s = 0;  // credited though more than 0.3 K under the true boil
  double worst_under_k = 0;
  double beyond_s = 0;  // of under_s, what neither the rule nor bias and lag of the probe explain
  double hours_at_boil = 0;
  std::optional<double> start_delay_s;  // from the true boil to a measured begin
  std::optional<double> asked_delay_s;  // to a begin by the cook's word
  std::vector<double> lost_delays_s;    // from 0.3 K under the boil to "boil lost"
};

class CannerStage {
 public:
  CannerStage(const CannerTrial& trial)
      : trial_(trial),
        canner_(trial.canner),
        probe_(trial.probe, trial.canner.pot.room_c, kitchen::Chance(trial.seed, 32)) {
    proto::DeviceDescription probe;
    probe.id = "kitchen:canner:1";
    probe.quantity = proto::Quantity::temperature;
    probe.period_ms = std::llround(trial.probe.period_s * 1000);
    proto::Start start;
    start.batch = "scenario";
    start.formula_text = formula();
    start.formula_file = "formula.toml";
    start.settings.altitude_m = trial.altitude_m;
    start.devices = {{proto::Role::canner, probe}};
    const auto read = formula::read(start.formula_text, start.formula_file);
    EXPECT_TRUE(read.has_value()) << (read ? "" : proto::line(read.error().front()));
    if (!read) return;
    const auto plan = plan::make(*read, start.request, {start.devices, start.settings, {}});
    EXPECT_TRUE(plan.has_value()) << (plan ? "" : proto::line(plan.error().front()));
    if (!plan) return;
    start.plan = *plan;
    take(engine_.input(0, start));
    // No scale: the vinegar is taken by measure.
    while (engine_.status().phase != "water bath" && ++now_s_ < 30) say_ok();
    EXPECT_EQ(engine_.status().phase, "water bath");
  }

  CannerTally run() {
    const std::int64_t longest_s = 6 * 3600 + trial_.minutes * 60;
    while (!tally_.done && now_s_ < longest_s) step();
    return tally_;
  }

 private:
  std::string formula() const {
    char text[800];
    std::snprintf(text, sizeof text,
                  "name = \"Lantern vinegar\"\nstatus = \"tested\"\n"
                  "source = \"invented for this test\"\nkeeping = \"shelf\"\njars = 2\n"
                  "jar = \"250 mL\"\n[[ingredient]]\nname = \"cider vinegar\"\n"
                  "amount = \"2 cups\"\ncounts_as = \"acid\"\nband = \"10 %%\"\n"
                  "[[operation]]\nkind = \"weigh\"\n"
                  "[[operation]]\nkind = \"water bath\"\ntext = \"Jars into the water bath.\"\n"
                  "rows = [\"%d min to 10000 ft\"]\n[[operation]]\nkind = \"cool\"\n"
                  "time = \"12 h\"\n[[operation]]\nkind = \"seal check\"\n",
                  trial_.minutes);
    return text;
  }
  double under_k() const { return trial_.boils_at_c() - canner_.water().temperature_c(); }
  bool at_boil() const { return under_k() <= 0.02; }

  void step() {
    ++now_s_;
    tend_burner();
    tend_jars();
    canner_.advance(1);
    probe_.advance(1, canner_.water().temperature_c());
    if (!at_boil())
      boil_since_s_.reset();
    else if (!boil_since_s_)
      boil_since_s_ = now_s_;
    if (loaded_s_ && boil_since_s_ && !back_s_) back_s_ = now_s_;
    if (timed_ && at_boil()) tally_.hours_at_boil += 1.0 / 3600;
    if (under_k() <= 0.3)
      under_since_s_.reset();
    else if (!under_since_s_)
      under_since_s_ = now_s_;
    count();
    const auto now_ms = now_s_ * 1000;
    while (engine_.deadline_ms() && *engine_.deadline_ms() < now_ms) {
      take(engine_.input(*engine_.deadline_ms(), proto::Timer{"deadline"}));
    }
    if (now_s_ % static_cast<std::int64_t>(trial_.probe.period_s) == 0) send();
    // Asked once, the cook looks until it boils.
    if (answer_s_ && now_s_ >= *answer_s_ && at_boil()) {
      answer_s_.reset();
      say_ok();
    }
  }
  void tend_burner() {
    double share = 1;
    const double away_k = under_k();
    if (trial_.burner == Burner::short_of_boil) {
      if (!down_s_ && away_k <= trial_.stands_below_k + 0.05) down_s_ = now_s_;
    } else if (trial_.burner != Burner::steady && back_s_ && !down_s_ &&
               static_cast<double>(now_s_ - *back_s_) >= trial_.after_s) {
      down_s_ = now_s_;
    }
    if (down_s_ && static_cast<double>(now_s_ - *down_s_) < trial_.for_s) share = trial_.share;
    canner_.burner(share);
  }
  void tend_jars() {
    if (!loaded_s_) {
      const bool hot = trial_.load_below_k > 0 ? under_k() <= trial_.load_below_k
                                               : boil_since_s_ && now_s_ - *boil_since_s_ >= 60;
      if (!hot) return;
      canner_.load_jars();
      loaded_s_ = now_s_;
    } else if (now_s_ == *loaded_s_ + 10) {
      say_ok();
    }
  }
  void say_ok() {
    const proto::Command ok{"ok", ""};
    if (!engine_.refuses(ok, now_s_ * 1000)) take(engine_.input(now_s_ * 1000, ok));
  }
  void send() {
    proto::Reading reading;
    reading.number = ++number_;
    reading.at_ms = now_s_ * 1000;
    reading.digits = probe_.steps() * std::llround(trial_.probe.resolution_k * 10'000);
    reading.exponent = -4;
    reading.unit = proto::Unit::celsius;
    reading.quantity = proto::Quantity::temperature;
    take(engine_.reading(reading));
  }
  // One second of the time that runs; a restart throws all of them away.
  void count() {
    if (!timed_) return;
    tally_.credited_s += 1;
    steady_ = steady_ && at_boil();
    boiled_ = boiled_ || at_boil();
    if (under_k() <= 0.3) return;
    tally_.under_s += 1;
    tally_.worst_under_k = std::max(tally_.worst_under_k, under_k());
    const double tip_under_k = trial_.boils_at_c() - probe_.tip_c();
    const double allowed_k =
        std::max(fall_k, boiled_ ? 0 : trial_.start_allowance_k()) + probe_noise_k;
    if (tip_under_k > allowed_k) tally_.beyond_s += 1;
  }
  void take(std::span<const proto::Outcome> outcomes) {
    const std::vector<proto::Outcome> kept(outcomes.begin(), outcomes.end());
    for (const auto& outcome : kept) {
      if (const auto* cue = std::get_if<proto::Cue>(&outcome); cue && cue->id == "boil_asked") {
        answer_s_ = now_s_ + 8;
      }
      if (const auto* said = std::get_if<proto::Condition>(&outcome)) take(*said);
    }
  }
  void take(const proto::Condition& said) {
    const bool measured = said.evidence == "measured";
    if (said.what == "water bath began") {
      timed_ = true;
      began_s_ = now_s_;
      boiled_ = at_boil();
      tally_.credited_s = tally_.under_s = tally_.worst_under_k = 0;
      tally_.beyond_s = 0;
      steady_ = boiled_;
      if (boil_since_s_) {
        const auto delay_s =
            static_cast<double>(now_s_ - std::max(*boil_since_s_, loaded_s_.value_or(0)));
        (measured ? tally_.start_delay_s : tally_.asked_delay_s) = delay_s;
      }
      if (begins_++ == 0) tally_.asked_first = !measured;
    } else if (said.what == "boil lost") {
      timed_ = false;
      ++tally_.restarts;
      if (under_since_s_) {
        tally_.lost_delays_s.push_back(
            static_cast<double>(now_s_ - std::max(*under_since_s_, began_s_)));
      } else if (steady_) {
        ++tally_.false_restarts;
      }
    } else if (said.what == "water bath done") {
      timed_ = false;
      tally_.done = true;
    }
  }

  static constexpr double fall_k = 0.4;         // the rule's depth of a fall
  static constexpr double probe_noise_k = 0.2;  // and a step of the probe on top

  CannerTrial trial_;
  kitchen::Canner canner_;
  kitchen::Probe probe_;
  batch::Engine engine_;
  CannerTally tally_;
  std::int64_t now_s_ = 0;
  std::uint64_t number_ = 0;
  std::int64_t began_s_ = 0;
  std::optional<std::int64_t> loaded_s_;
  std::optional<std::int64_t> back_s_;  // the boil, after loading
  std::optional<std::int64_t> down_s_;  // the burner
  std::optional<std::int64_t> boil_since_s_;
  std::optional<std::int64_t> under_since_s_;
  std::optional<std::int64_t> answer_s_;
  bool timed_ = false;
  bool boiled_ = false;  // since the time began
  bool steady_ = false;  // at the boil ever since the time began
  int begins_ = 0;
};

}  // namespace maslin::scenario
