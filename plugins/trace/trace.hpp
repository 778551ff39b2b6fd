// A recorded run as text: CSV to devices and readings, every decimal digit kept. Pure; used by
// plugin.cpp and its tests.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "plugins/sdk/plugin.hpp"

namespace maslin::trace {

struct TraceDevice {
  std::string name;
  std::uint8_t quantity = 0;            // from its first row
  std::uint16_t unit = MASLIN_NO_UNIT;  // of interval and capacity, else of the first row
  sdk::Decimal interval;
  sdk::Decimal capacity;
  std::int64_t period_ns = 0;  // 0: not stated, then its silence says nothing
};

struct TraceReading {
  std::int64_t at_ns = 0;    // since the start of the trace
  std::size_t device = 0;    // index into Trace::devices
  maslin_reading reading{};  // at_ns in it is not set
};

struct Fault {
  std::size_t line = 0;    // from 1
  std::size_t column = 0;  // from 1, in bytes
  std::string what;
  std::string todo;
};

struct Trace {
  std::vector<TraceDevice> devices;    // in the order of their first mention
  std::vector<TraceReading> readings;  // by time; equal times in the order of the file
  std::vector<Fault> faults;           // the first 20; with any, the rest is not to be used
};

Trace read(std::string_view text);

// "file:line:column: what; todo"
std::string line(const std::string& file, const Fault& fault);

}  // namespace maslin::trace
