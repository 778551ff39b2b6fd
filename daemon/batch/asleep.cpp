// The rule of asleep.hpp.
#include "daemon/batch/asleep.hpp"

#include <algorithm>

namespace maslin::batch {
namespace {

constexpr std::int64_t warned_ahead_ms = 20'000;
// Sooner or later than that no scale falls asleep by itself; it was something else (common
// practice, no source).
constexpr std::int64_t soonest_ms = 30'000;
constexpr std::int64_t latest_ms = 30 * 60'000;
constexpr const char* what = "asleep after";

proto::Learned* known(Desk& desk, const std::string& of) {
  const auto it = std::find_if(desk.learned.begin(), desk.learned.end(),
                               [&](const auto& one) { return one.what == what && one.of == of; });
  return it == desk.learned.end() ? nullptr : &*it;
}

const std::string& id_of(const Desk& desk, const ScaleDesk& scale) {
  return desk.start.devices[scale.device].description.id;
}

}  // namespace

void Asleep::take(Desk& desk, const ScaleDesk& scale, const weighing::PanChange& change,
                  bool used) {
  auto& seen = seen_[scale.device];
  seen.shown_ms = desk.now_ms;
  const bool moved = change.settling == weighing::Settling::departed || change.move ||
                     change.new_epoch || !scale.pan.detector().at_rest();
  if (moved || seen.moved_ms == 0) {
    seen.moved_ms = desk.now_ms;
    seen.warned = false;
    return;
  }
  if (!used || seen.warned || !scale.pan.has_tare() || scale.pan.away()) return;
  const auto* asleep = known(desk, id_of(desk, scale));
  if (asleep == nullptr || desk.now_ms - seen.moved_ms < asleep->value_ms - warned_ahead_ms) return;
  seen.warned = true;
  desk.cue("scale_sleeps",
           "The scale falls asleep in 20 seconds, and its zero goes with it: touch the vessel.");
}

// The shorter of two times is believed: warned too soon costs less than too late.
void Asleep::silent(Desk& desk, const ScaleDesk& scale) const {
  const auto it = seen_.find(scale.device);
  if (it == seen_.end()) return;
  const std::int64_t after_ms = it->second.shown_ms - it->second.moved_ms;
  if (after_ms < soonest_ms || after_ms > latest_ms) return;
  if (auto* asleep = known(desk, id_of(desk, scale))) {
    asleep->value_ms = std::min(asleep->value_ms, after_ms);
    ++asleep->times;
  } else {
    desk.learned.push_back({what, id_of(desk, scale), after_ms, 0, 1});
  }
}

}  // namespace maslin::batch
