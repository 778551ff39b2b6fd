// How long an acidified food that is filled hot stays at a temperature for a five-log reduction, as
// printed. For information: no time of a batch is made of it and none is shortened. Called by
// figures/.
#pragma once

#include "proto/trouble.hpp"

namespace maslin::preserving {

struct AcidDwell {
  double minutes = 0;
  double row_c = 0;  // the row's temperature, in both units as printed
  double row_f = 0;
};

// The row of this temperature, or of the next cooler one, which takes longer. In the unit in which
// it was measured: the two columns of the table are rounded apart. pH 4.1 to 4.6 and 60.6 to 82.2
// °C (141 to 180 °F), ends included; else refused, hotter too: the table ends there. Breidt et al.,
// Food Protection Trends 34(3) (2014) 132-138, table 4.
proto::Result<AcidDwell> acid_dwell(double temperature, bool fahrenheit, double ph);

}  // namespace maslin::preserving
