// Clocks of the machine, and the simulated one.
#include "daemon/runtime/clock.hpp"

#include <sys/timex.h>

#include <algorithm>
#include <ctime>
#include <fstream>

namespace maslin::runtime {
namespace {

std::int64_t read_ms(clockid_t id) {
  timespec now{};
  clock_gettime(id, &now);
  return std::int64_t{now.tv_sec} * 1000 + now.tv_nsec / 1'000'000;
}

constexpr std::int64_t simulated_begin_utc_ms = 1'767'254'400'000;  // 2026-01-01T08:00:00Z

}  // namespace

std::int64_t RealClock::now_ms() const { return read_ms(CLOCK_BOOTTIME); }
std::int64_t RealClock::utc_ms() const { return read_ms(CLOCK_REALTIME); }
std::int64_t RealClock::zone_ms() const {
  const std::time_t now = std::time(nullptr);
  std::tm local{};
  return localtime_r(&now, &local) != nullptr ? std::int64_t{local.tm_gmtoff} * 1000 : 0;
}
std::int64_t RealClock::slept_ms() { return read_ms(CLOCK_BOOTTIME) - read_ms(CLOCK_MONOTONIC); }

// Only asks; the unit of the service has to allow this call (packaging/maslind.service.in).
bool RealClock::utc_synchronised() const {
  timex nothing_to_change{};
  return is_synchronised(ntp_adjtime(&nothing_to_change));
}

bool is_synchronised(int clock_state) { return clock_state >= 0 && clock_state != TIME_ERROR; }

std::string RealClock::boot_id() const {
  std::ifstream file("/proc/sys/kernel/random/boot_id");
  std::string id;
  std::getline(file, id);
  return id;
}

std::int64_t SimulatedClock::utc_ms() const { return simulated_begin_utc_ms + now_ms_; }
void SimulatedClock::move_to(std::int64_t at_ms) { now_ms_ = std::max(now_ms_, at_ms); }

}  // namespace maslin::runtime
