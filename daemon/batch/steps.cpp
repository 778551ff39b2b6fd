// Steps that the cook confirms, and the choice of the class for each kind of operation.
#include "daemon/batch/steps.hpp"

#include "daemon/batch/heat.hpp"
#include "daemon/batch/weigh.hpp"

namespace maslin::batch {

void Step::begin(Desk& desk) {
  const auto& operation = planned(desk);
  if (!operation.caution.empty()) desk.cue("caution", operation.caution);
  desk.emit(proto::PhaseBegan{index(), operation.kind, "", operation.text});
  say_again(desk);
}

void Step::say_again(Desk& desk) {
  const auto& operation = planned(desk);
  desk.cue("step",
           operation.text + (operation.kind == "prepare"
                                 ? " When it is done, put the vessel on the scale or say ok."
                                 : " Say ok when it is done."));
}

void Step::scale_changed(Desk&, ScaleDesk&, const weighing::PanChange& change) {
  if (change.vessel_on) finish();  // prepared: the vessel stands on the scale
}

void Step::ok(Desk& desk) {
  desk.emit(proto::Condition{planned(desk).kind + " done", "seen by the cook", 0});
  finish();
}

std::optional<proto::Trouble> Operation::refuses_accept(const Desk&) const {
  return proto::Trouble{"there is nothing to accept", "",
                        "accept is for an amount outside its band"};
}

std::unique_ptr<Operation> make_operation(const Desk& desk, int index) {
  const auto& kind = desk.plan.operations[static_cast<std::size_t>(index)].kind;
  if (kind == "weigh") return std::make_unique<Weigh>(desk, index);
  if (kind == "heat") return std::make_unique<Heat>(index);
  if (kind == "dwell") return std::make_unique<Dwell>(index);
  return std::make_unique<Step>(index);
}

}  // namespace maslin::batch
