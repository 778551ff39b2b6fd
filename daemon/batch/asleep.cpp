// The rule of asleep.hpp.
#include "daemon/batch/asleep.hpp"

#include <algorithm>
#include <cstdlib>

namespace maslin::batch {
namespace {

constexpr std::int64_t warned_ahead_ms = 20'000;
// Sooner or later than that no scale falls asleep by itself; it was something else (common
// practice, no source).
constexpr std::int64_t soonest_ms = 30'000;
constexpr std::int64_t latest_ms = 30 * 60'000;
// Two times that lie so close tell of one and the same setting of the scale; a cable that was
// pulled does not come back to the second (common practice, no source).
constexpr std::int64_t alike_ms = 10'000;
// More is not counted, so that another setting is believed after a few evenings.
constexpr std::int64_t most_times = 3;
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
  if (asleep == nullptr || asleep->times < 2) return;
  if (desk.now_ms - seen.moved_ms < asleep->value_ms - warned_ahead_ms) return;
  seen.warned = true;
  desk.cue("scale_sleeps",
           "The scale falls asleep in 20 seconds, and its zero goes with it: touch the vessel.");
}

// Of two that are alike the shorter is believed: warned too soon costs less than too late. One that
// stands alone is a drop-out, or the first of another setting.
void Asleep::silent(Desk& desk, const ScaleDesk& scale) const {
  const auto it = seen_.find(scale.device);
  if (it == seen_.end()) return;
  const std::int64_t after_ms = it->second.shown_ms - it->second.moved_ms;
  if (after_ms < soonest_ms || after_ms > latest_ms) return;
  auto* asleep = known(desk, id_of(desk, scale));
  if (asleep == nullptr) {
    desk.learned.push_back({what, id_of(desk, scale), after_ms, 0, 1});
  } else if (std::abs(asleep->value_ms - after_ms) <= alike_ms) {
    asleep->value_ms = std::min(asleep->value_ms, after_ms);
    asleep->times = std::min(asleep->times + 1, most_times);
  } else if (asleep->times > 1) {
    --asleep->times;
  } else {
    asleep->value_ms = after_ms;
  }
}

}  // namespace maslin::batch
