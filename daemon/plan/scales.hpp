// What the scales at hand can and cannot check. Internal to plan/.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/weighing/uncertainty.hpp"
#include "proto/device.hpp"

namespace maslin::plan {

struct Judge {
  proto::Role role = proto::Role::none;  // none: no scale at hand judges it
  std::int64_t interval_ug = 0;
  weighing::NetBudget budget;
  double standard_g = 0;  // uncertainty of one net on it
  std::string reason;     // why none does
};

// The scale that judges a mass with a band of below and above: a comfortable one before one that
// leaves many good pours undecided, the bench before the fine scale.
Judge choose_scale(const std::vector<proto::LeasedDevice>& scales, std::int64_t mass_ug,
                   std::int64_t below_ug, std::int64_t above_ug);

}  // namespace maslin::plan
