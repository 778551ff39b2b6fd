// What time it is: CLOCK_BOOTTIME for durations, UTC for people; or simulated time that the daemon
// owns. session/ asks, and nobody else in the daemon knows of another clock.
#pragma once

#include <cstdint>
#include <string>

namespace maslin::runtime {

class Clock {
 public:
  virtual ~Clock() = default;
  virtual std::int64_t now_ms() const = 0;  // never goes back
  virtual std::int64_t utc_ms() const = 0;  // Unix time
  // Local wall clock less UTC, now; what a cook's "evening" means.
  virtual std::int64_t zone_ms() const = 0;
  virtual bool utc_synchronised() const = 0;
  virtual std::string boot_id() const = 0;
};

class RealClock final : public Clock {
 public:
  std::int64_t now_ms() const override;
  std::int64_t utc_ms() const override;
  std::int64_t zone_ms() const override;
  bool utc_synchronised() const override;
  std::string boot_id() const override;
  // Milliseconds that this machine has slept since boot: grows over a suspend.
  static std::int64_t slept_ms();
};

// What ntp_adjtime(3) returned: TIME_ERROR is a clock that nobody sets, -1 one that could not be
// asked.
bool is_synchronised(int clock_state);

// Stands still until it is moved. UTC begins at a fixed date, so that a scenario is the same every
// time.
class SimulatedClock final : public Clock {
 public:
  std::int64_t now_ms() const override { return now_ms_; }
  std::int64_t utc_ms() const override;
  std::int64_t zone_ms() const override { return 0; }
  bool utc_synchronised() const override { return true; }
  std::string boot_id() const override { return "simulated"; }
  void move_to(std::int64_t at_ms);

 private:
  std::int64_t now_ms_ = 0;
};

}  // namespace maslin::runtime
