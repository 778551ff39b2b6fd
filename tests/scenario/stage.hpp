// A whole evening in-process: the simulated kitchen on one side, the engine on the other, and
// between them what the session does: silence, timers, restarts, a machine that sleeps. The engine
// sees readings and words; the kitchen hears cues; what truly happened only the test compares. Used
// by every scenario test.
#pragma once

#include <gtest/gtest.h>

#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "daemon/batch/engine.hpp"
#include "plugins/kitchen/world.hpp"

namespace maslin::scenario {

std::string file_text(const std::string& name);  // of the project
kitchen::Scenario kitchen_of(const std::string& toml);

// What an evening begins with. A device that the kitchen has and the batch does not is not heard;
// without a pedal the cook's presses are words, `maslin ok`.
struct Setting {
  kitchen::Scenario kitchen;
  std::string formula;
  std::optional<double> altitude_m = 12;
  bool scale = true;
  bool pan = true;
  bool canner = true;  // where the kitchen has one
  std::optional<proto::ProbeCalibration> canner_probe = {};
  bool room = true;  // where the kitchen has one
  std::optional<proto::ProbeCalibration> room_probe = {};
  bool pedal = true;
  proto::Facts facts = {};
  proto::PlanRequest request = {};
  double starts_h = 19;  // local time of the day
};

// When an outcome was said, and how the load stood then.
struct Said {
  std::int64_t at_ms = 0;
  std::int64_t still_since_ms = 0;
  proto::Outcome outcome;
};

// The water bath by the true temperature of its water: of the time that counted in the end, how
// much there was, how much of it at the boil (less than half a kelvin under it), how far under.
struct TrueBath {
  double credited_s = 0;
  double boiled_s = 0;
  double worst_under_k = 0;
};

class Stage final : public kitchen::Sink {
 public:
  explicit Stage(const Setting& setting);
  ~Stage() override;

  // Until the batch has ended, `until` says so, or so much simulated time is over.
  void run(double longest_s, const std::function<bool()>& until = {});
  // Until so long after the operation of that kind began for the first time.
  void run_to(const std::string& phase, double after_s = 0);
  bool ended() const { return engine_->ended(); }

  // What happens: `what` is done at that time, or so long after the operation of that kind first
  // began, or after that cue was first said with those words.
  void at(double seconds, std::function<void()> what);
  void when(const std::string& phase, double after_s, std::function<void()> what);
  void on_cue(const std::string& id, const std::string& words, double after_s,
              std::function<void()> what);

  // Words and inputs, now. Empty where the engine took it, else what it said against it.
  std::string say(const std::string& word, const std::string& text = {});
  void give(const proto::Input& input);
  // Killed, and up again so much later: what was not on disk is gone, the record is folded again.
  void restart(double gap_s, bool same_boot = true);
  void power_cut(double gap_s) { restart(gap_s, false); }
  void sleep(double gap_s);  // the machine
  // A device sends nothing for a while; shows one value, or so much more than is true; the two
  // thermometers stand in each other's pot.
  void drop(proto::Role role, double for_s);
  void stick(proto::Role role, double celsius, double for_s);
  void shift(double kelvin, proto::Role role);
  void send_fahrenheit(proto::Role role);  // and call it Celsius
  void swap_probes() { swapped_ = !swapped_; }

  const batch::Engine& engine() const { return *engine_; }
  proto::BatchStatus status() const { return engine_->status(); }
  const proto::Plan& plan() const { return plan_; }
  const std::string& refused() const { return refused_; }  // why there is no plan
  kitchen::World& world() { return world_; }
  double now_s() const { return static_cast<double>(now_ms_) / 1000; }
  std::uint64_t readings() const { return number_; }  // that have a place in the record

