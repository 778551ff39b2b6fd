// What the cook does with trays: he brings them to the scale when he is called, leaves each there
// until he hears that it was taken, and puts them back into the drier until it is dry.
#include <algorithm>
#include <utility>

#include "plugins/kitchen/world.hpp"

namespace maslin::kitchen {
namespace {

bool tells(const Heard& heard, const char* words) {
  return heard.says.find(words) != std::string::npos;
}

}  // namespace

// True where he acts on it.
bool World::hear_of_trays(const Heard& heard) {
  if (!drier_) return false;
  const auto& trays = *scenario_.trays;
  const double hour = static_cast<double>(now_ms_) / 3.6e6;
  if (hour >= trays.away_from_h && hour < trays.away_from_h + trays.away_for_h) return true;
  if (heard.id == "load_taken" || heard.id == "weighed_in" || heard.id == "lighter" ||
      heard.id == "heavier") {
    tone_ = true;
    // The last one is still to be lifted; then back with them, while they are not dry.
    const bool dry = tells(heard, "Dry by") || tells(heard, "Still dry") || tells(heard, "is dry");
    if (heard.id != "load_taken" && !dry) acts_.push_back({Act::What::into_drier});
    return true;
  }
  if (heard.id == "step" && tells(heard, "Back on the trays")) {
    acts_ = {{Act::What::pause, 600}, {Act::What::into_drier}};
    return true;
  }
  if (heard.id == "load_missing" && forgotten_) {
    acts_ = {{Act::What::pause, 20}};
    acts_.push_back({Act::What::tray_on, trays.patience_s, 0, false, 0, *forgotten_});
    acts_.push_back({Act::What::pause, trays.lifts_after_s});
    acts_.push_back({Act::What::tray_off});
    forgotten_.reset();
    return true;
  }
  if (heard.id != "weigh_in") return false;
  if (tells(heard, "First the empty trays")) {
    acts_ = {{Act::What::lift}};
    weigh_trays(false, 20);
    acts_.push_back({Act::What::press});
  } else if (tells(heard, "each piece on the scale")) {  // what hangs is weighed as it is
    vessel_on_ = false;
    if (vessel_content_g_ > 0) drier_->spread(std::exchange(vessel_content_g_, 0.0));
    acts_.clear();
    weigh_trays(true, 60);
    acts_.push_back({Act::What::press});
  } else if (tells(heard, "each loaded tray")) {
    vessel_on_ = false;
    if (vessel_content_g_ > 0) drier_->spread(std::exchange(vessel_content_g_, 0.0));
    weigh_trays(true, 300);
  } else {
    const bool from_drier = drying_;
    acts_ = {{Act::What::pause, trays.brought_s}};
    if (from_drier) acts_.push_back({Act::What::out_of_drier});
    weigh_trays(true, from_drier ? trays.cools_s : 5);
  }
  return true;
}

void World::weigh_trays(bool loaded, double after_s) {
  const auto& trays = *scenario_.trays;
  std::vector<std::size_t> order(drier_->trays().size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  if (trays.shuffled) {
    for (std::size_t i = order.size(); i > 1; --i) {
      const auto other = static_cast<std::size_t>(cook_chance_.uniform() * static_cast<double>(i));
      std::swap(order[i - 1], order[std::min(other, i - 1)]);
    }
  }
  acts_.push_back({Act::What::pause, after_s});
  for (const std::size_t tray : order) {
    if (drier_->trays()[tray].empty_g == 0 || (loaded && forgotten_ == tray)) continue;
    acts_.push_back({Act::What::tray_on, trays.patience_s, 0, false, 0, tray});
    acts_.push_back({Act::What::pause, trays.lifts_after_s});
    acts_.push_back({Act::What::tray_off});
    acts_.push_back({Act::What::pause, trays.between_s});
  }
}

// Onto the scale, and there until the tone; he does not wait for ever.
bool World::put_tray(Act& act, double seconds) {
  if (!act.begun) {
    act.begun = true;
    tone_ = false;
    on_scale_ = act.tray;
  }
  act.seconds -= seconds;
  return tone_ || act.seconds <= 0;
}

}  // namespace maslin::kitchen
