// The trace plugin: its devices are there at once; the recorded readings are played from each
// batch_started cue on, at life's pace or in simulated time.
#include <cerrno>
#include <cstring>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include "plugins/trace/trace.hpp"

using namespace std::chrono_literals;
using namespace maslin;

namespace {

// Time 0 of a trace stands this long behind the start of the batch. A trace reacts to nothing else,
// so in simulated time the daemon can go on a second at a time.
constexpr auto lead = 1s;

trace::Trace load(sdk::Host& host, const std::string& file) {
  if (file.empty()) throw std::runtime_error("no file named; write --plugin trace=FILE.csv");
  std::ifstream in(file, std::ios::binary);
  in.peek();  // a folder can be opened, but not read
  if (!in.is_open() || in.bad()) {
    throw std::runtime_error(file + ": " + std::strerror(errno) +
                             "; name a file that the daemon may read in --plugin trace=FILE.csv");
  }
  auto trace = trace::read(std::string(std::istreambuf_iterator<char>(in), {}));
  for (const auto& fault : trace.faults) host.log(MASLIN_LOG_WARNING, trace::line(file, fault));
  if (!trace.faults.empty()) throw std::runtime_error(trace::line(file, trace.faults.front()));
  return trace;
}

void run(sdk::Host& host) {
  const auto trace = load(host, host.argument());
  std::vector<sdk::Device> devices;
  for (const auto& one : trace.devices) {
    devices.push_back(host.arrive({.quantity = one.quantity,
                                   .unit = one.unit,
                                   .vendor = "trace",
                                   .product = "csv",
                                   .serial = one.name,
                                   .label = one.name,
                                   .interval = one.interval,
                                   .capacity = one.capacity,
                                   .period = sdk::Time{one.period_ns},
                                   .only_on_change = one.period_ns == 0}));
  }
  host.listen();
  auto next = trace.readings.size();  // nothing is played yet
  sdk::Time start{0};
  for (;;) {
    const bool playing = next < trace.readings.size();
    const auto due = playing ? start + sdk::Time{trace.readings[next].at_ns} : sdk::forever;
    const auto woke = host.wait(due);
    if (woke.stop()) return;
    while (const auto cue = host.next_cue()) {
      if (cue->id != "batch_started") continue;
      start = cue->at + lead;
      next = 0;
    }
    if (!woke.time() || woke.cue()) continue;  // a cue may have changed what is due
    auto reading = trace.readings[next].reading;
    reading.at_ns = due.count();
    devices[trace.readings[next].device].send({&reading, 1});
    if (++next == trace.readings.size()) host.log(MASLIN_LOG_INFO, "the trace has been played");
  }
}

constexpr maslin_pace pace{MASLIN_HEAD(maslin_pace), std::chrono::nanoseconds(lead).count()};

}  // namespace

MASLIN_PLUGIN("trace", run, {"pace", &pace});
