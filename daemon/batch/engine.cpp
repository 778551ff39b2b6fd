// The fold: which operation runs, which device is there, what is held, and who gets each input.
#include "daemon/batch/engine.hpp"

#include <algorithm>
#include <cstdlib>
#include <utility>

#include "daemon/batch/limits.hpp"
#include "daemon/batch/schedule.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/formula/read.hpp"
#include "daemon/quantity/household.hpp"
#include "daemon/quantity/probe.hpp"
#include "daemon/quantity/readings.hpp"
#include "daemon/quantity/times.hpp"
#include "daemon/weighing/scale_budget.hpp"

namespace maslin::batch {
namespace {

// A device may be away for so long in a phase that needs it before the batch is held.
constexpr std::int64_t patience_ms = 5000;
// Nobody has heard a step and done it in so short a time: the ok was meant for the one before
// (common practice, no source).
constexpr std::int64_t heard_after_ms = 1000;
// Nor has anybody heard out why an ok is doubted: a press of the scale so soon is the second half
// of a double one (common practice, no source).
constexpr std::int64_t heard_out_after_ms = 3000;
// A place is not read more often than that while something stands in it (common practice, no
// source).
constexpr std::int64_t room_every_ms = 30'000;
// Nor is a scale on which nothing happens between two weigh-ins (the same).
constexpr std::int64_t idle_every_ms = 30'000;
constexpr std::int64_t pressed_within_ms = 600'000;

// What cures, dries or is only salted is counted too where no step fills it into jars.
bool makes_a_lot(const proto::Plan& plan, std::string_view kind) {
  if (plan.keeping == "shelf") return false;
  if (kind != "dry" && kind != "stand" && kind != "condition" && kind != "cool") return false;
  return std::none_of(plan.operations.begin(), plan.operations.end(),
                      [](const auto& one) { return one.kind == "fill"; });
}

proto::Result<std::int64_t> eaten_ug(const std::string& text) {
  const auto amount = quantity::parse_amount(text);
  const auto mass_ug = amount ? quantity::stated_micrograms(*amount) : std::nullopt;
  if (mass_ug) return *mass_ug;
  return proto::trouble("'" + proto::excerpt(text, 60) + "' is no mass", "amount",
                        "write what was taken away, such as \"30 g\"");
}

}  // namespace

Engine::Engine() = default;
Engine::~Engine() = default;

std::span<const proto::Outcome> Engine::input(std::int64_t at_ms, const proto::Input& input) {
  desk_.outcomes().clear();
  desk_.watched_ms = desk_.now_ms;
  desk_.now_ms = std::max(desk_.now_ms, at_ms);
  desk_.advice.clear();
  if (started_ || std::holds_alternative<proto::Start>(input)) {
    std::visit([this](const auto& one) { take(one); }, input);
    advance();
    if (!ended_) desk_.say_next();
  }
  return desk_.outcomes();
}

std::span<const proto::Outcome> Engine::reading(const proto::Reading& reading) {
  desk_.outcomes().clear();
  desk_.now_ms = std::max(desk_.now_ms, reading.at_ms);
  desk_.reading = reading.number;
  if (!started_ || ended_ || reading.device >= places_.size()) return desk_.outcomes();
  const Place place = places_[reading.device];
  switch (place.sensor) {
    case Sensor::scale:
      take_mass(desk_.scales[place.index], reading);
      break;
    case Sensor::thermometer:
      take_temperature(desk_.thermometers[place.index], reading);
      break;
    case Sensor::pedal:
      take_press(reading);
      break;
    case Sensor::other:
      break;
  }
  if (!desk_.outcomes().empty() || (operation_ && operation_->done())) advance();
  if (!ended_) desk_.say_next();
  return desk_.outcomes();
}

void Engine::take(const proto::Start& start) {
  if (started_) return;
  started_ = true;
  desk_.start = start;
  desk_.plan = start.plan;
  desk_.local_less_ms = start.local_less_ms;
  desk_.learned = start.facts.learned;
  if (auto formula = formula::read(start.formula_text, start.formula_file)) {
    desk_.formula = std::move(*formula);
    desk_.formula.text_sha256 = start.formula_sha256;
  }
  desk_.voice.begin(start.settings, start.local_less_ms);
  places_.resize(start.devices.size());
  for (std::size_t i = 0; i < start.devices.size(); ++i) {
    const auto& [role, description, calibration, probe] = start.devices[i];
    const auto device = static_cast<std::uint16_t>(i);
    if (role == proto::Role::bench || role == proto::Role::fine) {
      const std::int64_t interval = weighing::corrected_interval_ug(
          std::max<std::int64_t>(description.interval_ug, 1), calibration);
      const auto lag_ms = static_cast<std::int64_t>(start.settings.scale_lag_s * 1000);
      places_[i] = {Sensor::scale, desk_.scales.size()};
      desk_.scales.push_back({device, role, description.interval_ug, description.capacity_ug, false,
                              false, 0, weighing::Pan({interval, lag_ms}),
                              weighing::PressDetector(interval, lag_ms), calibration});
    } else if (proto::quantity_of(role) == proto::Quantity::temperature) {
      places_[i] = {Sensor::thermometer, desk_.thermometers.size()};
      desk_.thermometers.push_back({device, role, false, std::nullopt, 0, probe});
    } else if (role == proto::Role::pedal) {
      places_[i] = {Sensor::pedal, 0};
    }
  }
  desk_.emit(proto::BatchState{"running", ""});
  desk_.cue("batch_started", desk_.plan.formula + ". " + desk_.plan.may_be_called);
}

// Ends what is done and begins what comes next, until one operation waits for something.
void Engine::advance() {
  if (started_ && !ended_ && desk_.gives_up) {
    end("stopped", *desk_.gives_up);
    return;
  }
  while (started_ && !ended_ && !desk_.paused && (!operation_ || operation_->done())) {
    if (operation_) {
      if (const auto back = operation_->goes_back(desk_)) next_operation_ = *back;
    }
    if (operation_ && operation_->planned(desk_).kind == "weigh") before_ = std::move(operation_);
    if (operation_ && operation_->planned(desk_).kind == "stand") before_.reset();
    operation_.reset();
    if (next_operation_ >= static_cast<int>(desk_.plan.operations.size())) {
      end("complete", "");
      return;
    }
    operation_ = make_operation(desk_, next_operation_++);
    if (makes_a_lot(desk_.plan, operation_->planned(desk_).kind)) desk_.jars.begin_lot(desk_);
    desk_.begun.push_back({operation_->index(), desk_.now_ms});
    mind_the_pan(desk_, operation_->planned(desk_).kind);
    desk_.ask_anew();
    operation_->begin(desk_);
  }
}

void Engine::end(const char* state, std::string why) {
  ended_ = true;
  ended_ms_ = desk_.now_ms;
  end_state_ = state;
  // The last word comes before the state: who follows a batch leaves with its end.
  if (std::string_view(state) == "complete") {
    desk_.jars.settle(desk_);
    say_done();
  } else {
    desk_.cue("stopped", "The batch is stopped; what was weighed is kept in its record.");
  }
  desk_.emit(proto::BatchState{state, std::move(why)});
}

// The last word must not hide what the report will begin with.
void Engine::say_done() {
  std::string what;
  for (const auto& one : desk_.left_limits) what += (what.empty() ? "" : ", ") + one;
  const std::string why_not = desk_.plan.keeping == "shelf" ? not_for_shelf(desk_) : "";
  if (!what.empty()) {
    desk_.cue("complete", "Done, outside its formula: " + what +
                              ". Not for the shelf; `maslin report` says why.");
  } else if (!why_not.empty()) {
    desk_.cue("complete",
              "Done, and not for the shelf: " + why_not + "; `maslin report` says more.");
  } else {
    desk_.cue("complete", "Done. " + desk_.plan.may_be_called);
  }
}

void Engine::take_mass(ScaleDesk& scale, const proto::Reading& reading) {
  auto mass = quantity::micrograms(reading);
  if (!mass && reading.usable()) return;
  scale.at_ms = desk_.now_ms;
  if (mass) mass = weighing::corrected_ug(*mass, scale.calibration);
  const auto change = scale.pan.feed(reading, mass.value_or(0));
  std::optional<weighing::Press> press;
  if (mass && reading.usable() && !change.new_epoch) {
    press = scale.press.feed(desk_.now_ms, *mass);
  } else {
    scale.press.restart();
  }
  // Beside a boiling pot nobody needs to hear of a scale that stands there unused.
  const bool used = operation_ && operation_->needs(desk_, scale.role);
  vessels_.take(desk_, scale, change, !desk_.pan_on_heat);
  asleep_.take(desk_, scale, change, used);
  if (change.fault && used) {
    scale.faulty = true;
    desk_.hold({"fault", "The scale reports a fault.",
                "The hold ends by itself when the scale weighs again.", "", 0});
  } else if (scale.faulty && reading.usable()) {
    scale.faulty = false;
    scale.pan.begin_unwatched_epoch("after a fault");
    desk_.release("fault", "the device");
    if (operation_) operation_->unwatched_scale(desk_, scale);
  }
  // A weighing that runs knows by itself what belongs to it.
  const bool weighs = operation_ && operation_->planned(desk_).kind == "weigh";
  const bool moved = change.settling == weighing::Settling::departed ||
                     change.settling == weighing::Settling::reopened;
  if (weighs && (moved || change.vessel_on || change.lifted || change.back)) desk_.voice.acted();
  if (before_ && !weighs) before_->scale_changed(desk_, scale, change);
  if (before_ && !before_->done()) {
    // A late change has undone what the weighing had reached: the batch is there again.
    operation_ = std::move(before_);
    next_operation_ = operation_->index() + 1;
    return;
  }
  if (operation_) operation_->scale_changed(desk_, scale, change);
  if (press) take_press(*press);
}

void Engine::take_temperature(Thermometer& thermometer, const proto::Reading& reading) {
  const auto shown = quantity::millikelvin(reading);
  const bool believed = !doubts_.doubts(thermometer.device);
  auto temperature = shown ? doubts_.heard(desk_, thermometer, *shown) : std::nullopt;
  if (temperature) temperature = quantity::corrected_mk(*temperature, thermometer.calibration);
  const bool had = thermometer.temperature_mk.has_value();
  thermometer.temperature_mk = temperature;
  thermometer.at_ms = desk_.now_ms;
  // From here on the step is ended by the cook's word, and says so.
  if (believed && doubts_.doubts(thermometer.device) && operation_ && !operation_->done()) {
    operation_->say_again(desk_);
  }
  if (thermometer.role == proto::Role::canner) {
    desk_.canner.changed(desk_);
    if (operation_) operation_->canner_changed(desk_);
  }
  if (thermometer.role == proto::Role::room && operation_) operation_->room_changed(desk_);
  if (thermometer.role != proto::Role::pan) return;
  if (had && !temperature && !doubts_.doubts(thermometer.device))
    desk_.cue("pan_lost", "The thermometer reports a fault: go by the eye.");
  if (operation_) operation_->pan_changed(desk_);
}

// Every reading of a pedal is one press, whatever it counts; 0 says only that it is there.
void Engine::take_press(const proto::Reading& reading) {
  if (reading.usable() && reading.digits != 0) answer_ok("by a press of the pedal");
}

void Engine::take_press(const weighing::Press& press) {
  if (!operation_ || operation_->done()) return;
  const std::int64_t after_ms = press.began_ms - desk_.asked_ms();
  if (after_ms >= (desk_.asks_again() ? heard_out_after_ms : heard_after_ms)) {
    if (!operation_->take_press(desk_)) answer_ok("by a press of the scale");
  }
}

// `by`: how it was given, where only readings tell of it.
void Engine::answer_ok(const char* by) {
  // What insists is answered first, and by this ok alone: "off the heat" is no "it boils".
  const bool insists = desk_.voice.insists() && !desk_.held_for("cook");
  const bool step = !insists && operation_ && !desk_.paused && !only_just_asked(desk_.now_ms) &&
                    !operation_->refuses_ok(desk_);
  if (!desk_.held_for("cook") && !step && !insists) return;
  if (by != nullptr) desk_.emit(proto::Condition{"ok", by, 0});
  desk_.voice.acted();
  if (desk_.held_for("cook")) {
    desk_.release("cook", "the cook");
    if (operation_) operation_->say_again(desk_);
  } else if (step) {
    operation_->ok(desk_);
  }
}

bool Engine::only_just_asked(std::int64_t at_ms) const {
  return at_ms - desk_.asked_ms() < heard_after_ms;
}

std::optional<proto::Trouble> Engine::refuses(const proto::Command& command,
                                              std::int64_t at_ms) const {
  if (auto trouble = too_long(command.text)) return trouble;
  if (command.word == "note") {
    if (command.text.find_first_not_of(" \t\r\n") != std::string::npos) return std::nullopt;
    return proto::Trouble{"the note is empty", "text", "write what happened"};
  }
  if (ended_)
    return proto::Trouble{"the batch has ended", "",
                          "notes, ratings, jars and amendments can still be told"};
  if (command.word == "stop") return std::nullopt;
  if (command.word == "hold") {
    if (!desk_.held_for("cook")) return std::nullopt;
    return proto::Trouble{"the batch is held already", "", "maslin resume goes on"};
  }
  if (command.word == "resume") {
    if (desk_.held_for("cook")) return std::nullopt;
    if (!desk_.held()) return proto::Trouble{"the batch is not held", "", ""};
    return proto::Trouble{desk_.holds().front().what, "", desk_.holds().front().ends_when};
  }
  if (command.word == "eaten") {
    const auto mass_ug = eaten_ug(command.text);
    if (!mass_ug) return mass_ug.error();
    return operation_ ? operation_->refuses_eaten(desk_, *mass_ug)
                      : proto::Trouble{"nothing dries now", "", ""};
  }
  if (command.word != "ok" && command.word != "no" && command.word != "accept") {
    return proto::Trouble{"unknown word '" + command.word + "'", "",
                          "ok, no, hold, resume, accept, note, eaten and stop are known"};
  }
  const bool heard = desk_.held_for("cook") || desk_.voice.insists();
  if (desk_.paused && !(command.word == "ok" && heard)) {
    return proto::Trouble{desk_.holds().front().what, "", desk_.holds().front().ends_when};
  }
  if (command.word == "ok") {
    if (desk_.held_for("cook") || desk_.voice.insists()) return std::nullopt;
    if (only_just_asked(at_ms)) {
      return proto::Trouble{"the step has only just begun", "", "say ok again if it is done"};
    }
    return operation_ ? operation_->refuses_ok(desk_) : std::nullopt;
  }
  if (command.word == "no") {
    return operation_ ? operation_->refuses_no(desk_)
                      : proto::Trouble{"nothing is offered now", "", ""};
  }
  if (command.text.empty()) {
    return proto::Trouble{"accepting needs a reason", "reason", "maslin accept --reason \"...\""};
  }
  return operation_ ? operation_->refuses_accept(desk_) : std::nullopt;
}

void Engine::take(const proto::Command& command) {
  if (refuses(command, desk_.now_ms)) return;
  const bool is_ok = command.word == "ok" || command.word == "resume";
  if (!is_ok) desk_.voice.acted();
  if (command.word == "note") {
    desk_.emit(proto::Noted{command.text});
  } else if (command.word == "eaten") {
    if (operation_) operation_->eaten(desk_, eaten_ug(command.text).value_or(0));
  } else if (command.word == "stop") {
    end("stopped", command.text);
  } else if (command.word == "hold") {
    desk_.hold(
        {"cook",
         command.text.empty() ? "Held by the cook." : "Held by the cook: " + command.text + ".",
         "Resume or say ok to go on.", "", 0});
  } else if (is_ok) {
    answer_ok();
  } else if (command.word == "no" && operation_) {
    operation_->no(desk_);
  } else if (command.word == "accept" && operation_) {
    operation_->accept(desk_, command.text);
  }
}

void Engine::take(const proto::DeviceEvent& event) {
  if (ended_ || event.device >= places_.size()) return;
  const Place place = places_[event.device];
  const bool lost = event.what == "lost" || event.what == "silent";
  const bool back = event.what == "back" || event.what == "host restarted";
  if (place.sensor == Sensor::thermometer) {
    auto& thermometer = desk_.thermometers[place.index];
    thermometer.lost = lost;
    thermometer.temperature_mk.reset();
    if (thermometer.role == proto::Role::canner && operation_) operation_->canner_changed(desk_);
    if (thermometer.role == proto::Role::room && operation_) operation_->room_changed(desk_);
    if (thermometer.role == proto::Role::pan && operation_) {
      const auto& kind = operation_->planned(desk_).kind;
      if (kind == "heat" || kind == "dwell") {
        if (lost) {
          const bool boil = operation_->planned(desk_).until == "boil";
          desk_.cue("pan_lost",
                    "The pan's thermometer does not answer. Go by the eye; say ok when it " +
                        std::string(boil ? "boils." : "is there."));
        } else {
          desk_.cue("pan_back", "The pan's thermometer answers again.");
        }
      }
      if (back) desk_.boil.restart();
      operation_->pan_changed(desk_);
    }
    return;
  }
  if (place.sensor != Sensor::scale) return;
  auto& scale = desk_.scales[place.index];
  // A scale that fell asleep with nothing begun on it is waited for, no more.
  const bool asleep = event.what == "silent" && !scale.pan.has_tare();
  const bool needed = operation_ && operation_->needs(desk_, scale.role) && !asleep;
  if (lost && !scale.lost) {
    scale.lost = true;
    if (event.what == "silent") asleep_.silent(desk_, scale);
    if (needed) {
      lost_device_ = event.device;
      lost_deadline_ms_ = desk_.now_ms + patience_ms;
      desk_.cue("scale_lost", "The scale does not answer: " + event.why + ". Stop pouring.");
    }
  } else if (back && scale.lost) {
    scale.lost = false;
    scale.pan.begin_unwatched_epoch(event.what == "back" ? "lost and back" : "its host restarted");
    scale.press.restart();
    if (lost_device_ == event.device) {
      lost_device_.reset();
      lost_deadline_ms_.reset();
      desk_.release("device lost", "the device");
    }
    if (needed) desk_.cue("scale_back", "The scale answers again.");
    if (operation_) operation_->unwatched_scale(desk_, scale);
  }
}

// While something stands or dries for weeks only the thermometer of its place tells of it, and that
// one more often than a place can change; a scale only where the step weighs, and then not while it
// shows its empty pan over and over.
bool Engine::passes_over(const proto::Reading& reading) const {
  if (!operation_ || ended_ || reading.device >= places_.size()) return false;
  if (operation_->done() || !operation_->takes_days()) return false;
  const Place place = places_[reading.device];
  if (place.sensor == Sensor::scale) {
    const auto& scale = desk_.scales[place.index];
    // For a while after a question the pan is listened to: a press of it is an answer.
    if (!operation_->weighs_in(desk_, scale)) {
      return reading.at_ms - desk_.asked_ms() >= pressed_within_ms;
    }
    if (scale.lost || scale.faulty || operation_->weighs_now(scale)) return false;
    const auto& rest = scale.pan.detector();
    auto mass = reading.usable() ? quantity::micrograms(reading) : std::nullopt;
    if (!mass || !rest.quiet() || reading.at_ms - scale.at_ms >= idle_every_ms) return false;
    mass = weighing::corrected_ug(*mass, scale.calibration);
    return std::abs(*mass - rest.level_ug()) <= scale.interval_ug;
  }
  if (place.sensor != Sensor::thermometer) return false;
  const auto& thermometer = desk_.thermometers[place.index];
  return thermometer.role != proto::Role::room ||
         (thermometer.temperature_mk && reading.at_ms - thermometer.at_ms < room_every_ms);
}

bool Engine::lost(std::uint16_t device) const {
  if (device >= places_.size()) return false;
  const Place place = places_[device];
  if (place.sensor == Sensor::scale) return desk_.scales[place.index].lost;
  return place.sensor == Sensor::thermometer && desk_.thermometers[place.index].lost;
}

void Engine::unwatched(const char* why, std::int64_t gap_ms) {
  if (ended_) return;
  if (operation_ && operation_->food_stands(desk_)) desk_.standing.unwatched(desk_, gap_ms);
  for (auto& scale : desk_.scales) {
    scale.pan.begin_unwatched_epoch(why);
    scale.press.restart();
    if (operation_) operation_->unwatched_scale(desk_, scale);
  }
  desk_.boil.restart();
  desk_.canner.unwatched();
  for (auto& thermometer : desk_.thermometers) thermometer.temperature_mk.reset();
  desk_.voice.new_step();  // it is said again
  if (operation_) {
    operation_->unwatched(desk_);
    operation_->say_again(desk_);
  }
}

void Engine::take(const proto::Suspend& suspend) { unwatched("the machine slept", suspend.gap_ms); }
void Engine::take(const proto::Restart& restart) {
  desk_.local_less_ms = restart.local_less_ms;
  desk_.voice.local_time(desk_.local_less_ms);
  unwatched("the daemon restarted", restart.gap_ms);
}
// UTC is for people; durations within a boot come from at_ms, only the hour of the day is another.
void Engine::take(const proto::ClockStep& step) {
  desk_.local_less_ms += step.step_ms;
  desk_.voice.local_time(desk_.local_less_ms);
}

void Engine::take(const proto::Timer&) {
  if (ended_) return;
  if (lost_deadline_ms_ && desk_.now_ms >= *lost_deadline_ms_) {
    lost_deadline_ms_.reset();
    desk_.hold({"device lost", "The scale is away.",
                "The hold ends by itself when the scale answers again.", "", 0});
  }
  desk_.boil_limit.time_passed(desk_);
  desk_.standing.time_passed(desk_);
  if (operation_) operation_->time_passed(desk_);
  const bool weighs = operation_ && operation_->planned(desk_).kind == "weigh";
  desk_.say_again(operation_ && !operation_->done() && !desk_.paused &&
                  (weighs || !operation_->refuses_ok(desk_)));
}

void Engine::take(const proto::StoreEvent& event) {
  if (ended_) return;
  if (event.failing) {
    desk_.cue("disk", "The record cannot be written: " + event.why + ".");
    desk_.hold({"store", "The record cannot be written: " + event.why + ".",
                "The hold ends by itself when the disk takes it again.", "", 0});
  } else {
    desk_.release("store", "the store");
    if (operation_) operation_->say_again(desk_);
  }
}

std::optional<std::int64_t> Engine::deadline_ms() const {
  if (ended_) return std::nullopt;
  auto next = operation_ ? operation_->deadline_ms() : std::nullopt;
  for (const auto& also : {lost_deadline_ms_, desk_.boil_limit.deadline_ms(desk_),
                           desk_.standing.deadline_ms(), desk_.voice.deadline_ms()}) {
    if (also && (!next || *also < *next)) next = also;
  }
  return next;
}

// What it may be called by now: what was planned, until something speaks against it.
std::string Engine::may_be_called() const {
  const auto& operations = desk_.plan.operations;
  const auto from =
      operations.begin() + std::min<std::ptrdiff_t>(std::max(next_operation_ - 1, 0),
                                                    static_cast<std::ptrdiff_t>(operations.size()));
  const bool weighed = started_ && std::none_of(from, operations.end(), [](const auto& one) {
                         return one.kind == "weigh";
                       });
  const std::string why_not =
      desk_.plan.keeping == "shelf" && (weighed || !desk_.left_limits.empty())
          ? not_for_shelf(desk_)
          : "";
  if (desk_.plan.keeping != "shelf" && !desk_.left_limits.empty()) {
    std::string left;
    for (const auto& one : desk_.left_limits) left += (left.empty() ? "" : ", ") + one;
    return "Outside its formula: " + left + ". Planned as: " + desk_.plan.may_be_called;
  }
  if (why_not.empty()) return desk_.plan.may_be_called;
  return "Not for the shelf: " + why_not + ".";
}

std::optional<Engine::Used> Engine::used() const {
  if (!desk_.jars.filled() || !desk_.jars.are_jars()) return std::nullopt;
  // The part-filled one goes to the refrigerator under any lid.
  return Used{desk_.jars.count(), desk_.plan.keeping == "shelf" ? desk_.jars.whole() : 0};
}

proto::BatchStatus Engine::status_at(std::int64_t at_ms) {
  const std::int64_t known_ms = std::exchange(desk_.now_ms, std::max(desk_.now_ms, at_ms));
  auto status = this->status();
  desk_.now_ms = known_ms;
  return status;
}

proto::BatchStatus Engine::status() const {
  proto::BatchStatus status;
  status.batch = desk_.start.batch;
  status.formula = desk_.plan.formula;
  status.state = !started_ ? "idle" : ended_ ? end_state_ : desk_.held() ? "held" : "running";
  status.may_be_called = may_be_called();
  status.notes = desk_.plan.notes;
  status.last_cue = desk_.last_cue;
  status.advice = desk_.advice;
  status.at_ms = desk_.now_ms;
  if (desk_.held() && !ended_) {
    status.hold = desk_.holds().front().what;
    status.hold_ends_when = desk_.holds().front().ends_when;
    status.hold_pan = pan_words(desk_.holds().front());
  }
  if (!operation_ || ended_) return status;
  status.phase = operation_->planned(desk_).kind;
  status.caution = operation_->planned(desk_).caution;
  const auto next = static_cast<std::size_t>(next_operation_);
  if (next < desk_.plan.operations.size()) status.next = desk_.plan.operations[next].text;
  // Once the jars only stand, what the pots' thermometers show is the kitchen.
  const auto celsius = [&](std::optional<std::int64_t> mk) -> std::optional<double> {
    if (!mk || desk_.bath_ended_ms) return std::nullopt;
    return static_cast<double>(*mk - 273'150) / 1000.0;
  };
  status.pan_c = celsius(desk_.pan_mk());
  if (desk_.canner.lit()) status.canner_c = celsius(desk_.canner_mk());
  describe_schedule(desk_, operation_->index(), status);
  operation_->describe(desk_, status);
  // The pan comes first; while it is not heated it is the canner that is waited for.
  if (const auto canner = desk_.canner.forecast(); canner && !status.boil_from_s) {
    status.boil_from_s = canner->from_s;
    status.boil_to_s = canner->to_s;
  }
  const auto* ingredient = desk_.planned(status.ingredient);
  if (ingredient != nullptr && ingredient->check != "weigh" && status.by_measure.empty()) {
    status.by_measure = ingredient->amount;
  }
  return status;
}

}  // namespace maslin::batch
