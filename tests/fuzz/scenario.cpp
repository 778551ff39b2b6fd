// A scenario of the simulated kitchen, and the first minute of it where it is good.
#include "plugins/kitchen/scenario.hpp"
#include "plugins/kitchen/world.hpp"
#include "tests/fuzz/promise.hpp"

namespace {

class Nobody final : public maslin::kitchen::Sink {
 public:
  void scale_reading(std::int64_t, std::int64_t, bool) override {}
  void scale_there(std::int64_t, bool) override {}
  void probe_reading(std::int64_t, std::int64_t) override {}
  void fine_reading(std::int64_t, std::int64_t, bool) override {}
  void room_reading(std::int64_t, std::int64_t) override {}
  void canner_reading(std::int64_t, std::int64_t) override {}
  void pedal(std::int64_t, std::int64_t) override {}
};

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace maslin;
  const auto read = kitchen::read_scenario(fuzz::text(data, size), "fuzz.toml");
  if (!read.trouble.empty()) return 0;
  kitchen::World world(read.scenario);
  world.hear({0, "weigh", "Pour.", "onion", 100});
  world.hear({0, "canner", "Fill the canner.", "", 0});
  world.hear({5'000, "boil", "The water bath counts.", "", 0});
  world.hear({9'000, "seal_asked", "Sealed?", "jar 3", 0});
  Nobody nobody;
  world.advance(60'000, nobody);
  return 0;
}
