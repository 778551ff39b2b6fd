// Time, things and readings. What the cook does is in cook.cpp.
#include "plugins/kitchen/world.hpp"

#include <algorithm>
#include <cmath>

namespace maslin::kitchen {

World::World(const Scenario& scenario)
    : scenario_(scenario),
      scale_(scenario.scale, Chance(scenario.seed, 1)),
      pot_(scenario.pot),
      probe_(scenario.probe, scenario.pot.room_c, Chance(scenario.seed, 2)),
      cook_chance_(scenario.seed, 3),
      faults_done_(scenario.faults.size(), false),
      slips_done_(scenario.slips.size(), false) {}

std::int64_t World::next_ms() const {
  std::int64_t next = next_probe_ms_;
  if (!scale_asleep_)
    next = std::min(next, scale_there_ ? (next_scale_us_ + 999) / 1000 : scale_back_ms_);
  return std::max(next, now_ms_);
}

void World::hear(const Heard& heard) {
  const auto reaction_ms = static_cast<std::int64_t>(reaction_s() * 1000);
  pending_.emplace_back(heard.at_ms + reaction_ms, heard);
}

void World::advance(std::int64_t at_ms, Sink& sink) {
  for (; now_ms_ <= at_ms; now_ms_ += step_ms) {
    react();
    live(static_cast<double>(step_ms) / 1000.0);
    check_faults(sink);
    if (presses_ != presses_sent_) {
      presses_sent_ = presses_;
      sink.pedal(now_ms_, presses_);
    }
    if (scale_there_ && !scale_asleep_ && now_ms_ * 1000 >= next_scale_us_) {
      sink.scale_reading(now_ms_, scale_.digits(), scale_.over());
      // From when it was due, so that the rate is kept though life goes in steps.
      next_scale_us_ += std::llround(1e6 / scenario_.scale.rate_hz);
    }
    if (now_ms_ >= next_probe_ms_) {
      sink.probe_reading(now_ms_, probe_.steps());
      next_probe_ms_ = now_ms_ + static_cast<std::int64_t>(scenario_.probe.period_s * 1000);
    }
  }
}

void World::live(double seconds) {
  if (!acts_.empty() && perform(acts_.front(), seconds)) acts_.pop_front();
  const double load_g = vessel_on_ ? scenario_.cook.vessel_g + vessel_content_g_ : 0;
  scale_.advance(seconds, load_g);
  check_sleep(load_g);
  pot_.advance(seconds);
  probe_.advance(seconds, pot_.temperature_c());
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
    scale_.zero(vessel_on_ ? scenario_.cook.vessel_g + vessel_content_g_ : 0);
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
  if (grams != 0) last_change_ms_ = now_ms_;
  vessel_content_g_ += grams;
  for (auto& one : truth_) {
    if (one.ingredient == current_) {
      one.grams += grams;
      return;
    }
  }
  truth_.push_back({current_, grams});
}

}  // namespace maslin::kitchen
