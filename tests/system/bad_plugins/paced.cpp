// Takes part in simulated time: a scale whose period in ms is the argument; after a cue its pedal
// is pressed 250 ms later and its next reading is the number of cues times 1000.
#include "plugins/sdk/plugin.hpp"

using namespace maslin::sdk;
using namespace std::chrono_literals;

static void run(Host& host) {
  host.listen();
  const std::chrono::milliseconds period(std::stoi(host.argument()));
  auto scale = host.arrive(
      {.vendor = "paced", .product = "scale", .serial = host.argument(), .period = period});
  auto pedal = host.arrive({.quantity = MASLIN_PRESS,
                            .unit = MASLIN_COUNT,
                            .vendor = "paced",
                            .product = "pedal",
                            .serial = host.argument()});
  Time next = period;
  Time press = forever;
  for (std::int64_t count = 0, presses = 0;;) {
    const auto woke = host.wait(std::min(next, press));
    if (woke.stop()) return;
    while (const auto cue = host.next_cue()) press = std::min(press, cue->at + 250ms);
    if (host.now() >= press) {
      pedal.send({++presses, 0});
      press = forever;
    }
    if (host.now() >= next) {
      scale.send({++count, 0});
      next += period;
    }
  }
}

static constexpr maslin_pace pace{MASLIN_HEAD(maslin_pace), 250'000'000};
MASLIN_PLUGIN("paced", run, {"pace", &pace});
