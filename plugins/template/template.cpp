// The smallest real plugin: a scale whose grams stand in a file, one number on its first line. Copy
// this file to begin your own; plugins/README.md says how.
#include <fstream>
#include <stdexcept>

#include "plugins/sdk/plugin.hpp"

using namespace maslin::sdk;
using namespace std::chrono_literals;

static void run(Host& host) {
  const std::string file = host.argument();
  if (file.empty()) throw std::runtime_error("give a file: --plugin template=PATH");
  const auto scale = host.arrive({.vendor = "template",
                                  .product = "file",
                                  .serial = file,
                                  .label = "grams in " + file,
                                  .interval = {1, 0},  // shows whole grams
                                  .capacity = {5, 3},  // 5 * 10^3 g
                                  .period = 500ms});
  do {
    std::string line;
    std::getline(std::ifstream(file), line);
    if (const auto grams = parse_decimal(line)) {
      scale.send(*grams, MASLIN_STEADY);
    } else {
      scale.send_none(MASLIN_FAULT);  // say so, never send the last value again
    }
  } while (!host.sleep(500ms).stop());
}

MASLIN_PLUGIN("template", run);
