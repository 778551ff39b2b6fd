// The critical ratios over what was really weighed. The engine asks after every weighing and before
// the pan is heated; pure, integer where it compares.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "proto/plan.hpp"

namespace maslin::plan {

struct WeighedMass {
  std::string name;
  std::int64_t net_ug = 0;
  std::int64_t standard_uncertainty_ug = 0;
};

// satisfied: kept by the guard. broken: not kept by the weighed figures themselves. undecided: kept
// by the figures but not by the guard, or something is not weighed yet.
enum class RatioState : std::uint8_t { satisfied, broken, undecided };

struct RatioCheck {
  RatioState state = RatioState::undecided;
  std::vector<std::string> missing;  // names that are not weighed yet
  std::int64_t margin_ug = 0;        // how far inside the limit; below zero: beyond it
  std::int64_t guard_ug = 0;         // how far inside it must be
  std::string add;                   // the group that mends it; empty where nothing is needed
  std::int64_t add_ug = 0;           // how much more of that group, guard included
};

// spread: the cook's relative standard deviation, Settings::usual_spread. Several weighings of one
// name add up.
RatioCheck check_ratio(const proto::PlannedRatio& ratio, std::span<const WeighedMass> weighed,
                       double spread);

}  // namespace maslin::plan
