// A daemon in real time over the benchmark's scale, with a batch of one ingredient running.
#pragma once

#include <stdexcept>
#include <string>

#include "tests/bench/stamps.hpp"
#include "tests/system/house.hpp"

namespace maslin::bench {

inline constexpr auto pour_formula = R"(
name = "Bench pour"
status = "own"
invented = true
note = "Invented, to measure with. Not tested for safety."
keeping = "refrigerator"

[[ingredient]]
name = "sugar"
amount = "3900 g"
counts_as = "sugar"
band = "3 %"

[[operation]]
kind = "weigh"
text = "Weigh the sugar."
)";

class Pour {
 public:
  explicit Pour(double rate, house::Environment environment = {})
      : stamps(here / "stamps"), daemon(here / "state", here / "socket", [&] {
          house::DaemonOptions options;
          options.pace = "real";
          options.plugins = {"bench_source=" + std::to_string(rate) + ":" +
                             (here / "stamps").string()};
          options.before = {};
          options.environment = std::move(environment);
          return options;
        }()) {
    if (!daemon.ready()) throw std::runtime_error("the daemon is not ready: " + daemon.log());
  }
  // Starts the batch and subscribes to it.
  std::unique_ptr<house::Client> begin() {
    auto client = std::make_unique<house::Client>(daemon.socket());
    client->hello();
    client->call("subscribe");
    const auto started = client->call("batch_start", {{"text", pour_formula}});
    if (!started.contains("result")) throw std::runtime_error(started.dump());
    return client;
  }

  const house::Directory here;
  Stamps stamps;
  house::Daemon daemon;
};

}  // namespace maslin::bench
