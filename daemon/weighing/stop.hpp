// When to say "slow" and "stop" so that the pour ends on its aim: the indication lags, the cue
// takes time, and the cook reacts late. Called by batch/ with every reading of a running pour.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace maslin::weighing {

enum class StopCue : std::uint8_t { none, slow, stop };

// A delay and how well it is known, from so many pours.
struct StopDelay {
  double delay_s = 0;
  double spread_s = 0.35;  // of the first one, from cook to cook (from simulation)
  int pours = 0;
};

// stop when I + Q tau >= aim, with I the net so far, Q the flow, and tau = scale lag + cue delay +
// reaction + half the closing time. What is in the air is not added: the jet presses on the vessel
// with just that weight (steady vertical jet; textbook physics, not measured). tau is learned from
// how pours end: tau += K (end - aim) / Q. A pour that ends further off than three times the spread
// teaches nothing; a second one that is off in the same way does, and then quickly: another cook.
class StopPredictor {
 public:
  explicit StopPredictor(StopDelay delay) : delay_(delay) {}
  // Seconds; the first tau until pours have taught a better one.
  explicit StopPredictor(double first_delay_s) : delay_{first_delay_s} {}

  // A new ingredient or another try at the same one.
  void begin(std::int64_t aim_ug);
  StopCue feed(std::int64_t net_ug, double flow_ug_s);
  // A stop was given, and it runs on at half the flow or more.
  bool runs_on(double flow_ug_s) const;
  // What the pour that came to rest at net_ug teaches: error and spread in seconds; empty where no
  // stop was given for a flow worth the name.
  struct Lesson {
    double error_s;
    double spread_s;
  };
  std::optional<Lesson> ended(std::int64_t net_ug, std::int64_t interval_ug);
  void learn(const Lesson& lesson);

  const StopDelay& delay() const { return delay_; }
  double delay_s() const { return delay_.delay_s; }

 private:
  StopDelay delay_;
  std::optional<double> strange_s_;  // how far off a pour was that taught nothing
  std::int64_t aim_ug_ = 0;
  bool slow_given_ = false;
  std::optional<double> flow_at_stop_ug_s_;
};

// The delays of one kitchen, by ingredient. A new one begins with what all
// pours have taught together.
class PourHabits {
 public:
  explicit PourHabits(double first_delay_s) : all_(first_delay_s) {}

  // What is known from batches before; of: as in learned(), empty for all pours together.
  void know(const std::string& of, StopDelay delay);
  void begin(const std::string& of, std::int64_t aim_ug);
  StopCue feed(std::int64_t net_ug, double flow_ug_s);
  bool runs_on(double flow_ug_s) const { return current_ && by_.at(*current_).runs_on(flow_ug_s); }
  // True where that taught something.
  bool ended(std::int64_t net_ug, std::int64_t interval_ug);

  // By name; the first is of all pours together.
  std::vector<std::pair<std::string, StopDelay>> learned() const;

 private:
  StopPredictor all_;
  std::map<std::string, StopPredictor> by_;
  std::optional<std::string> current_;
};

}  // namespace maslin::weighing
