// From a formula and what is at hand to a plan: amounts, bands and aims in micrograms, what each
// scale can judge, the cautions. Called by the daemon's methods before a batch and by the engine
// once the prepared lead has been weighed. Pure.
#pragma once

#include <cstdint>
#include <vector>

#include "daemon/formula/formula.hpp"
#include "proto/device.hpp"
#include "proto/facts.hpp"
#include "proto/plan.hpp"
#include "proto/settings.hpp"
#include "proto/trouble.hpp"

namespace maslin::plan {

struct Equipment {
  // Roles bench and fine; of others only whether there is a thermometer for the pan.
  std::vector<proto::LeasedDevice> scales;
  proto::Settings settings;
  proto::Facts facts = {};
  // Scales that nobody gave a role.
  std::vector<proto::DeviceDescription> idle_scales = {};
};

// The plan that was asked for, or every reason against it with what would be allowed. Provisional
// while the formula has a lead whose prepared weight was not stated in the request.
proto::Results<proto::Plan> make(const formula::Formula& formula, const proto::PlanRequest& request,
                                 const Equipment& equipment);

// The same plan at the size that the weighed, prepared lead sets, checked again. Refused where the
// lead is over the largest tested multiple or more than what else is at hand allows.
proto::Results<proto::Plan> finalise(const formula::Formula& formula,
                                     const proto::PlanRequest& request, const Equipment& equipment,
                                     std::int64_t lead_net_ug);

}  // namespace maslin::plan
