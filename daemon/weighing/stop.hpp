// When to say "slow" and "stop" so that the pour ends on its aim: the indication lags, the cue
// takes time, and the cook reacts late. Called by batch/ with every reading of a running pour.
#pragma once

#include <compare>
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
// teaches nothing; a second one that is off in the same way does, and then quickly: another cook. A
// trickle is stopped when it is there, or in the same way where its flow can be told from noise.
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

// Whose pour of what into which empty vessel; "" and 0 stand for any.
struct PourKey {
  std::string cook;
  std::string ingredient;
  std::int64_t vessel_ug = 0;
  friend auto operator<=>(const PourKey&, const PourKey&) = default;
};

// The delays of one kitchen: of all pours, by cook, by ingredient, by vessel. A pour is stopped by
// the narrowest that is known of it and teaches all four; a new one begins with the next wider. A
// vessel is known again by its mass.
class PourHabits {
 public:
  explicit PourHabits(double first_delay_s) : first_{first_delay_s} {}

  // What is known from batches before.
  void know(const PourKey& key, StopDelay delay);
  void begin(const PourKey& key, std::int64_t aim_ug);
  StopCue feed(std::int64_t net_ug, double flow_ug_s);
  bool runs_on(double flow_ug_s) const;
  // True where that taught something.
  bool ended(std::int64_t net_ug, std::int64_t interval_ug);

  // What pours have taught, the widest first.
  std::vector<std::pair<PourKey, StopDelay>> learned() const;

 private:
  PourKey known(PourKey key) const;

  StopDelay first_;
  std::map<PourKey, StopPredictor> by_;
  std::vector<PourKey> current_;  // from the widest to the narrowest
};

}  // namespace maslin::weighing
