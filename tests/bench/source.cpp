// A scale for the benchmarks: once a batch has begun an empty pan, then a vessel, then one gram
// more with every reading. Notes when it sent which gram. ARGUMENT: readings a second, ":" and the
// file of the stamps.
#include "plugins/sdk/plugin.hpp"
#include "tests/bench/stamps.hpp"
#include "tests/bench/table.hpp"

using namespace maslin::sdk;

namespace {

constexpr std::int64_t vessel_g = 400;
constexpr double empty_s = 2;
constexpr double vessel_s = 5;

void run(Host& host) {
  const std::string argument = host.argument();
  const auto colon = argument.find(':');
  const double rate = std::stod(argument.substr(0, colon));
  maslin::bench::Stamps stamps(argument.substr(colon + 1));
  const Time period{static_cast<std::int64_t>(1e9 / rate)};
  const auto scale = host.arrive({.vendor = "bench",
                                  .product = "scale",
                                  .serial = "1",
                                  .interval = {1, 0},
                                  .capacity = {1, 4},
                                  .period = period});
  host.listen();
  bool begun = false;
  std::int64_t n = 0;
  for (Time next = host.now();; next += period) {
    while (next > host.now()) {
      if (host.wait(next).stop()) return;
      while (host.next_cue()) begun = true;
    }
    if (!begun) {
      scale.send({0, 0});
      continue;
    }
    const double seconds = static_cast<double>(n++) / rate;
    if (seconds < empty_s + vessel_s) {
      scale.send({seconds < empty_s ? 0 : vessel_g, 0});
      continue;
    }
    const auto gram =
        std::min<std::int64_t>(n - static_cast<std::int64_t>((empty_s + vessel_s) * rate),
                               maslin::bench::Stamps::most - 1);
    stamps[static_cast<std::size_t>(gram)] = maslin::bench::now_ns();
    scale.send({vessel_g + gram, 0});
  }
}

}  // namespace

MASLIN_PLUGIN("bench_source", run);
