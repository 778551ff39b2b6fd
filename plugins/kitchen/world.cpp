// Time, things and readings. What the cook does is in cook.cpp and answers.cpp.
#include "plugins/kitchen/world.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace maslin::kitchen {
namespace {

constexpr double firm_push_g = 600;
constexpr double spoon_g = 38;

}  // namespace

World::World(const Scenario& scenario)
    : scenario_(scenario),
      scale_(scenario.scale, Chance(scenario.seed, 1)),
      fine_scale_(scenario.fine.value_or(ScaleModel{}), Chance(scenario.seed, 6)),
      pot_(scenario.pot),
      probe_(scenario.probe, scenario.pot.room_c, Chance(scenario.seed, 2)),
      canner_probe_(scenario.canner_probe, scenario.pot.room_c, Chance(scenario.seed, 4)),
      room_probe_(scenario.room_probe, scenario.room ? scenario.room->mean_c : 0,
                  Chance(scenario.seed, 5)),
      cook_chance_(scenario.seed, 3),
      troubles_done_(scenario.troubles.size(), false),
      faults_done_(scenario.faults.size(), false),
      slips_done_(scenario.slips.size(), false) {
  if (scenario.trays) drier_.emplace(scenario.trays->drier, scenario.seed);
}

std::int64_t World::next_send_ms() const {
  std::int64_t next = next_probe_ms_;
  if (scenario_.canner) next = std::min(next, next_canner_ms_);
  if (scenario_.room) next = std::min(next, next_room_ms_);
  if (fine_awake()) next = std::min(next, (next_fine_us_ + 999) / 1000);
  if (!scale_asleep_)
    next = std::min(next, scale_there_ ? (next_scale_us_ + 999) / 1000 : scale_back_ms_);
  return next;
}

// Until then nothing happens that is not on its way already.
std::int64_t World::busy_ms() const {
  std::int64_t next = INT64_MAX;
  const auto at = [&](std::int64_t when_ms) {
    if (when_ms > now_ms_) next = std::min(next, when_ms);
  };
  if (!acts_.empty()) {
    const auto& act = acts_.front();
    if (act.what != Act::What::pause) return now_ms_;
    at(now_ms_ + std::max(grid_ms, static_cast<std::int64_t>(act.seconds * 1000)));
  }
  if (!pending_.empty()) next = std::min(next, pending_.front().first);
  for (const auto& task : tasks_) at(task.due_ms);
  for (const auto& one : running_) {
    at(one.begin_ms);
    at(one.end_ms);
  }
  at(hand_until_ms_);
  return next;
}

// A hand wakes a scale that sleeps, so what the hand is about to do comes first.
std::int64_t World::next_ms() const {
  const std::int64_t next = scale_asleep_ ? std::min(next_send_ms(), busy_ms()) : next_send_ms();
  return std::max(on_grid(next), now_ms_ + grid_ms);
}

void World::hear(const Heard& heard) {
  const auto reaction_ms = static_cast<std::int64_t>(reaction_s() * 1000);
  pending_.emplace_back(heard.at_ms + reaction_ms, heard);
  foresee_troubles(heard);
}

// Which moments are lived through depends on what was heard and when, never on how often this is
// called.
void World::advance(std::int64_t at_ms, Sink& sink) {
  for (;;) {
    const std::int64_t soonest_ms = on_grid(std::min(next_send_ms(), busy_ms()));
    const std::int64_t step_ms =
        now_ms_ < 0 ? grid_ms : std::clamp(soonest_ms - now_ms_, grid_ms, longest_ms());
    if (now_ms_ + step_ms > at_ms) return;
    now_ms_ += step_ms;
    live(static_cast<double>(step_ms) / 1000.0);
    react();
    do_tasks();
    follow_troubles();
    check_faults(sink);
    send(sink);
  }
}

void World::send(Sink& sink) {
  if (presses_ != presses_sent_) {
    presses_sent_ = presses_;
    sink.pedal(now_ms_, presses_);
  }
  if (scale_there_ && !scale_asleep_ && now_ms_ * 1000 >= next_scale_us_) {
    sink.scale_reading(now_ms_, scale_.digits(), scale_.over());
    // From when it was due, so that the rate is kept though life goes in steps.
    next_scale_us_ += std::llround(1e6 / scenario_.scale.rate_hz);
  }
  if (fine_awake() && now_ms_ * 1000 >= next_fine_us_) {
    sink.fine_reading(now_ms_, fine_scale_.digits(), fine_scale_.over());
    next_fine_us_ = std::max(next_fine_us_, (now_ms_ - 1000) * 1000) +
                    std::llround(1e6 / scenario_.fine->rate_hz);
  }
  if (now_ms_ >= next_probe_ms_) {
    sink.probe_reading(now_ms_, probe_.steps());
    next_probe_ms_ = now_ms_ + static_cast<std::int64_t>(scenario_.probe.period_s * 1000);
  }
  if (scenario_.canner && now_ms_ >= next_canner_ms_) {
    sink.canner_reading(now_ms_, canner_probe_.steps());
    next_canner_ms_ = now_ms_ + static_cast<std::int64_t>(scenario_.canner_probe.period_s * 1000);
  }
  if (scenario_.room && now_ms_ >= next_room_ms_) {
    sink.room_reading(now_ms_, room_probe_.steps());
    next_room_ms_ = now_ms_ + static_cast<std::int64_t>(scenario_.room_probe.period_s * 1000);
  }
}

