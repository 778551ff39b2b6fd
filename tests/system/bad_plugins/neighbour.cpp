// The good neighbour: a scale that sends its count every 10 ms and listens to cues, which it
// answers by pressing its pedal.
#include "plugins/sdk/plugin.hpp"

using namespace maslin::sdk;
using namespace std::chrono_literals;

static void run(Host& host) {
  host.listen();
  auto scale = host.arrive({.vendor = "good", .product = "scale", .serial = "1", .period = 10ms});
  auto pedal = host.arrive({.quantity = MASLIN_PRESS,
                            .unit = MASLIN_COUNT,
                            .vendor = "good",
                            .product = "pedal",
                            .serial = "1"});
  for (int count = 1;; ++count) {
    const auto woke = host.sleep(10ms);
    if (woke.stop()) return;
    while (host.next_cue()) pedal.send({1, 0});
    scale.send({count, 0}, MASLIN_STEADY);
  }
}

MASLIN_PLUGIN("neighbour", run);
