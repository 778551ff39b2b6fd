// What happens at the devices, and how its consequences reach the store, the listeners and the
// cook.
#include "daemon/session/session.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "daemon/runtime/log.hpp"
#include "proto/json.hpp"

namespace maslin::session {
namespace {

constexpr auto flush_after = std::chrono::seconds(1);
constexpr auto longest_catching_up = std::chrono::milliseconds(500);
constexpr std::int64_t sleep_worth_noting_ms = 1000;
constexpr int most_at_the_same_ms = 100;  // timers, one after the other
constexpr std::int64_t clock_step_worth_noting_ms = 2000;

}  // namespace

Session::Session(asio::io_context& io, store::Store& store, Pace pace, std::string build)
    : io_(io),
      store_(store),
      pace_(pace),
      build_(std::move(build)),
      calibrations_(io, store),
      probes_(io, store),
      deadline_timer_(io),
      flush_timer_(io),
      slept_ms_(runtime::RealClock::slept_ms()),
      utc_less_ms_seen_(real_clock_.utc_ms() - real_clock_.now_ms()),
      go_on_timer_(io),
      pace_timer_(io) {
  store_.on_trouble = [this](bool failing, const std::string& why) { store_trouble(failing, why); };
  if (const auto kept = store_.kept("settings")) {
    if (auto settings = proto::from_json<proto::Settings>(*kept)) settings_ = *settings;
  }
  taken_off_for_ = store_.kept("facts/taken_off_for").value_or("");
  if (const auto kept = store_.kept("facts")) {
    if (auto facts = proto::from_json<proto::Facts>(*kept)) facts_ = *facts;
  }
}

Session::~Session() { store_.on_trouble = nullptr; }

void Session::attach(devices::Devices& devices, Listener& listener) {
  devices_ = &devices;
  listener_ = &listener;
  std::map<proto::Role, std::string> roles;
  for (const auto& [key, id] : store_.kept_under("role/")) {
    proto::Role role = proto::Role::none;
    if (proto::from_name(key.substr(5), role)) roles[role] = id;
  }
  devices_->registry().restore(std::move(roles));
}

std::int64_t Session::now_ms() const {
  return pace_.simulated ? simulated_clock_.now_ms() : real_clock_.now_ms() + offset_ms_;
}

std::int64_t Session::utc_less_ms() const {
  return pace_.simulated ? simulated_clock_.utc_ms() - simulated_clock_.now_ms()
                         : real_clock_.utc_ms() - now_ms();
}

std::int64_t Session::local_less_ms() const {
  const runtime::Clock& clock =
      pace_.simulated ? static_cast<const runtime::Clock&>(simulated_clock_) : real_clock_;
  return utc_less_ms() + clock.zone_ms();
}

// ---- devices ----------------------------------------------------------------------------------

void Session::happened(std::span<const devices::Happening> all) {
  if (full()) return;  // nothing is taken in; the devices count as silent by their last reading
  if (!pace_.simulated) notice_machine();
  for (const auto& one : all) take(one);
  if (live_ && live_->has_unflushed()) flush_soon();
  arm();
}

Session::Lease* Session::lease_of(devices::Number device) {
  const auto it = leases_.find(device);
  if (it != leases_.end()) return &it->second;
  // A device that was leased before the daemon restarted has another number and the same identity.
  const auto& id = devices_->registry().description(device).id;
  for (auto& [number, lease] : leases_) {
    if (lease.id != id) continue;
    const auto moved = leases_.emplace(device, lease).first;
    leases_.erase(number);
    return &moved->second;
  }
  return nullptr;
}

void Session::take(const devices::Happening& one) {
  const std::int64_t at_ms = one.at_ms + offset_ms_;
  if (pace_.simulated) {
    advance_to(at_ms, false);
    simulated_clock_.move_to(at_ms);
  }
  calibrations_.take(one);
  probes_.take(one);
  Lease* lease = live_ && !goes_on_ ? lease_of(one.device) : nullptr;
  if (lease == nullptr || live_->engine().ended()) return;
  if (!pace_.simulated) advance_to(at_ms, false);
  const auto back = [&] {
    if (!std::exchange(lease->away, false)) return;
    give(proto::DeviceEvent{lease->index, "back", ""}, at_ms);
  };
  switch (one.kind) {
    case devices::Happening::Kind::arrived:
      lease->last_ms = at_ms;
      back();
      break;
    case devices::Happening::Kind::left:
      if (!std::exchange(lease->away, true)) {
        give(proto::DeviceEvent{lease->index, "lost", one.why}, at_ms);
      }
      break;
    case devices::Happening::Kind::reading: {
      lease->last_ms = at_ms;
      auto reading = one.reading;
      reading.at_ms = at_ms;
      reading.device = lease->index;
      if (live_->engine().passes_over(reading)) break;
      back();
      dispatch(live_->reading(reading, utc_less_ms()));
      break;
    }
  }
}

void Session::give(const proto::Input& input, std::int64_t at_ms) {
  dispatch(live_->input(at_ms, utc_less_ms(), input));
}

void Session::plugin_changed(const proto::PluginState& state) {
  runtime::log::info("plugin " + state.name + " " + state.condition +
                     (state.why.empty() ? "" : ": " + state.why));
}

void Session::plugin_said(const std::string& plugin, int level, const std::string& text) {
  runtime::log::write(static_cast<runtime::log::Level>(std::clamp(level, 0, 3)),
                      plugin + ": " + text);
}

// ---- consequences -----------------------------------------------------------------------------

void Session::dispatch(Consequence consequence) {
  std::vector<Publication> later;
  for (auto& publication : consequence.publications) {
    if (publication.effect == proto::Effect::settled) {
      later.push_back(std::move(publication));
    } else {
      publish(publication);
    }
  }
  if (!consequence.records()) return;
  learn();
  write(std::move(consequence.step), std::move(later));
}

// What the next plan foresees: how long the canner takes, what is left of jars and lids, and what
// pours and scales have taught.
void Session::learn() {
  if (pace_.simulated) return;
  take_off_used();
  if (const auto& learned = live_->engine().learned(); learned != facts_.learned) {
    facts_.learned = learned;
    store_.keep("facts", proto::to_json(facts_));
  }
  const auto took_ms = live_->engine().canner_took_ms();
  if (!took_ms) return;
  const double minutes = std::round(static_cast<double>(*took_ms) / 6000) / 10;
  if (minutes < 1 || minutes > 240 || facts_.canner_min == minutes) return;
  facts_.canner_min = minutes;
  store_.keep("facts", proto::to_json(facts_));
}

void Session::write(store::Step step, std::vector<Publication> publications) {
  ++written_;
  unwritten_.push_back({std::move(step), std::move(publications)});
  if (unwritten_.size() > 1) return;  // others wait already
  write_on();
  if (full()) {
    runtime::log::error("the record can take no more until the disk does: nothing is watched now");
  }
}

// Hands what waits to the store, as far as it has room.
void Session::write_on() {
  while (full()) {
    const bool taken = store_.append(std::move(unwritten_.front().step),
                                     [this, texts = unwritten_.front().publications] {
                                       ++durable_;
                                       for (const auto& publication : texts) publish(publication);
                                       tell_waiting();
                                       if (full()) {
                                         write_on();
                                         arm();
                                       }
                                       grant_when_durable();
                                     });
    if (!taken) return;
    unwritten_.pop_front();
  }
}

void Session::when_durable(std::function<void()> then) {
  wait_for_disk_.emplace_back(written_, std::move(then));
  tell_waiting();
}

void Session::tell_waiting() {
  while (!wait_for_disk_.empty() && (wait_for_disk_.front().first <= durable_ || store_failing_)) {
    const auto then = std::move(wait_for_disk_.front().second);
    wait_for_disk_.pop_front();
    then();
  }
}

void Session::publish(const Publication& publication) {
  if (!live_) return;
  if (publication.effect == proto::Effect::live) {
    listener_->progress(live_->name(), publication.text);
    return;
  }
  listener_->entry(live_->name(), publication.text);
  if (!publication.is_cue) return;
  devices_->cue(publication.at_ms - offset_ms_, publication.text);
  cue_sent_ = true;
}

void Session::store_trouble(bool failing, const std::string& why) {
  if (failing == store_failing_) return;
  store_failing_ = failing;
  runtime::log::error(failing ? "the record cannot be written: " + why
                              : "the record can be written again");
  write_on();
  tell_waiting();
  if (!pace_.simulated) notice_machine();
  if (live_ && !live_->engine().ended()) give(proto::StoreEvent{failing, why}, now_ms());
}

void Session::flush_soon() {
  if (flush_armed_) return;
  flush_armed_ = true;
  flush_timer_.expires_after(flush_after);
  flush_timer_.async_wait([this](const asio::error_code& fault) {
    if (fault) return;  // cancelled: the session may be gone
    flush_armed_ = false;
    flush();
  });
}

void Session::flush() {
  if (live_ && live_->has_unflushed()) write(live_->flush(), {});
}

// ---- time -------------------------------------------------------------------------------------

// The soonest of the engine's deadline and of the moments at which a leased device falls silent.
std::optional<std::int64_t> Session::next_deadline_ms() const {
  if (!live_ || goes_on_ || live_->engine().ended()) return std::nullopt;
  auto next = live_->engine().deadline_ms();
  for (const auto& [number, lease] : leases_) {
    if (lease.away || lease.silent_after_ms == 0) continue;
    const std::int64_t silent_ms = lease.last_ms + lease.silent_after_ms;
    if (!next || silent_ms < *next) next = silent_ms;
  }
  return next;
}

void Session::advance_to(std::int64_t at_ms, bool inclusive) {
  int at_the_same_ms = 0;
  for (std::int64_t last = INT64_MIN; !full();) {
    const auto next = next_deadline_ms();
    if (!next || *next > at_ms || (*next == at_ms && !inclusive)) return;
    // A deadline that its own timer does not end would fill the record and never come back.
    at_the_same_ms = *next > last ? 0 : at_the_same_ms + 1;
    if (at_the_same_ms > most_at_the_same_ms) {
      runtime::log::error("a deadline of batch " + live_->name() +
                          " does not end; it is passed over");
      return;
    }
    last = *next;
    if (pace_.simulated) simulated_clock_.move_to(*next);
    bool fell_silent = false;
    for (auto& [number, lease] : leases_) {
      if (lease.away || lease.silent_after_ms == 0 || lease.last_ms + lease.silent_after_ms > *next)
        continue;
      lease.away = true;
      fell_silent = true;
      give(proto::DeviceEvent{lease.index, "silent",
                              "no reading for " + std::to_string(lease.silent_after_ms / 1000) +
                                  " s"},
           *next);
    }
    if (!fell_silent) give(proto::Timer{"deadline"}, *next);
  }
}

void Session::arm() {
  if (pace_.simulated) return;
  const auto next = next_deadline_ms();
  if (!next || full()) {
    deadline_timer_.cancel();
    return;
  }
  deadline_timer_.expires_after(
      std::chrono::milliseconds(std::max<std::int64_t>(0, *next - now_ms())));
  deadline_timer_.async_wait([this](const asio::error_code& fault) {
    if (fault) return;
    notice_machine();
    advance_to(now_ms(), true);
    arm();
  });
}

// A suspend and a step of UTC are inputs like any other.
void Session::notice_machine() {
  const std::int64_t slept = runtime::RealClock::slept_ms();
  const std::int64_t utc_less = utc_less_ms();
  const bool running = live_ && !live_->engine().ended();
  if (slept - slept_ms_ > sleep_worth_noting_ms) {
    if (running) give(proto::Suspend{slept - slept_ms_}, now_ms());
    slept_ms_ = slept;
  }
  if (std::abs(utc_less - utc_less_ms_seen_) > clock_step_worth_noting_ms) {
    if (running) give(proto::ClockStep{utc_less - utc_less_ms_seen_}, now_ms());
    utc_less_ms_seen_ = utc_less;
  }
}

void Session::window_done(std::int64_t reached_ms, std::int64_t next_ms) {
  advance_to(reached_ms + offset_ms_, true);
  simulated_clock_.move_to(reached_ms + offset_ms_);
  window_next_ms_ = next_ms;
  go_on();
  grant_when_durable();
}

// Simulated time stands still without a batch, and while an effect that must be durable is not.
void Session::grant_when_durable() {
  if (!window_next_ms_ || not_durable() > 0 || !live_ || live_->engine().ended()) return;
  std::int64_t soonest = *window_next_ms_;
  if (const auto deadline = next_deadline_ms()) soonest = std::min(soonest, *deadline - offset_ms_);
  // Who waited for nothing may have been woken by a cue.
  if (cue_sent_) soonest = std::min(soonest, simulated_clock_.now_ms() - offset_ms_);
  if (soonest == INT64_MAX) return;  // nothing will ever happen: only a command can go on
  const std::int64_t until = soonest + devices_->shortest_reaction_ms();
  if (pace_.times > 0) {
    const auto now = std::chrono::steady_clock::now();
    if (!pace_from_) pace_from_ = {until, now};
    const auto ahead = std::chrono::duration<double, std::milli>(
        static_cast<double>(until - pace_from_->first) / pace_.times);
    const auto due =
        pace_from_->second + std::chrono::duration_cast<std::chrono::steady_clock::duration>(ahead);
    if (due < now - longest_catching_up) pace_from_ = {until, now};  // time stood still meanwhile
    if (due > now) {
      pace_timer_.expires_at(due);
      pace_timer_.async_wait([this](const asio::error_code& fault) {
        if (!fault) grant_when_durable();
      });
      return;
    }
  }
  window_next_ms_.reset();
  cue_sent_ = false;
  devices_->grant(until);
}

}  // namespace maslin::session
