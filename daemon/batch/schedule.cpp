// The spans of schedule.hpp.
#include "daemon/batch/schedule.hpp"

#include <algorithm>
#include <string>

namespace maslin::batch {
namespace {

std::string short_name(const std::string& kind) {
  if (kind == "heat") return "to the boil";
  if (kind == "dwell") return "boil";
  if (kind == "water bath") return "bath";
  return kind;
}

bool on_schedule(const std::string& kind) {
  return kind != "canner" && kind != "cool" && kind != "seal check";
}

}  // namespace

void describe_schedule(const Desk& desk, int current, proto::BatchStatus& status) {
  const auto& operations = desk.plan.operations;
  const auto kind = [&](int index) -> const std::string& {
    return operations[static_cast<std::size_t>(index)].kind;
  };
  const bool canner = std::any_of(operations.begin(), operations.end(),
                                  [](const auto& one) { return one.kind == "canner"; });
  if (!canner || kind(current) == "cool" || kind(current) == "seal check" || desk.begun.empty()) {
    return;
  }
  const std::int64_t zero_ms = desk.begun.front().at_ms;
  const auto add = [&](const char* line, std::string text, std::int64_t from_ms,
                       std::int64_t to_ms) {
    if (to_ms <= from_ms) return;
    const char* state = to_ms <= desk.now_ms ? "done" : from_ms <= desk.now_ms ? "now" : "next";
    status.schedule.push_back({line, std::move(text), from_ms - zero_ms, to_ms - zero_ms, state});
  };
  for (std::size_t i = 0; i + 1 < desk.begun.size(); ++i) {
    const int index = desk.begun[i].operation;
    if (!on_schedule(kind(index))) continue;
    add(kind(index) == "water bath" ? "canner" : "pan", short_name(kind(index)),
        desk.begun[i].at_ms, desk.begun[i + 1].at_ms);
  }
  // The pan waits as long as the canner needs; all else as the plan expects it.
  std::int64_t at_ms = desk.begun.back().at_ms;
  std::int64_t full_ms = desk.now_ms;  // the jars
  for (int index = current; index < static_cast<int>(operations.size()); ++index) {
    if (!on_schedule(kind(index))) continue;
    std::int64_t takes_ms = operations[static_cast<std::size_t>(index)].expect_ms;
    if (kind(index) == "wait" && desk.canner.lit()) {
      takes_ms = desk.canner.ready_ms(desk) - at_ms - desk.ahead_of_bath_ms(index + 1);
    }
    std::int64_t to_ms = at_ms + std::max<std::int64_t>(takes_ms, 0);
    if (index == current) to_ms = std::max(to_ms, desk.now_ms + 1);
    const bool bath = kind(index) == "water bath";
    if (bath) at_ms = std::max(at_ms, desk.canner.lit() ? desk.canner.boils_ms(desk) : at_ms);
    if (bath && index != current) to_ms = at_ms + takes_ms;
    add(bath ? "canner" : "pan", short_name(kind(index)), at_ms, to_ms);
    at_ms = to_ms;
    if (!bath) full_ms = to_ms;
  }
  if (!desk.canner.lit()) return;
  const std::int64_t boils_ms = desk.canner.boils_ms(desk);
  add("canner", "to the boil", desk.canner.lit_ms(), boils_ms);
  if (desk.plan.sterilise_ms > 0) {
    add("canner", "empty jars", boils_ms, desk.canner.ready_ms(desk));
  }
  if (kind(current) != "water bath") status.slack_ms = full_ms - desk.canner.ready_ms(desk);
}

}  // namespace maslin::batch
