// What the canner's curve tells.
#include "daemon/batch/canner.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "daemon/batch/desk.hpp"

namespace maslin::batch {
namespace {

constexpr std::string_view seen = "seen by the cook";
// Water warms the whole time, a hand or a rinse does not (common practice, no source).
constexpr std::int64_t sample_every_ms = 15'000;
constexpr std::size_t most_samples = 17;
constexpr std::size_t swap_samples = 7;
constexpr std::int64_t swap_rise_mk = 5000;
constexpr std::int64_t swap_still_mk = 1000;

}  // namespace

void Canner::light(Desk& desk, const char* evidence) {
  lit_ms_ = desk.now_ms;
  watch_.begin(desk.plan.boiling_point_mk);
  curve_.clear();
  desk.emit(proto::Condition{"canner on the heat", evidence, desk.canner_mk().value_or(0)});
}

void Canner::boil(Desk& desk, std::string_view evidence) {
  if (boils_since_ms_) return;
  boils_since_ms_ = desk.now_ms;
  evidence_ = evidence;
  desk.emit(proto::Condition{"canner boils", std::string(evidence), desk.canner_mk().value_or(0)});
}

void Canner::seen_boiling(Desk& desk) {
  (void)watch_.seen_boiling();
  boil(desk, seen);
}

// What happened to its boil meanwhile, nobody knows.
void Canner::unwatched() {
  curve_.clear();
  watch_.again();
  watch_.gap();
  boils_since_ms_.reset();
}

bool Canner::jars_boiled(const Desk& desk) const {
  return boils_since_ms_ && evidence_ == seen && ready_ms(desk) <= desk.now_ms;
}

bool Canner::foreseen_is_over(const Desk& desk) const {
  return lit_ms_ && !boils_since_ms_ && !watch_.forecast() &&
         desk.now_ms >= *lit_ms_ + desk.plan.canner_ms;
}

void Canner::changed(Desk& desk) {
  const auto temperature = desk.canner_mk();
  if (!temperature || !lit_ms_ || handed_over_) return;
  switch (watch_.feed(desk.now_ms, *temperature)) {
    case preserving::BoilChange::reached:
      boil(desk, "measured");
      break;
    case preserving::BoilChange::left:
      if (boils_since_ms_)
        desk.emit(proto::Condition{"canner's boil lost", "measured", *temperature});
      boils_since_ms_.reset();
      break;
    default:
      break;
  }
  if (!curve_.empty() && desk.now_ms - curve_.back().at_ms < sample_every_ms) return;
  if (curve_.size() == most_samples) curve_.erase(curve_.begin());
  curve_.push_back({desk.now_ms, *temperature, desk.pan_mk().value_or(0)});
  look_for_swap(desk);
}

// Before anything is over the heat but the canner, what warms up is the canner.
void Canner::look_for_swap(Desk& desk) {
  if (swap_looked_ || desk.pan_on_heat || curve_.size() < swap_samples) return;
  const auto& first = curve_.front();
  const auto& last = curve_.back();
  if (first.pan_mk == 0 || last.pan_mk == 0) return;
  if (last.pan_mk - first.pan_mk < swap_rise_mk) {
    swap_looked_ = last.canner_mk - first.canner_mk >= swap_rise_mk;
    return;
  }
  const auto falls = [](const Sample& a, const Sample& b) {
    return b.pan_mk == 0 || b.pan_mk < a.pan_mk;
  };
  if (std::abs(last.canner_mk - first.canner_mk) > swap_still_mk ||
      std::adjacent_find(curve_.begin(), curve_.end(), falls) != curve_.end()) {
    return;
  }
  swap_looked_ = true;
  for (auto& thermometer : desk.thermometers) {
    if (thermometer.role == proto::Role::pan) {
      thermometer.role = proto::Role::canner;
    } else if (thermometer.role == proto::Role::canner) {
      thermometer.role = proto::Role::pan;
    }
  }
  curve_.clear();
  watch_.begin(desk.plan.boiling_point_mk);
  desk.emit(proto::Condition{"thermometers taken for one another", "measured", 0});
  desk.cue("advice",
           "The thermometers of pan and canner are swapped. They are read the other way round from "
           "here on.");
}

std::int64_t Canner::boils_ms(const Desk& desk) const {
  if (boils_since_ms_) return *boils_since_ms_;
  if (const auto foreseen = watch_.forecast()) {
    return std::max<std::int64_t>(desk.now_ms,
                                  watch_.newest_ms() + std::llround(foreseen->likely_s * 1000));
  }
  return std::max(desk.now_ms, lit_ms_.value_or(desk.now_ms) + desk.plan.canner_ms);
}

std::int64_t Canner::ready_ms(const Desk& desk) const {
  return boils_ms(desk) + desk.plan.sterilise_ms;
}

std::optional<std::int64_t> Canner::took_ms() const {
  if (!lit_ms_ || !boils_since_ms_) return std::nullopt;
  return *boils_since_ms_ - *lit_ms_;
}

}  // namespace maslin::batch
