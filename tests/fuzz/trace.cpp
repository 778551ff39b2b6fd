// A recorded run as CSV.
#include "plugins/trace/trace.hpp"
#include "tests/fuzz/promise.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace maslin;
  const auto trace = trace::read(fuzz::text(data, size));
  for (const auto& fault : trace.faults) fuzz::promise(!trace::line("fuzz.csv", fault).empty());
  if (!trace.faults.empty()) return 0;
  for (std::size_t i = 0; i < trace.readings.size(); ++i) {
    fuzz::promise(trace.readings[i].device < trace.devices.size());
    fuzz::promise(i == 0 || trace.readings[i].at_ns >= trace.readings[i - 1].at_ns);
  }
  return 0;
}
