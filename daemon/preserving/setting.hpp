// Where a jelly without added pectin sets, by two published rules that differ a little. plan/ notes
// both.
#pragma once

#include "proto/trouble.hpp"

namespace maslin::preserving {

// Both in °C. `table`: the printed gel temperatures of USDA Complete Guide to Home Canning (AIB
// 539), read along the line between two printed altitudes (their rows are whole °F; 4000 and
// 7000 ft from memory). `rule`: 8 °F over the boil of water there. Sea level to 8000 ft; an error
// outside. Only for formulas that end by temperature: a timed full boil with added pectin does not.
struct SettingPoint {
  double boiling_c = 0;
  double table_c = 0;
  double rule_c = 0;
};
proto::Result<SettingPoint> setting_point(double altitude_m);

}  // namespace maslin::preserving
