// The plan made again from the weighed lead.
#include "daemon/batch/lead.hpp"

#include "daemon/plan/plan.hpp"

namespace maslin::batch {
namespace {

proto::Results<proto::Plan> final_plan(const Desk& desk, std::int64_t net_ug) {
  return plan::finalise(desk.formula, desk.start.request, {desk.start.devices, desk.start.settings},
                        net_ug);
}

}  // namespace

std::optional<proto::Trouble> lead_refused(const Desk& desk, std::int64_t net_ug) {
  const auto made = final_plan(desk, net_ug);
  if (made) return std::nullopt;
  return made.error().front();
}

void make_final(Desk& desk, std::int64_t net_ug) {
  auto made = final_plan(desk, net_ug);
  if (!made) return;
  desk.plan = std::move(*made);
  desk.emit(proto::PlanFinal{desk.plan, "the prepared " + desk.plan.lead + " is weighed"});
}

}  // namespace maslin::batch
