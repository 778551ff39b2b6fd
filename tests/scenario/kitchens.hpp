// The evenings that scenario tests begin with: undisturbed, unless the test adds something.
#pragma once

#include "stage.hpp"

namespace maslin::scenario {

// The demonstration's relish for the shelf: canner, pan, twelve minutes' work at the scale, ten
// minutes' bath, a night of cooling. Nothing goes wrong.
inline Setting shelf_evening() {
  Setting setting;
  setting.kitchen = kitchen_of(file_text("plugins/kitchen/quayside-evening.toml"));
  setting.formula = file_text("plugins/kitchen/quayside-shelf-relish.toml");
  setting.kitchen.slips.clear();
  setting.kitchen.faults.clear();
  setting.kitchen.troubles.clear();
  setting.kitchen.unsealed.clear();
  return setting;
}

}  // namespace maslin::scenario
