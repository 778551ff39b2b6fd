// The engine as a pure fold: readings a second on one core, with a still load and with a running
// pour. Beside it a loop that only compares each reading with a band.
#include <stdexcept>

#include "daemon/batch/engine.hpp"
#include "daemon/formula/read.hpp"
#include "daemon/plan/plan.hpp"
#include "tests/bench/pour.hpp"
#include "tests/bench/table.hpp"

namespace maslin::bench {
namespace {

constexpr std::size_t readings = 2'000'000;

proto::Start start() {
  proto::Start start;
  proto::DeviceDescription scale;
  scale.id = "bench:scale:1";
  scale.interval_ug = 1'000'000;
  scale.capacity_ug = 10'000'000'000;
  scale.period_ms = 70;
  start.devices.push_back({proto::Role::bench, scale});
  const auto formula = formula::read(pour_formula, "pour.toml");
  if (!formula) throw std::runtime_error(proto::line(formula.error().front()));
  const auto plan = plan::make(*formula, start.request, {start.devices, start.settings});
  if (!plan) throw std::runtime_error(proto::line(plan.error().front()));
  start.plan = *plan;
  return start;
}

// Nothing for two seconds, a vessel, and behind that `grams` of what is poured.
template <class Grams>
std::vector<proto::Reading> evening(Grams grams) {
  std::vector<proto::Reading> all(readings);
  for (std::size_t i = 0; i < readings; ++i) {
    auto& one = all[i];
    one.number = i + 1;
    one.at_ms = static_cast<std::int64_t>(i) * 70;
    one.unit = proto::Unit::g;
    one.digits = i < 30 ? 0 : i < 100 ? 400 : 400 + grams(i - 100);
  }
  return all;
}

double fold(const std::vector<proto::Reading>& all) {
  batch::Engine engine;
  std::size_t outcomes = engine.input(0, start()).size();
  const auto begin = now_ns();
  for (const auto& one : all) outcomes += engine.reading(one).size();
  const auto seconds = static_cast<double>(now_ns() - begin) / 1e9;
  if (outcomes == 0) throw std::runtime_error("the engine decided nothing");
  return static_cast<double>(all.size()) / seconds;
}

double compare_only(const std::vector<proto::Reading>& all) {
  volatile std::int64_t low = 3783;
  std::size_t within = 0;
  const auto begin = now_ns();
  for (const auto& one : all) within += one.usable() && one.digits >= low ? 1 : 0;
  const auto seconds = static_cast<double>(now_ns() - begin) / 1e9;
  volatile std::size_t keep = within;
  (void)keep;
  return static_cast<double>(all.size()) / seconds;
}

}  // namespace
}  // namespace maslin::bench

int main() {
  using namespace maslin::bench;
  const auto still = evening([](std::size_t) { return std::int64_t{1000}; });
  const auto running =
      evening([](std::size_t i) { return static_cast<std::int64_t>(i * 7 % 3000); });
  const double still_rate = fold(still);
  const double running_rate = fold(running);
  const double plain = compare_only(still);
  print({"engine fold, still load", still_rate, "readings/s", plain, "> 1e6", still_rate > 1e6});
  print({"engine fold, load that never rests", running_rate, "readings/s", plain, "> 1e6",
         running_rate > 1e6});
  return missed ? 1 : 0;
}
