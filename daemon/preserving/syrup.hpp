// Sucrose in water: what a syrup of so many percent boils at, weighs and bends light by, and back.
// Jam and jelly are not pure sucrose: their acid, pectin and inverted sugar move all of these a
// little, which is why `figure` and the record say "as sucrose". Soluble solids in percent by mass.
#pragma once

#include "proto/trouble.hpp"

namespace maslin::preserving {

// The most that each is known for, percent.
inline constexpr double kMostBoilingPct = 70;
inline constexpr double kMostDensityPct = 94;
inline constexpr double kMostRefractivePct = 80;

// Boiling-point elevation over water under the same pressure, kelvin. At 101325 Pa the table of
// Starzak & Peacock, Zuckerindustrie 122 (1997) 380-387, 0 to 68 %, read along the cubic; above it
// one value, 70 % 4.99 K, computed from their closed form. Under another pressure the water
// activity that it means at the boil is taken to stay: good to 0.05 K down to 70 kPa. pressure_pa
// from 50 to 110 kPa; errors outside.
proto::Result<double> elevation_k(double solids_pct, double pressure_pa);
// Solids of what boils at boiling_k under that pressure; an error below water and above 70 %.
proto::Result<double> solids_of_boiling_pct(double boiling_k, double pressure_pa);

// True density at 20 °C, kg/m3: NBS Circular 440 table 114 (apparent specific gravity 20/20), to
// 0.05 kg/m3. 0 to 94 %.
proto::Result<double> syrup_density_kg_m3(double solids_pct);

// Refractive index at 20 °C and 589 nm: ICUMSA, rows of 20 % and from 40 % on from memory. 0 to
// 80 %, to 0.0001.
proto::Result<double> refractive_index(double solids_pct);
// Solids of a reading that was made at temperature_c, 15 to 30 °C: the table, and a correction to
// 20 °C by 0.06 (thin) to 0.08 (thick) percent per kelvin, from memory.
proto::Result<double> solids_of_refraction_pct(double index, double temperature_c);
// The same correction alone, percent to add to what a refractometer shows.
proto::Result<double> refraction_correction_pct(double solids_pct, double temperature_c);

}  // namespace maslin::preserving
