// When to say "slow" and "stop" so that the pour ends on its aim: the indication lags, the cue
// takes time, and the cook reacts late. Called by batch/ with every reading of a running pour.
#pragma once

#include <cstdint>
#include <optional>

namespace maslin::weighing {

enum class StopCue : std::uint8_t { none, slow, stop };

// stop when I + Q tau >= aim, with I the net so far, Q the flow, and tau = scale lag + cue delay +
// reaction
// + half the closing time. What is in the air is not added: the jet presses on the vessel with just
// that weight (steady vertical jet; textbook physics, not measured). tau is learned from how pours
// end: tau += K (end - aim) / Q.
class StopPredictor {
 public:
  // Seconds; the first tau until pours have taught a better one.
  explicit StopPredictor(double first_delay_s) : delay_s_(first_delay_s) {}

  // A new ingredient or another try at the same one.
  void begin(std::int64_t aim_ug);
  StopCue feed(std::int64_t net_ug, double flow_ug_s);
  // A stop was given, and it runs on at half the flow or more.
  bool runs_on(double flow_ug_s) const;
  // The pour came to rest at net_ug; teaches only where a stop was given for a flow worth the name.
  void ended(std::int64_t net_ug, std::int64_t interval_ug);

  double delay_s() const { return delay_s_; }

 private:
  double delay_s_;
  double variance_s2_ = 0.35 * 0.35;  // of the first delay, from cook to cook (from simulation)
  std::int64_t aim_ug_ = 0;
  bool slow_given_ = false;
  std::optional<double> flow_at_stop_ug_s_;
};

}  // namespace maslin::weighing
