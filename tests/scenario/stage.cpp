// Time, devices and what happens to them. The questions that a test asks are in stage_told.cpp.
#include "stage.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>

#include "daemon/formula/read.hpp"
#include "daemon/plan/plan.hpp"

namespace maslin::scenario {
namespace {

using proto::Quantity;
using proto::Role;

constexpr std::int64_t never_ms = INT64_MAX;
constexpr std::int64_t least_silence_ms = 3000;  // as the session has it
constexpr std::int64_t flush_ms = 1000;          // readings reach the disk no later
constexpr int most_at_the_same_ms = 100;         // timers

std::int64_t in_ms(double seconds) { return std::llround(seconds * 1000); }

}  // namespace

std::string file_text(const std::string& name) {
  std::ifstream file(std::string(MASLIN_SOURCE_DIR) + "/" + name);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

kitchen::Scenario kitchen_of(const std::string& toml) {
  auto read = kitchen::read_scenario(toml, "kitchen.toml");
  EXPECT_EQ(read.trouble, "");
  return read.scenario;
}

Stage::Stage(const Setting& setting)
    : setting_(setting), world_(setting.kitchen), engine_(std::make_unique<batch::Engine>()) {
  proto::Start start;
  start.batch = "scenario";
  start.formula_text = setting.formula;
  start.formula_file = "formula.toml";
  start.request = setting.request;
  start.facts = setting.facts;
  start.settings.altitude_m = setting.altitude_m;
  start.settings.scale_lag_s = setting.kitchen.scale.lag_s;
  start.local_less_ms = in_ms(setting.starts_h * 3600);
  const auto& scale_model = setting.kitchen.scale;
  proto::DeviceDescription scale;
  scale.id = "kitchen:scale:1";
  scale.interval_ug = std::llround(scale_model.interval_g * 1e6);
  scale.capacity_ug = std::llround(scale_model.capacity_g * 1e6);
  scale.period_ms = std::llround(1000 / scale_model.rate_hz);
  if (setting.scale) lease(Role::bench, scale, start);
  if (setting.scale && setting.kitchen.fine) {
    proto::DeviceDescription fine;
    fine.id = "kitchen:fine:1";
    fine.interval_ug = std::llround(setting.kitchen.fine->interval_g * 1e6);
    fine.capacity_ug = std::llround(setting.kitchen.fine->capacity_g * 1e6);
    fine.period_ms = std::llround(1000 / setting.kitchen.fine->rate_hz);
    lease(Role::fine, fine, start);
  }
  proto::DeviceDescription probe;
  probe.id = "kitchen:probe:1";
  probe.quantity = Quantity::temperature;
  probe.period_ms = in_ms(setting.kitchen.probe.period_s);
  if (setting.pan) lease(Role::pan, probe, start);
  probe.id = "kitchen:canner:1";
  probe.period_ms = in_ms(setting.kitchen.canner_probe.period_s);
  if (setting.canner && setting.kitchen.canner) {
    lease(Role::canner, probe, start);
    start.devices.back().probe = setting.canner_probe;
  }
  probe.id = "kitchen:room:1";
  probe.period_ms = in_ms(setting.kitchen.room_probe.period_s);
  if (setting.room && setting.kitchen.room) {
    lease(Role::room, probe, start);
    start.devices.back().probe = setting.room_probe;
  }
  proto::DeviceDescription pedal;
  pedal.id = "kitchen:pedal:1";
  pedal.quantity = Quantity::press;
  if (setting.pedal) lease(Role::pedal, pedal, start);

  const auto formula = formula::read(setting.formula, start.formula_file);
  if (!formula) {
    refused_ = proto::line(formula.error().front());
    return;
  }
  const auto plan =
      plan::make(*formula, start.request, {start.devices, start.settings, start.facts});
  if (!plan) {
    refused_ = proto::line(plan.error().front());
    return;
  }
  plan_ = start.plan = *plan;
  feed(0, start);
}

Stage::~Stage() = default;

void Stage::lease(Role role, proto::DeviceDescription description, proto::Start& start) {
  const std::int64_t period_ms = description.period_ms;
  leases_.push_back({role, period_ms > 0 ? std::max(least_silence_ms, 3 * period_ms) : 0, 0, false,
                     0, 0, 0, 0, false});
  start.devices.push_back({role, std::move(description)});
}

Stage::Lease* Stage::lease(Role role) {
  const auto found = std::find_if(leases_.begin(), leases_.end(),
                                  [&](const Lease& one) { return one.role == role; });
  return found == leases_.end() ? nullptr : &*found;
}

// ---- time ---------------------------------------------------------------------------------------

void Stage::run(double longest_s, const std::function<bool()>& until) {
  EXPECT_EQ(refused_, "");
  if (!refused_.empty()) return;
  const std::int64_t end_ms = in_ms(longest_s);
  int at_the_same = 0;
  while (!ended() && !(until && until())) {
    const std::int64_t timer_ms = std::max(next_timer_ms(), now_ms_);
    const std::int64_t world_ms = world_.next_ms();
    if (std::min(timer_ms, world_ms) > end_ms) {
      now_ms_ = std::max(now_ms_, end_ms);
      return;
    }
    // At equal times the reading comes first.
    if (timer_ms < world_ms) {
      world_.advance(timer_ms, *this);
      at_the_same = timer_ms == now_ms_ ? at_the_same + 1 : 0;
      now_ms_ = std::max(now_ms_, timer_ms);
      if (next_timer_ms() <= now_ms_) fire(now_ms_);
      ASSERT_LT(at_the_same, most_at_the_same_ms) << "a deadline that does not end";
    } else {
      world_.advance(world_ms, *this);
      if (world_ms > now_ms_) at_the_same = 0;
      now_ms_ = std::max(now_ms_, world_ms);
    }
  }
}

void Stage::run_to(const std::string& phase, double after_s) {
  bool there = false;
  when(phase, after_s, [&there] { there = true; });
  run(7 * 86'400, [&there] { return there; });
  EXPECT_TRUE(there) << "there was no " << phase << diary();
}

std::int64_t Stage::next_timer_ms() const {
  std::int64_t next = agenda_.empty() ? never_ms : agenda_.begin()->first;
  if (deaf_) return next;
  if (const auto deadline = engine_->deadline_ms()) next = std::min(next, *deadline);
  for (const auto& one : leases_) {
    if (!one.away && one.silent_after_ms > 0) {
      next = std::min(next, one.last_ms + one.silent_after_ms);
    }
  }
  return next;
}

// Everything that is due, as the session does it: what falls silent before a timer.
void Stage::fire(std::int64_t at_ms) {
  while (!agenda_.empty() && agenda_.begin()->first <= at_ms) {
    const auto what = std::move(agenda_.begin()->second);
    agenda_.erase(agenda_.begin());
    what();
  }
  if (deaf_ || ended()) return;
  bool fell_silent = false;
  for (std::size_t i = 0; i < leases_.size(); ++i) {
    auto& one = leases_[i];
    if (one.away || one.silent_after_ms == 0 || one.last_ms + one.silent_after_ms > at_ms) continue;
    one.away = true;
    fell_silent = true;
    feed(one.last_ms + one.silent_after_ms,
         proto::DeviceEvent{static_cast<std::uint16_t>(i), "silent",
                            "no reading for " + std::to_string(one.silent_after_ms / 1000) + " s"});
  }
  if (fell_silent) return;
  if (const auto deadline = engine_->deadline_ms(); deadline && *deadline <= at_ms) {
    feed(*deadline, proto::Timer{"deadline"});
  }
}

// ---- what happens -------------------------------------------------------------------------------

void Stage::at(double seconds, std::function<void()> what) {
  agenda_.emplace(in_ms(seconds), std::move(what));
}
void Stage::when(const std::string& phase, double after_s, std::function<void()> what) {
  for (const auto& one : said_) {  // it has begun already
    const auto* began = std::get_if<proto::PhaseBegan>(&one.outcome);
    if (began == nullptr || began->kind != phase) continue;
    agenda_.emplace(std::max(now_ms_, one.at_ms + in_ms(after_s)), std::move(what));
    return;
  }
  awaited_.push_back({phase, "", "", after_s, std::move(what)});
}
void Stage::on_cue(const std::string& id, const std::string& words, double after_s,
                   std::function<void()> what) {
  awaited_.push_back({"", id, words, after_s, std::move(what)});
}

void Stage::look_out_for(const proto::Outcome& outcome) {
  const auto* began = std::get_if<proto::PhaseBegan>(&outcome);
  const auto* cue = std::get_if<proto::Cue>(&outcome);
  std::erase_if(awaited_, [&](Awaited& one) {
    const bool it_is = one.phase.empty() ? cue != nullptr && cue->id == one.cue &&
                                               cue->text.find(one.words) != std::string::npos
                                         : began != nullptr && began->kind == one.phase;
    if (it_is) agenda_.emplace(engine_->now_ms() + in_ms(one.after_s), std::move(one.what));
    return it_is;
  });
}

std::string Stage::say(const std::string& word, const std::string& text) {
  if (deaf_) return "the daemon does not answer";
  const proto::Command command{word, text};
  if (const auto trouble = engine_->refuses(command, now_ms_)) return proto::line(*trouble);
  feed(now_ms_, command);
  return {};
}

void Stage::give(const proto::Input& input) {
  if (!deaf_) feed(now_ms_, input);
}

void Stage::restart(double gap_s, bool same_boot) {
  // Readings of the last second, and nothing that had a consequence, were not on disk yet.
  while (!fed_.empty() && !fed_.back().input && fed_.back().said == said_.size() &&
         fed_.back().at_ms > now_ms_ - flush_ms) {
    fed_.pop_back();
    --number_;
  }
  auto again = std::make_unique<batch::Engine>();
  EXPECT_EQ(fold(*again), "");
  engine_ = std::move(again);
  const std::int64_t gap_ms = in_ms(gap_s);
  fall_deaf(gap_s, [this, gap_ms, same_boot] {
    for (std::size_t i = 0; i < leases_.size(); ++i) {
      leases_[i].last_ms = now_ms_;
      leases_[i].away = engine_->lost(static_cast<std::uint16_t>(i));
    }
    return proto::Restart{same_boot ? "boot" : "another boot", gap_ms, same_boot, 0,
                          in_ms(setting_.starts_h * 3600)};
  });
}

void Stage::sleep(double gap_s) {
  const std::int64_t gap_ms = in_ms(gap_s);
  fall_deaf(gap_s, [gap_ms] { return proto::Suspend{gap_ms}; });
}

// The input that tells of the gap comes before any reading and any timer.
void Stage::fall_deaf(double gap_s, std::function<proto::Input()> wake) {
  if (std::exchange(deaf_, true)) return;
  agenda_.emplace(now_ms_ + in_ms(gap_s), [this, wake = std::move(wake)] {
    deaf_ = false;
    const auto input = wake();
    feed(now_ms_, input);
  });
}

void Stage::drop(Role role, double for_s) {
  if (auto* one = lease(role)) one->dropped_until_ms = now_ms_ + in_ms(for_s);
}
void Stage::stick(Role role, double celsius, double for_s) {
  auto* one = lease(role);
  if (one == nullptr) return;
  one->stuck_until_ms = now_ms_ + in_ms(for_s);
  one->stuck_tenths = std::llround(celsius * 10);
}
void Stage::send_fahrenheit(Role role) {
  if (auto* one = lease(role)) one->fahrenheit = true;
}
void Stage::shift(double kelvin, Role role) {
  if (auto* one = lease(role)) one->more_tenths = std::llround(kelvin * 10);
}

// ---- what the kitchen sends ---------------------------------------------------------------------

void Stage::scale_reading(std::int64_t at_ms, std::int64_t intervals, bool over) {
  now_ms_ = std::max(now_ms_, at_ms);
  // Tenths of a gram, so that every interval from 0.1 g up is whole.
  const auto tenths =
      std::llround(static_cast<double>(intervals) * setting_.kitchen.scale.interval_g * 10);
  read(at_ms, Role::bench, tenths, -1, proto::Unit::g, Quantity::mass,
       over ? proto::state::over : 0);
}

void Stage::fine_reading(std::int64_t at_ms, std::int64_t intervals, bool over) {
  now_ms_ = std::max(now_ms_, at_ms);
  const auto hundredths =
      std::llround(static_cast<double>(intervals) * setting_.kitchen.fine->interval_g * 100);
  read(at_ms, Role::fine, hundredths, -2, proto::Unit::g, Quantity::mass,
       over ? proto::state::over : 0);
}

void Stage::scale_there(std::int64_t at_ms, bool there) {
  now_ms_ = std::max(now_ms_, at_ms);
  auto* one = lease(Role::bench);
  if (one == nullptr || deaf_) return;
  one->last_ms = at_ms;
  if (std::exchange(one->away, !there) == !there) return;
  feed(at_ms, proto::DeviceEvent{static_cast<std::uint16_t>(one - leases_.data()),
                                 there ? "back" : "lost", there ? "" : "unplugged"});
}

void Stage::probe_reading(std::int64_t at_ms, std::int64_t tenths_c) {
  heat_reading(at_ms, swapped_ ? Role::canner : Role::pan, tenths_c);
}
void Stage::canner_reading(std::int64_t at_ms, std::int64_t tenths_c) {
  if (const auto* water = world_.canner()) {
    under_.push_back({at_ms, water->boils_at_c() - water->temperature_c()});
  }
  heat_reading(at_ms, swapped_ ? Role::pan : Role::canner, tenths_c);
}

void Stage::room_reading(std::int64_t at_ms, std::int64_t tenths_c) {
  heat_reading(at_ms, Role::room, tenths_c);
}

void Stage::heat_reading(std::int64_t at_ms, Role role, std::int64_t tenths_c) {
  now_ms_ = std::max(now_ms_, at_ms);
  const auto* one = lease(role);
  if (one == nullptr) return;
  auto shown = at_ms < one->stuck_until_ms ? one->stuck_tenths : tenths_c + one->more_tenths;
  if (one->fahrenheit) shown = shown * 9 / 5 + 320;
  read(at_ms, role, shown, -1, proto::Unit::celsius, Quantity::temperature, 0);
}

void Stage::pedal(std::int64_t at_ms, std::int64_t presses) {
  now_ms_ = std::max(now_ms_, at_ms);
  if (setting_.pedal) {
    read(at_ms, Role::pedal, presses, 0, proto::Unit::count, Quantity::press, 0);
  } else {
    (void)say("ok");
  }
}

void Stage::read(std::int64_t at_ms, Role role, std::int64_t digits, std::int8_t exponent,
                 proto::Unit unit, Quantity quantity, std::uint16_t state) {
  auto* one = lease(role);
  if (one == nullptr || deaf_ || ended() || at_ms < one->dropped_until_ms) return;
  const auto device = static_cast<std::uint16_t>(one - leases_.data());
  one->last_ms = at_ms;
  proto::Reading reading;
  reading.at_ms = at_ms;
  reading.digits = digits;
  reading.device = device;
  reading.state = state;
  reading.exponent = exponent;
  reading.unit = unit;
  reading.quantity = quantity;
  if (engine_->passes_over(reading)) return;
  if (std::exchange(one->away, false)) feed(at_ms, proto::DeviceEvent{device, "back", ""});
  reading.number = ++number_;
  fed_.push_back({at_ms, said_.size(), reading, nullptr});
  take(engine_->reading(reading));
}

void Stage::feed(std::int64_t at_ms, const proto::Input& input) {
  fed_.push_back({at_ms, said_.size(), {}, std::make_shared<const proto::Input>(input)});
  take(engine_->input(at_ms, input));
}

void Stage::take(std::span<const proto::Outcome> outcomes) {
  const std::vector<proto::Outcome> kept(outcomes.begin(), outcomes.end());
  for (const auto& outcome : kept) {
    if (const auto* cue = std::get_if<proto::Cue>(&outcome)) {
      world_.hear({engine_->now_ms(), cue->id, cue->text, cue->ingredient,
                   static_cast<double>(cue->amount_ug) / 1e6});
    }
    if (proto::effect_of(outcome) != proto::Effect::live) {
      said_.push_back({engine_->now_ms(), world_.last_change_ms(), outcome});
    }
    look_out_for(outcome);
  }
}

}  // namespace maslin::scenario
