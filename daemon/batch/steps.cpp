// Steps that the cook confirms, and the choice of the class for each kind of operation.
#include "daemon/batch/steps.hpp"

#include <algorithm>

#include "daemon/batch/bath.hpp"
#include "daemon/batch/canner_steps.hpp"
#include "daemon/batch/conditioning.hpp"
#include "daemon/batch/dry.hpp"
#include "daemon/batch/fill.hpp"
#include "daemon/batch/heat.hpp"
#include "daemon/batch/seal.hpp"
#include "daemon/batch/stand.hpp"
#include "daemon/batch/weigh.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {

void Step::begin(Desk& desk) {
  const auto& operation = planned(desk);
  if (!operation.caution.empty()) desk.cue("caution", operation.caution);
  began_ms_ = desk.now_ms;
  duration_ms_ = operation.duration_ms;
  desk.emit(proto::PhaseBegan{index(), operation.kind, "", operation.text});
  say_again(desk);
}

std::int64_t Step::left_ms(const Desk& desk) const {
  return std::max<std::int64_t>(0, began_ms_ + planned(desk).duration_ms - desk.now_ms);
}

void Step::say_again(Desk& desk) {
  const auto& operation = planned(desk);
  if (operation.duration_ms > 0) {
    desk.cue("step",
             operation.text + " " + capitalised(quantity::span_of_time(left_ms(desk))) + " to go.",
             "", 0, Desk::not_asked);
    return;
  }
  desk.cue("step",
           operation.text + (operation.kind == "prepare"
                                 ? " When it is done, put the vessel on the scale or say ok."
                                 : " Say ok when it is done."));
}

void Step::time_passed(Desk& desk) {
  if (done() || planned(desk).duration_ms == 0 || left_ms(desk) > 0) return;
  desk.emit(proto::Condition{planned(desk).kind + " done", "by the clock", 0});
  // For the shelf the seal check speaks next, and in waking hours.
  if (planned(desk).kind != "cool" || desk.plan.keeping != "shelf") {
    desk.cue("dwell_done",
             "Time is up: " + quantity::span_of_time(planned(desk).duration_ms) + ".");
  }
  finish();
}

std::optional<std::int64_t> Step::deadline_ms() const {
  if (done() || duration_ms_ == 0) return std::nullopt;
  return began_ms_ + duration_ms_;
}

void Step::describe(const Desk& desk, proto::BatchStatus& status) const {
  if (!done() && duration_ms_ > 0) status.left_ms = left_ms(desk);
}

void Step::scale_changed(Desk& desk, ScaleDesk&, const weighing::PanChange& change) {
  // Prepared: the vessel stands on the scale. While jars are filled or cool it means nothing.
  if (change.vessel_on && planned(desk).kind == "prepare") finish();
}

// Jars out of the bath are not to be touched; no word shortens that.
std::optional<proto::Trouble> Step::refuses_ok(const Desk& desk) const {
  if (planned(desk).kind != "cool" || desk.plan.keeping != "shelf" || left_ms(desk) == 0) {
    return std::nullopt;
  }
  return untouched(left_ms(desk));
}

std::optional<proto::Trouble> Step::refuses(const Desk& desk, const proto::JarWord& word) const {
  if (planned(desk).kind == "cool" && word.what != "filled") {
    if (auto trouble = refuses_ok(desk)) return trouble;
  }
  const bool counts = word.what == "filled" && planned(desk).kind == "cool" && desk.jars.filled() &&
                      !desk.jars.are_jars();
  if (!counts) return Operation::refuses(desk, word);
  if (word.count >= 1 && word.count <= 500 && word.part_filled == 0) return std::nullopt;
  return proto::Trouble{"that is no number of " + desk.jars.unit() + "s", "count",
                        "give how many there are, 1 to 500"};
}

// How many pieces or containers the food was put away in.
void Step::take(Desk& desk, const proto::JarWord& word) { desk.jars.recount(desk, word.count); }

void Step::ok(Desk& desk) {
  if (const std::int64_t left = left_ms(desk); left > 0) {
    if (!desk.confirmed_twice("before its time", "The time is not up, " +
                                                     quantity::span_of_time(left) +
                                                     " to go. To end it now, say ok again.")) {
      return;
    }
    desk.emit(proto::Deviation{planned(desk).kind, false,
                               "ended " + quantity::span_of_time(left) + " before its time",
                               "by the cook"});
  }
  desk.emit(proto::Condition{planned(desk).kind + " done", "seen by the cook", 0});
  finish();
}

std::optional<proto::Trouble> Operation::refuses_accept(const Desk&) const {
  return proto::Trouble{"there is nothing to accept", "",
                        "accept is for an amount outside its band"};
}

std::optional<proto::Trouble> Operation::refuses_no(const Desk&) const {
  return proto::Trouble{"nothing is offered now", "", "no answers an offer after an over-pour"};
}

std::optional<proto::Trouble> Operation::refuses_eaten(const Desk&, std::int64_t) const {
  return proto::Trouble{"nothing dries now", "", "eaten is for what is taken away while it dries"};
}

std::optional<proto::Trouble> Operation::refuses(const Desk&, const proto::JarWord&) const {
  return proto::Trouble{"this step does not ask for that", "", "maslin status says what it asks"};
}

std::unique_ptr<Operation> make_operation(const Desk& desk, int index) {
  const auto& kind = desk.plan.operations[static_cast<std::size_t>(index)].kind;
  if (kind == "weigh") return std::make_unique<Weigh>(desk, index);
  if (kind == "heat") return std::make_unique<Heat>(index);
  if (kind == "dwell") return std::make_unique<Dwell>(index);
  if (kind == "water bath") return std::make_unique<Bath>(index);
  if (kind == "canner") return std::make_unique<LightCanner>(index);
  if (kind == "wait") return std::make_unique<WaitForCanner>(index);
  if (kind == "fill") return std::make_unique<Fill>(index);
  if (kind == "dry") return std::make_unique<Dry>(index);
  if (kind == "condition") return std::make_unique<Conditioning>(index);
  if (kind == "stand") return std::make_unique<Stand>(index);
  if (kind == "seal check") return std::make_unique<SealCheck>(index);
  return std::make_unique<Step>(index);
}

}  // namespace maslin::batch
