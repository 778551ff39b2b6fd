// How many digits a measured amount is shown with; the report of the client and the safety record
// of review/ show the same ones.
#pragma once

namespace maslin::proto {

// As many decimals of a gram as the expanded uncertainty leaves a meaning.
constexpr int decimals_for(double expanded_g) {
  return expanded_g >= 2 ? 0 : expanded_g >= 0.2 ? 1 : 2;
}

}  // namespace maslin::proto
