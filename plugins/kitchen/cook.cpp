// The cook at the scale: hears a cue, reacts after a while, and does one thing after the other. A
// stop, a slow and a lost scale reach the hand in the middle of a pour; everything else begins
// something new. What the scenario has an answer for is in answers.cpp, and comes first.
#include <algorithm>
#include <cmath>
#include <utility>

#include "plugins/kitchen/world.hpp"

namespace maslin::kitchen {
namespace {

constexpr double shortest_reaction_s = 0.2;
constexpr double scoop_falls_s = 0.3;
constexpr double between_scoops_s = 2.2;
constexpr double gives_up_at = 1.6;  // of what is wanted: then the eye says stop, cue or none

}  // namespace

double World::reaction_s() {
  return std::max(shortest_reaction_s,
                  cook_chance_.normal(scenario_.cook.reaction_s, scenario_.cook.reaction_spread_s));
}

const IngredientModel& World::ingredient(const std::string& name) {
  for (const auto& one : scenario_.ingredients) {
    if (one.name == name) return one;
  }
  IngredientModel unknown;
  unknown.name = name;
  scenario_.ingredients.push_back(unknown);
  return scenario_.ingredients.back();
}

void World::react() {
  while (!pending_.empty() && pending_.front().first <= now_ms_) {
    const Heard heard = pending_.front().second;
    pending_.pop_front();
    plan_for(heard);
  }
}

void World::plan_for(const Heard& heard) {
  const auto begin = [&](std::deque<Act> acts) { acts_ = std::move(acts); };
  if (heard.id == "off_boil") relight();
  if (answer(heard) || hear_of_trays(heard)) return;
  if (heard.id == "stop") {
    if (stop_in_s_ >= 0) return;
    stop_in_s_ = 0;
    for (std::size_t i = 0; i < scenario_.slips.size(); ++i) {
      if (slips_done_[i] || scenario_.slips[i].ingredient != current_) continue;
      slips_done_[i] = true;
      stop_in_s_ = scenario_.slips[i].late_s;
    }
  } else if (heard.id == "slow") {
    slow_factor_ = 0.4;
  } else if (heard.id == "scale_lost") {
    stop_in_s_ = 0;
  } else if (heard.id == "weigh") {
    plan_weighing(heard);
  } else if (heard.id == "vessel_seen" && current_ == heard.ingredient && in_g() == 0) {
    begin_pour(heard, 0.8);
  } else if (heard.id == "more" && heard.amount_g > 0) {
    if (!heard.ingredient.empty()) current_ = heard.ingredient;  // a top-up is of another one
    begin({{Act::What::pause, 1.0}, {Act::What::pour, 0, heard.amount_g}});
  } else if (heard.id == "more") {  // "if that is all": it is
    begin({{Act::What::pause, 1.5}, {Act::What::press}});
  } else if (heard.id == "over" && heard.amount_g > 0) {
    begin({{Act::What::pause, 2.0}, {Act::What::spoon_out, 0, heard.amount_g}});
  } else if (heard.id == "undecided") {
    begin({{Act::What::pause, 2.0}, {Act::What::spoon_out, 0, heard.amount_g}});
  } else if (heard.id == "lift") {
    begin({{Act::What::pause, 1.0},
           {Act::What::lift},
           {Act::What::pause, 12.0},
           {Act::What::vessel}});
  } else if (heard.id == "clear") {
    begin(
        {{Act::What::pause, 1.0}, {Act::What::lift}, {Act::What::pause, 4.0}, {Act::What::press}});
  } else if (heard.id == "vessel") {
    begin({{Act::What::pause, 0.5}, {Act::What::vessel}});
  } else if (heard.id == "by_measure") {
    current_ = heard.ingredient;
    begin({{Act::What::pause, 8.0}, {Act::What::by_eye}, {Act::What::press}});
  } else if (heard.id == "seal_asked") {
    answer_for_jar(heard);
  } else if (heard.id == "dwell_done" || heard.id == "too_long") {
    burner(PotName::pan, 0);
  }
}

// Without a vessel on the scale the cook puts one there and waits until it is taken as tare.
void World::plan_weighing(const Heard& heard) {
  drop_errands({});
  current_ = heard.ingredient;
  on_fine_ = scenario_.fine && ingredient(current_).fine;
  // Tipped out, and clean for what comes next.
  const double away_s = std::exchange(fine_vessel_on_, false) ? 8 : 1.5;
  fine_content_g_ = 0;
  if (vessel_here()) {
    begin_pour(heard, 3.5);
    return;
  }
  acts_.clear();
  acts_.push_back({Act::What::pause, away_s});
  acts_.push_back({Act::What::vessel});
}

void World::begin_pour(const Heard& heard, double after_s) {
  const auto& model = ingredient(current_);
  const double wanted = model.has_g > 0 ? model.has_g : heard.amount_g;
  acts_.clear();
  acts_.push_back({Act::What::pause, after_s});
  acts_.push_back({model.style == "scoop" ? Act::What::scoop : Act::What::pour, 0, wanted});
}

// Goes on with one act; true when it is done.
bool World::perform(Act& act, double seconds) {
  switch (act.what) {
    case Act::What::pause:
      act.seconds -= seconds;
      return act.seconds <= 0;
    case Act::What::vessel:
      vessel_here() = true;
      return true;
    case Act::What::lift:
      vessel_here() = false;
      return true;
    case Act::What::press:
      ++presses_;
      return true;
    case Act::What::by_eye:
      add(ingredient(current_).has_g * cook_chance_.normal(1, scenario_.cook.care));
      return true;
    case Act::What::spoon_out:
      add(-act.grams * cook_chance_.normal(1, scenario_.cook.care));
      return true;
    case Act::What::tray_on:
      return put_tray(act, seconds);
    case Act::What::tray_off:
      on_scale_.reset();
      return true;
    case Act::What::out_of_drier:
      drying_ = false;
      for (auto& tray : drier_->trays()) tray.lift_g = scenario_.trays->drier.warm_g;
      return true;
    case Act::What::other_off:
      other_g_ = 0;
      return true;
    case Act::What::into_drier:
      drying_ = true;
      return true;
    case Act::What::pour:
      return pour(act, seconds);
    case Act::What::scoop:
      return scoop(act, seconds);
  }
  return true;
}

bool World::pour(Act& act, double seconds) {
  const auto& model = ingredient(current_);
  if (!act.begun) {
    act.begun = true;
    act.left = act.grams * gives_up_at;
    slow_factor_ = 1;
    stop_in_s_ = -1;
    closing_left_s_ = scenario_.cook.closing_s;
    // What is missing is added gently: a few seconds for it.
    const double gentle = std::min(model.flow_g_s, std::max(2.0, act.grams / 4));
    flow_g_s_ = (in_g() > 0 ? gentle : model.flow_g_s) * cook_chance_.normal(1, 0.1);
  }
  double open = 1;
  if (stop_in_s_ >= 0) {
    stop_in_s_ = std::max(0.0, stop_in_s_ - seconds);
    if (stop_in_s_ == 0) {
      closing_left_s_ -= seconds;
      if (closing_left_s_ <= 0) return true;
      open = closing_left_s_ / std::max(scenario_.cook.closing_s, seconds);
    }
  }
  const double grams = std::max(0.0, flow_g_s_ * slow_factor_ * open * seconds);
  add(grams);
  act.left -= grams;
  return act.left <= 0;
}

// Scoop by scoop until what is wanted is in; the last one is only as full as needed.
bool World::scoop(Act& act, double seconds) {
  const auto& model = ingredient(current_);
  if (!act.begun) {
    act.begun = true;
    act.left = act.grams;
    act.seconds = 0;
    flow_g_s_ = 0;
  }
  if (act.seconds <= 0) {
    if (act.left <= 0.5) return true;
    const double full = std::min(act.left, model.scoop_g * cook_chance_.normal(1, 0.1));
    // The cook sees the display, and levels the last scoop by eye.
    const double scooped =
        full < act.left ? full : full * cook_chance_.normal(1, scenario_.cook.care);
    act.left -= full;
    flow_g_s_ = scooped / scoop_falls_s;
    act.seconds = scoop_falls_s + between_scoops_s;
    closing_left_s_ = scoop_falls_s;
  }
  act.seconds -= seconds;
  if (closing_left_s_ > 0) {
    const double falling = std::min(seconds, closing_left_s_);
    add(flow_g_s_ * falling);
    closing_left_s_ -= seconds;
  }
  return false;
}

}  // namespace maslin::kitchen
