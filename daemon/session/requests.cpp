// The questions and commands of session.hpp: formulas, plans, devices, and the words to the running
// batch.
#include <algorithm>
#include <utility>

#include "daemon/formula/read.hpp"
#include "daemon/plan/barometer.hpp"
#include "daemon/quantity/readings.hpp"
#include "daemon/record/hash.hpp"
#include "daemon/runtime/log.hpp"
#include "daemon/session/rerun.hpp"
#include "daemon/session/session.hpp"
#include "proto/json.hpp"

namespace maslin::session {
namespace {

// Plugins are up by then, and have announced what they have (common practice, no source).
constexpr auto devices_come_up = std::chrono::seconds(1);

constexpr proto::Role all_roles[] = {proto::Role::bench,  proto::Role::fine, proto::Role::pan,
                                     proto::Role::canner, proto::Role::room, proto::Role::pedal};

tl::unexpected<proto::Troubles> refused(std::string what, std::string where, std::string todo) {
  return tl::unexpected<proto::Troubles>(
      proto::Troubles{{std::move(what), std::move(where), std::move(todo)}});
}

}  // namespace

proto::FormulaChecked Session::check(const proto::FormulaCheck& request) const {
  proto::FormulaChecked answer;
  const auto formula = formula::read(request.text, request.file);
  answer.good = formula.has_value();
  if (formula) {
    answer.name = formula->name;
  } else {
    answer.troubles = formula.error();
  }
  return answer;
}

std::vector<proto::LeasedDevice> Session::leasable() const {
  std::vector<proto::LeasedDevice> devices;
  const auto& registry = devices_->registry();
  for (const auto role : all_roles) {
    if (const auto number = registry.device_for(role)) {
      const auto& description = registry.description(*number);
      devices.push_back(
          {role, description, calibrations_.of(description), probes_.of(description)});
    }
  }
  return devices;
}

plan::Equipment Session::equipment() const {
  return {leasable(), settings_, facts_, idle_scales()};
}

// Plugged in, and without a role.
std::vector<proto::DeviceDescription> Session::idle_scales() const {
  std::vector<proto::DeviceDescription> idle;
  for (const auto& device : devices_->registry().list(now_ms() - offset_ms_)) {
    const auto& what = device.description;
    if (what.quantity != proto::Quantity::mass || device.role != proto::Role::none ||
        device.condition == "not in simulated time" || device.condition.starts_with("lost") ||
        device.condition == "not there") {
      continue;
    }
    idle.push_back(what);
  }
  return idle;
}

proto::Results<proto::Plan> Session::make_plan(const proto::PlanRequest& request) const {
  auto formula = formula::read(request.text, request.file);
  if (!formula) return tl::unexpected<proto::Troubles>(formula.error());
  formula->text_sha256 = record::sha256_hex(request.text);
  if (!request.parent.empty()) {
    const auto parent = store_.reader().find(request.parent);
    if (!parent) return tl::unexpected<proto::Troubles>(proto::Troubles{parent.error()});
  }
  auto plan = plan::make(*formula, request, equipment());
  if (plan) {
    note_idle_scales(*plan);
    note_barometer(*plan);
    for (auto& note : calibrations_.notes(leasable(), utc_ms())) {
      plan->notes.push_back(std::move(note));
    }
    for (auto& note : probes_.notes(*plan, leasable(), utc_ms())) {
      plan->notes.push_back(std::move(note));
    }
    note_parent(request, *plan);
  }
  return plan;
}

// What a barometer says is told, and used for nothing.
void Session::note_barometer(proto::Plan& plan) const {
  if (!plan.altitude_m) return;
  for (const auto& device : devices_->registry().list(now_ms() - offset_ms_)) {
    if (device.description.quantity != proto::Quantity::pressure || !device.last) continue;
    const auto pascals = quantity::pascals(*device.last);
    if (!pascals) continue;
    if (auto note = plan::barometer_note(*plan.altitude_m, *pascals); !note.empty()) {
      plan.notes.push_back(std::move(note));
    }
  }
}

void Session::note_parent(const proto::PlanRequest& request, proto::Plan& plan) {
  if (request.parent.empty()) return;
  plan.notes.push_back("Remake of batch " + request.parent +
                       ". Say which of its jars go in: maslin jar " + request.parent +
                       " NUMBERS remade");
}

// A scale that is plugged in and not used would leave the cook waiting for it.
void Session::note_idle_scales(proto::Plan& plan) const {
  const auto& registry = devices_->registry();
  if (registry.device_for(proto::Role::bench) || registry.device_for(proto::Role::fine)) return;
  for (const auto& what : idle_scales()) {
    plan.notes.push_back("The scale " + what.label +
                         " has no role and is not used: maslin assign bench " + what.id);
  }
}

proto::Results<proto::Plan> Session::plan(const proto::PlanRequest& request) const {
  return make_plan(request);
}

proto::DeviceList Session::devices() const {
  proto::DeviceList list{devices_->registry().list(now_ms() - offset_ms_), devices_->plugins()};
  for (proto::DeviceState& one : list.devices) {
    one.calibration = calibrations_.of(one.description);
    one.probe = probes_.of(one.description);
  }
  return list;
}

proto::Result<proto::DeviceState> Session::assign(const proto::Assign& request) {
  proto::Role role = proto::Role::none;
  if (!proto::from_name(request.role, role)) {
    return proto::trouble("there is no role '" + request.role + "'", "role",
                          "roles are bench, fine, pan, canner, room and pedal");
  }
  const auto device = devices_->registry().assign(role, request.device);
  if (!device) return tl::unexpected<proto::Trouble>(device.error());
  for (const auto& [known, id] : devices_->registry().roles()) {
    store_.keep("role/" + std::string(proto::name(known)), id);
  }
  auto state = devices_->registry().state(*device, now_ms() - offset_ms_);
  state.calibration = calibrations_.of(state.description);
  state.probe = probes_.of(state.description);
  return state;
}

void Session::calibrate(const proto::CalibrateRequest& request, Calibrations::Done done) {
  proto::Role role = proto::Role::none;
  if (!proto::from_name(request.role, role) || role == proto::Role::none ||
      role == proto::Role::pedal) {
    done(proto::trouble("'" + request.role + "' is no scale and no thermometer", "role",
                        "give bench or fine; pan, canner or room"));
    return;
  }
  const bool probe = proto::quantity_of(role) == proto::Quantity::temperature;
  if (pace_.simulated) {
    done(proto::trouble("time is simulated, and no real device is read", "",
                        "start maslind without --pace"));
    return;
  }
  const auto device = devices_->registry().device_for(role);
  if (!device) {
    done(proto::trouble("there is no " + request.role + (probe ? " thermometer" : " scale"), "role",
                        "maslin devices lists what is there; maslin assign gives it the role"));
    return;
  }
  if (probe) {
    calibrate_probe({*device, role, devices_->registry().description(*device)}, request,
                    std::move(done));
    return;
  }
  const Calibrations::Scale scale{*device, role, devices_->registry().description(*device),
                                  static_cast<std::int64_t>(settings_.scale_lag_s * 1000)};
  if (request.what == "forget") {
    calibrations_.forget(scale, done);
    return;
  }
  if (live_ && !live_->engine().ended()) {
    done(proto::trouble("batch " + live_->name() + " is running", "",
                        "calibrate before or after it"));
    return;
  }
  if (request.what == "begin") {
    calibrations_.begin(scale, std::move(done));
  } else if (calibrations_.under_way() != role) {
    done(proto::trouble("no calibration of the " + request.role + " scale is under way", "",
                        "empty the pan, then: maslin calibrate " + request.role));
  } else if (request.what == "load") {
    calibrations_.load(request, std::move(done));
  } else if (request.what == "finish") {
    calibrations_.finish(utc_ms(), std::move(done));
  } else {
    done(proto::trouble("'" + request.what + "' is no word of a calibration", "what",
                        "say begin, load, finish or forget"));
  }
}

void Session::calibrate_probe(const Probes::Probe& probe, const proto::CalibrateRequest& request,
                              Calibrations::Done done) {
  if (request.what == "forget") {
    probes_.forget(probe, done);
  } else if (live_ && !live_->engine().ended()) {
    done(proto::trouble("batch " + live_->name() + " is running", "",
                        "calibrate before or after it"));
  } else if (request.what == "ice" || request.what == "boiling") {
    probes_.point(probe, request, settings_.altitude_m, utc_ms(), std::move(done));
  } else {
    done(proto::trouble("say where the tip of the thermometer is", "what",
                        "maslin calibrate " + request.role + " --ice, then --boiling"));
  }
}

proto::Results<proto::BatchStatus> Session::start(const proto::PlanRequest& request) {
  if (live_ && !live_->engine().ended()) {
    return refused("batch " + live_->name() + " is running", "", "finish it, or: maslin stop");
  }
  if (not_durable() > 0) {
    return refused("the last batch is still being written", "", "try again in a moment");
  }
  if (store_failing_) {
    return refused("the record cannot be written", "", "make room on the disk first");
  }
  if (pace_.simulated && !window_next_ms_) {
    return refused("the simulated devices are not ready yet", "", "try again in a moment");
  }
  const auto plan = make_plan(request);
  if (!plan) return tl::unexpected<proto::Troubles>(plan.error());
  if (plan->keeping == "shelf" && !plan->asks.empty()) {
    proto::Troubles asks;
    for (const auto& one : plan->asks) {
      asks.push_back(
          {"a batch for the shelf has to know " + one, "", "or ask for --keeping refrigerator"});
    }
    return tl::unexpected<proto::Troubles>(std::move(asks));
  }
  if (!pace_.simulated) {  // a batch that began in an earlier boot is over
    offset_ms_ = 0;
    utc_less_ms_seen_ = utc_less_ms();
  }

  proto::Start start;
  start.offset_ms = offset_ms_;
  start.local_less_ms = local_less_ms();
  start.batch =
      store_.next_batch_name(pace_.simulated ? simulated_clock_.utc_ms() : real_clock_.utc_ms());
  start.formula_text = request.text;
  start.formula_file = request.file;
  start.formula_sha256 = plan->formula_sha256;
  start.request = request;
  start.request.text.clear();
  start.plan = *plan;
  start.settings = settings_;
  start.facts = facts_;
  start.devices = leasable();
  start.engine_revision = batch::engine_revision;
  start.build = build_;
  start.boot_id = pace_.simulated ? simulated_clock_.boot_id() : real_clock_.boot_id();
  start.clock_synchronised = pace_.simulated || real_clock_.utc_synchronised();
  const auto id = store_.new_batch(start.batch, plan->formula, now_ms() + utc_less_ms());
  if (!id) return tl::unexpected<proto::Troubles>(proto::Troubles{id.error()});

  calibrations_.give_up("a batch has begun");
  probes_.give_up("a batch has begun");
  live_ = std::make_unique<LiveBatch>(*id, start.batch);
  lease(start.devices);
  runtime::log::info("batch " + start.batch + " started: " + plan->formula);
  give(start, now_ms());
  arm();
  return live_->status();
}

void Session::lease(const std::vector<proto::LeasedDevice>& devices) {
  leases_.clear();
  for (std::size_t i = 0; i < devices.size(); ++i) {
    Lease lease;
    lease.index = static_cast<std::uint16_t>(i);
    lease.id = devices[i].description.id;
    const std::int64_t period = devices[i].description.period_ms;
    if (period > 0) lease.silent_after_ms = std::max<std::int64_t>(3000, 3 * period);
    lease.last_ms = now_ms();
    // The number under which the device is known now; a device that is not there gets one when it
    // comes.
    devices::Number number = UINT32_MAX - static_cast<devices::Number>(i);
    const auto found = devices_->registry().device_for(devices[i].role);
    if (found && devices_->registry().description(*found).id == lease.id) number = *found;
    leases_[number] = lease;
  }
}

proto::Result<void> Session::take_up_open_batch() {
  const auto rows = store_.reader().batches();
  if (!rows) return tl::unexpected<proto::Trouble>(rows.error());
  const auto open =
      std::find_if(rows->begin(), rows->end(), [](const auto& row) { return row.open; });
  if (open == rows->end()) return {};
  if (const auto intact = store_.reader().check_intact(open->id); !intact) {
    return tl::unexpected<proto::Trouble>(intact.error());
  }
  const auto record = store_.reader().load(open->id);
  if (!record) return tl::unexpected<proto::Trouble>(record.error());
  const auto again = rerun(*record);

  live_ = std::make_unique<LiveBatch>(open->id, open->name);
  live_->take_up(*record);
  if (pace_.simulated) {
    offset_ms_ = live_->engine().now_ms();  // the simulated devices begin at zero again
    simulated_clock_.move_to(offset_ms_);
  } else {
    go_on_timer_.expires_after(devices_come_up);
    go_on_timer_.async_wait([this](const asio::error_code& fault) {
      if (!fault) go_on();
    });
  }
  goes_on_ = again.first_difference;
  return {};
}

// Once the devices have come up, so that whoever gives cues hears the step again.
void Session::go_on() {
  if (!goes_on_) return;
  const std::string difference = *std::exchange(goes_on_, std::nullopt);
  proto::Restart restart;
  restart.boot_id = pace_.simulated ? simulated_clock_.boot_id() : real_clock_.boot_id();
  restart.same_boot = restart.boot_id == live_->boot_id();
  if (!pace_.simulated) {
    // The machine's clock begins at zero with every boot; the batch's goes on.
    if (restart.same_boot) {
      offset_ms_ = live_->offset_ms();
      restart.gap_ms = std::max<std::int64_t>(0, now_ms() - live_->engine().now_ms());
    } else {
      restart.gap_ms = std::max<std::int64_t>(0, real_clock_.utc_ms() - live_->last_utc_ms());
      offset_ms_ = live_->engine().now_ms() + restart.gap_ms - real_clock_.now_ms();
    }
    utc_less_ms_seen_ = utc_less_ms();
  }
  restart.offset_ms = offset_ms_;
  restart.local_less_ms = local_less_ms();
  lease(live_->devices());
  for (auto& [number, one] : leases_) one.away = live_->engine().lost(one.index);
  runtime::log::info("batch " + live_->name() + " goes on where it stood");
  give(restart, now_ms());
  if (!difference.empty()) {
    runtime::log::error("batch " + live_->name() + " folds differently: " + difference);
    give(proto::Command{"hold", "the record folds differently than it reads: " + difference},
         now_ms());
  }
  arm();
}

proto::Result<proto::BatchStatus> Session::word(const std::string& word,
                                                const proto::BatchWord& request) {
  if (!live_ || (!request.batch.empty() && request.batch != live_->name())) {
    return proto::trouble(
        request.batch.empty() ? "no batch is running" : request.batch + " is not running", "batch",
        "maslin start FORMULA begins one");
  }
  return tell(proto::Command{word, request.text});
}

// A word to the batch that is in memory, or why it would not be taken.
proto::Result<proto::BatchStatus> Session::tell(const proto::Input& input) {
  if (goes_on_) {
    return proto::trouble("the daemon has only just started", "batch", "try again in a second");
  }
  if (full()) {
    return proto::trouble("the record can take no more", "", "make room on the disk first");
  }
  if (!pace_.simulated) {
    notice_machine();  // what was slept through must be known before any timer is
    advance_to(now_ms(), false);
  }
  if (const auto trouble = live_->engine().refuses(input, now_ms())) {
    return tl::unexpected<proto::Trouble>(*trouble);
  }
  give(input, now_ms());
  grant_when_durable();
  arm();
  return live_->status();
}

proto::BatchStatus Session::status() const {
  return live_ ? live_->status(now_ms()) : proto::BatchStatus{};
}

std::string Session::default_batch() const { return live_ ? live_->name() : ""; }

}  // namespace maslin::session
