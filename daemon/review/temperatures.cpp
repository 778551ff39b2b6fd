// Temperatures by operation and thermometer.
#include "daemon/review/temperatures.hpp"

#include <algorithm>
#include <map>

#include "daemon/quantity/probe.hpp"
#include "daemon/quantity/readings.hpp"
#include "daemon/review/record.hpp"

namespace maslin::review {
namespace {

constexpr std::int64_t kZeroCelsiusMk = 273'150;

double celsius(double millikelvin) { return (millikelvin - kZeroCelsiusMk) / 1000.0; }

struct Sum {
  std::int64_t count = 0;
  std::int64_t least = 0;
  std::int64_t greatest = 0;
  std::int64_t total = 0;  // less zero Celsius each, so that a long evening cannot overflow

  void add(std::int64_t millikelvin) {
    least = count == 0 ? millikelvin : std::min(least, millikelvin);
    greatest = count == 0 ? millikelvin : std::max(greatest, millikelvin);
    total += millikelvin - kZeroCelsiusMk;
    ++count;
  }
};

// While the pan waits its thermometer shows the kitchen, and the canner's counts in the bath.
bool tells(const proto::Start* start, std::uint16_t device, const std::string& kind) {
  const std::string role = device_name(start, device);
  if (role == "pan") return kind == "heat" || kind == "dwell" || kind == "fill";
  return role != "canner" || kind == "water bath";
}

}  // namespace

std::vector<proto::ReportTemperature> temperatures(std::span<const proto::Entry> entries,
                                                   std::span<const proto::Reading> readings) {
  const proto::Start* start = start_of(entries);
  std::map<std::pair<int, std::uint16_t>, Sum> sums;  // by operation and device
  std::map<int, std::string> phases;
  std::size_t next = 0;
  int operation = -1;
  std::string kind;
  for (const proto::Reading& reading : readings) {
    for (; next < entries.size() && entries[next].stamp.after_reading < reading.number; ++next) {
      if (const auto* began = as<proto::PhaseBegan>(entries[next])) {
        operation = began->operation;
        kind = began->kind;
        phases.try_emplace(operation, began->text.empty() ? began->kind : began->text);
      }
    }
    if (reading.quantity != proto::Quantity::temperature || !tells(start, reading.device, kind)) {
      continue;
    }
    if (const auto value = quantity::millikelvin(reading)) {
      const bool leased = start && reading.device < start->devices.size();
      sums[{operation, reading.device}].add(quantity::corrected_mk(
          *value, leased ? start->devices[reading.device].probe : std::nullopt));
    }
  }
  std::vector<proto::ReportTemperature> rows;
  for (const auto& [key, sum] : sums) {
    const auto& [of, device] = key;
    rows.push_back({device_name(start, device), of < 0 ? "before the first step" : phases[of],
                    sum.count, celsius(static_cast<double>(sum.least)),
                    static_cast<double>(sum.total) / static_cast<double>(sum.count) / 1000.0,
                    celsius(static_cast<double>(sum.greatest))});
  }
  return rows;
}

}  // namespace maslin::review