  // ---- what was said and recorded
  const std::vector<Said>& said() const { return said_; }
  template <class T>
  std::vector<T> all() const {
    std::vector<T> found;
    for (const auto& one : said_) {
      if (const auto* body = std::get_if<T>(&one.outcome)) found.push_back(*body);
    }
    return found;
  }
  // The cues of that id (all where it is empty) with those words, in order.
  std::vector<proto::Cue> told(std::string_view id, std::string_view words = {}) const;
  std::vector<proto::Condition> conditions(std::string_view what) const;
  // Seconds at which it was first told; -1: never.
  double told_s(std::string_view id, std::string_view words = {}) const;
  double began_s(std::string_view phase) const;
  double condition_s(std::string_view what) const;
  bool deviation(std::string_view about, std::string_view what = {}) const;
  // Everything that was said, for a message.
  std::string diary() const;

  std::map<std::string, proto::Weighing> weighings() const;  // the last of each ingredient
  double truth_g(const std::string& ingredient) const;
  TrueBath true_bath() const;
  // The inputs folded once more: "" where all is said again, else where it differs first.
  std::string folds_differently() const;

  void scale_reading(std::int64_t at_ms, std::int64_t intervals, bool over) override;
  void fine_reading(std::int64_t at_ms, std::int64_t intervals, bool over) override;
  void scale_there(std::int64_t at_ms, bool there) override;
  void probe_reading(std::int64_t at_ms, std::int64_t tenths_c) override;
  void canner_reading(std::int64_t at_ms, std::int64_t tenths_c) override;
  void room_reading(std::int64_t at_ms, std::int64_t tenths_c) override;
  void pedal(std::int64_t at_ms, std::int64_t presses) override;

 private:
  // A device of the batch, as the session holds it.
  struct Lease {
    proto::Role role = proto::Role::none;
    std::int64_t silent_after_ms = 0;  // 0: it sends only when something changes
    std::int64_t last_ms = 0;
    bool away = false;
    std::int64_t dropped_until_ms = 0;
    std::int64_t stuck_until_ms = 0;
    std::int64_t stuck_tenths = 0;
    std::int64_t more_tenths = 0;
    bool fahrenheit = false;
  };
  struct Fed {
    std::int64_t at_ms = 0;
    std::size_t said = 0;  // how much of said_ there was before
    proto::Reading reading;
    std::shared_ptr<const proto::Input> input;  // instead; an input is large, and rare
  };
  struct Awaited {
    std::string phase;  // or
    std::string cue;
    std::string words;
    double after_s = 0;
    std::function<void()> what;
  };

  void lease(proto::Role role, proto::DeviceDescription description, proto::Start& start);
  Lease* lease(proto::Role role);
  std::int64_t next_timer_ms() const;
  void fire(std::int64_t at_ms);
  void heat_reading(std::int64_t at_ms, proto::Role role, std::int64_t tenths_c);
  void read(std::int64_t at_ms, proto::Role role, std::int64_t digits, std::int8_t exponent,
            proto::Unit unit, proto::Quantity quantity, std::uint16_t state);
  void feed(std::int64_t at_ms, const proto::Input& input);
  void take(std::span<const proto::Outcome> outcomes);
  void look_out_for(const proto::Outcome& outcome);
  void fall_deaf(double gap_s, std::function<proto::Input()> wake);
  std::string fold(batch::Engine& engine) const;

  Setting setting_;
  kitchen::World world_;
  std::unique_ptr<batch::Engine> engine_;
  proto::Plan plan_;
  std::string refused_;
  std::vector<Lease> leases_;  // in the order of the batch's devices
  std::vector<Said> said_;
  std::vector<Fed> fed_;
  std::multimap<std::int64_t, std::function<void()>> agenda_;
  std::vector<Awaited> awaited_;
  std::int64_t now_ms_ = 0;
  bool deaf_ = false;  // the daemon is down, or the machine sleeps
  std::uint64_t number_ = 0;
  bool swapped_ = false;
  // The canner's water under its boil, as it truly was.
  struct Under {
    std::int64_t at_ms = 0;
    double kelvin = 0;
  };
  std::vector<Under> under_;
};

}  // namespace maslin::scenario