namespace {

double air_c(const RoomModel& room, double hours) {
  constexpr double turn = 2 * std::numbers::pi;
  double c = room.mean_c + room.swing_k * std::sin(turn * hours / 24) +
             room.swing_k * std::sin(turn * hours / (24 * 9));
  if (room.defrost_every_h > 0 && std::fmod(hours, room.defrost_every_h) * 60 < room.defrost_min) {
    c += room.defrost_k;
  }
  for (const auto& one : room.warm) {
    if (hours >= one.from_h && hours < one.from_h + one.for_h) c += one.kelvin;
  }
  return c;
}

}  // namespace

void World::live(double seconds) {
  if (!acts_.empty() && perform(acts_.front(), seconds)) acts_.pop_front();
  if (drier_) {
    const double hour = scenario_.trays->starts_h + static_cast<double>(now_ms_) / 3.6e6;
    drier_->advance(seconds, std::fmod(hour, 24), drying_);
  }
  const double load = load_g();
  scale_.advance(seconds, load);
  check_sleep(load);
  if (scenario_.fine) live_fine(seconds);
  pot_.advance(seconds);
  if (canner_) canner_->advance(seconds);
  if (scenario_.room) {
    room_probe_.advance(seconds, air_c(*scenario_.room, static_cast<double>(now_ms_) / 3.6e6));
  }
  const double room_c = scenario_.pot.room_c;
  using What = TroubleModel::What;
  if (troubled(What::probe_out, PotName::pan)) {
    probe_.cool(seconds, room_c);
  } else {
    probe_.advance(seconds, pot_.temperature_c());
  }
  if (troubled(What::probe_out, PotName::canner)) {
    canner_probe_.cool(seconds, room_c);
  } else {
    canner_probe_.advance(seconds, canner_ ? canner_->water().temperature_c() : room_c);
  }
}

// Nothing is ever left on it, so that it wakes with the zero it had.
bool World::fine_awake() const {
  return scenario_.fine &&
         (scenario_.fine->sleep_s <= 0 ||
          static_cast<double>(now_ms_ - fine_changed_ms_) < scenario_.fine->sleep_s * 1000);
}

void World::live_fine(double seconds) {
  const double load_g = fine_vessel_on_ ? scenario_.cook.fine_vessel_g + fine_content_g_ : 0;
  fine_scale_.advance(seconds, load_g);
  if (load_g == fine_load_g_) return;
  fine_load_g_ = load_g;
  fine_changed_ms_ = now_ms_;
}

double World::load_g() const {
  const double vessel_g = vessel_on_ ? scenario_.cook.vessel_g + vessel_content_g_ : 0;
  const bool spoon = troubled(TroubleModel::What::spoon_on_scale, PotName::canner) ||
                     troubled(TroubleModel::What::spoon_on_scale, PotName::pan);
  const double tray_g = on_scale_ ? drier_->gross_g(*on_scale_) : 0;
  return vessel_g + tray_g + other_g_ + (spoon ? spoon_g : 0) +
         (hand_until_ms_ > now_ms_ ? firm_push_g : 0);
}

// It wakes when the load changes, and what lay on it until then is its zero.
void World::check_sleep(double load_g) {
  if (load_g != load_g_) {
    if (scale_asleep_) {
      scale_.zero(load_g_);
      next_scale_us_ = now_ms_ * 1000;
    }
    scale_asleep_ = false;
    load_changed_ms_ = now_ms_;
    load_g_ = load_g;
  } else if (scenario_.scale.sleep_s > 0 &&
             static_cast<double>(now_ms_ - load_changed_ms_) >= scenario_.scale.sleep_s * 1000) {
    scale_asleep_ = true;
  }
}

void World::check_faults(Sink& sink) {
  for (std::size_t i = 0; i < scenario_.faults.size(); ++i) {
    const auto& fault = scenario_.faults[i];
    if (faults_done_[i] || !scale_there_ || fault.ingredient != current_ || in_g() < fault.at_g)
      continue;
    faults_done_[i] = true;
    scale_there_ = false;
    scale_back_ms_ = now_ms_ + static_cast<std::int64_t>(fault.for_s * 1000);
    sink.scale_there(now_ms_, false);
  }
  if (!scale_there_ && now_ms_ >= scale_back_ms_) {
    scale_there_ = true;
    scale_.zero(load_g());
    sink.scale_there(now_ms_, true);
    next_scale_us_ = now_ms_ * 1000;
  }
}

double World::in_g() const {
  for (const auto& one : truth_) {
    if (one.ingredient == current_) return one.grams;
  }
  return 0;
}

void World::add(double grams) {
  if (const double there_is_g = ingredient(current_).there_is_g; there_is_g > 0) {
    double used_g = 0;
    for (const auto& one : truth_) used_g += one.ingredient == current_ ? one.grams : 0;
    grams = std::min(grams, std::max(0.0, there_is_g - used_g));
  }
  if (grams != 0) last_change_ms_ = now_ms_;
  (on_fine_ ? fine_content_g_ : vessel_content_g_) += grams;
  for (auto& one : truth_) {
    if (one.ingredient == current_) {
      one.grams += grams;
      return;
    }
  }
  truth_.push_back({current_, grams});
}

}  // namespace maslin::kitchen
