// Where a jelly without added pectin sets, by two published rules that differ a little, and how a
// probe is brought to the truth by ice and by the local boil.
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

// A probe that was read in ice and in boiling water: true = slope * (shown - ice), zero at ice.
struct ProbeCalibration {
  double ice_c = 0;  // what it shows at 0 °C
  double slope = 1;
  double boiling_c = 0;     // the true boil that it was held against
  double pressure_u_c = 0;  // standard uncertainty of that by its pressure
  double reading_u_c = 0;   // of one reading, by its interval
  double corrected_c(double shown_c) const { return slope * (shown_c - ice_c); }
  // Of a corrected temperature, by the GUM: boil, ice and the three readings.
  double standard_uncertainty_c(double true_c) const;
};
// pressure_pa: where the boil was read; pressure_u_pa its standard uncertainty (of an altitude's
// standard, 900 Pa of weather: our judgement). interval_c: of the display. Refused where both
// readings together are off by more than 5 % of the span, or ice by more than 5 K.
proto::Result<ProbeCalibration> calibrate_probe(double ice_c, double boiling_c, double pressure_pa,
                                                double pressure_u_pa, double interval_c);

}  // namespace maslin::preserving
