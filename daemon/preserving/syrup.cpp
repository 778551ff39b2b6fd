// Sucrose tables; see the header.
#include "daemon/preserving/syrup.hpp"

#include <array>
#include <string>

#include "daemon/preserving/boiling.hpp"
#include "daemon/preserving/curve.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::preserving {
namespace {

using quantity::plain;

constexpr double standard_pa = 101325;
constexpr double least_pa = 50e3;
constexpr double most_pa = 110e3;

// Starzak & Peacock, Zuckerindustrie 122 (1997) 380-387; the last two as GNU units has them.
constexpr std::array<Point, 29> elevations = {
    {{0, 0},       {5, 0.0788},  {10, 0.169},  {15, 0.2729}, {20, 0.3936}, {25, 0.5351},
     {30, 0.7027}, {35, 0.9036}, {40, 1.1475}, {42, 1.2599}, {44, 1.3825}, {46, 1.5165},
     {48, 1.6634}, {50, 1.8249}, {52, 2.0031}, {54, 2.2005}, {56, 2.42},   {58, 2.6651},
     {60, 2.94},   {61, 3.0902}, {62, 3.2499}, {63, 3.4198}, {64, 3.601},  {65, 3.7944},
     {66, 4.0012}, {67, 4.2227}, {68, 4.4603}, {69, 4.7156}, {70, 4.9905}}};

// NBS Circular 440, table 114.
constexpr std::array<Point, 48> gravities = {
    {{0, 1.0},      {2, 1.0078},   {4, 1.01569},  {6, 1.02369},  {8, 1.0318},   {10, 1.04003},
     {12, 1.04837}, {14, 1.05683}, {16, 1.06542}, {18, 1.07413}, {20, 1.08297}, {22, 1.09194},
     {24, 1.10104}, {26, 1.11027}, {28, 1.11963}, {30, 1.12913}, {32, 1.13877}, {34, 1.14855},
     {36, 1.15847}, {38, 1.16853}, {40, 1.17874}, {42, 1.1891},  {44, 1.19961}, {46, 1.21026},
     {48, 1.22106}, {50, 1.23202}, {52, 1.24313}, {54, 1.25439}, {56, 1.2658},  {58, 1.27736},
     {60, 1.28909}, {62, 1.30093}, {64, 1.31297}, {66, 1.32516}, {68, 1.33748}, {70, 1.34997},
     {72, 1.36261}, {74, 1.37541}, {76, 1.38835}, {78, 1.40146}, {80, 1.41471}, {82, 1.4281},
     {84, 1.44165}, {86, 1.45535}, {88, 1.46919}, {90, 1.48317}, {92, 1.4973},  {94, 1.51157}}};
// Water at 20 °C, Tanaka 2001, and air at 20 °C and 1013 hPa.
constexpr double water_kg_m3 = 998.207;
constexpr double air_kg_m3 = 1.2;

// ICUMSA, 20 °C, 589 nm; 20 % and from 40 % on from memory.
constexpr std::array<Point, 9> indices = {{{0, 1.33299},
                                           {10, 1.34782},
                                           {20, 1.36384},
                                           {30, 1.38115},
                                           {40, 1.39986},
                                           {50, 1.42009},
                                           {60, 1.44193},
                                           {70, 1.46546},
                                           {80, 1.49071}}};
// Percent per kelvin, from memory of the ICUMSA corrections.
constexpr std::array<Point, 3> corrections = {{{0, 0.06}, {40, 0.075}, {80, 0.08}}};
constexpr double table_c = 20;
constexpr double coldest_c = 15;
constexpr double warmest_c = 30;

bool inside(double value, double least, double most) { return value >= least && value <= most; }

auto no_solids(double most) {
  return proto::trouble("syrup is known for 0 to " + plain(most, 0) + " % of solids", "solids",
                        "give percent by mass");
}

auto no_pressure() {
  return proto::trouble("a kitchen's pressure is 500 to 1100 hPa", "pressure",
                        "give the true pressure at the place, not the one reduced to the sea");
}

double shown_at_standard(double solids_pct) { return cubic(elevations, solids_pct); }

}  // namespace

proto::Result<double> elevation_k(double solids_pct, double pressure_pa) {
  if (!inside(solids_pct, 0, kMostBoilingPct)) return no_solids(kMostBoilingPct);
  if (!inside(pressure_pa, least_pa, most_pa)) return no_pressure();
  const double at_standard_k = *saturation_temperature_k(standard_pa);
  // p = aw psat(T): the activity at the boil is the pressure over that of pure water as hot.
  const double boils_k = at_standard_k + shown_at_standard(solids_pct);
  const double activity = standard_pa / *saturation_pressure_pa(boils_k);
  return *saturation_temperature_k(pressure_pa / activity) - *saturation_temperature_k(pressure_pa);
}

proto::Result<double> solids_of_boiling_pct(double boiling_k, double pressure_pa) {
  if (!inside(pressure_pa, least_pa, most_pa)) return no_pressure();
  const double water_k = *saturation_temperature_k(pressure_pa);
  const double most_k = water_k + *elevation_k(kMostBoilingPct, pressure_pa);
  if (!inside(boiling_k, water_k, most_k)) {
    return proto::trouble("under this pressure water boils at " + plain(water_k - 273.15, 2) +
                              " °C and syrup of 70 % at " + plain(most_k - 273.15, 2) + " °C",
                          "boiling", "give a temperature between the two");
  }
  // Back to what it would boil at under the table's pressure.
  const double activity = pressure_pa / *saturation_pressure_pa(boiling_k);
  const double elevation =
      *saturation_temperature_k(standard_pa / activity) - *saturation_temperature_k(standard_pa);
  return cubic_back(elevations, elevation);
}

proto::Result<double> syrup_density_kg_m3(double solids_pct) {
  if (!inside(solids_pct, 0, kMostDensityPct)) return no_solids(kMostDensityPct);
  return cubic(gravities, solids_pct) * (water_kg_m3 - air_kg_m3) + air_kg_m3;
}

proto::Result<double> refractive_index(double solids_pct) {
  if (!inside(solids_pct, 0, kMostRefractivePct)) return no_solids(kMostRefractivePct);
  return cubic(indices, solids_pct);
}

proto::Result<double> refraction_correction_pct(double solids_pct, double temperature_c) {
  if (!inside(solids_pct, 0, kMostRefractivePct)) return no_solids(kMostRefractivePct);
  if (!inside(temperature_c, coldest_c, warmest_c)) {
    return proto::trouble("a reading is corrected from 15 to 30 °C", "temperature",
                          "let the drop come to room temperature on the prism");
  }
  return straight(corrections, solids_pct) * (temperature_c - table_c);
}

proto::Result<double> solids_of_refraction_pct(double index, double temperature_c) {
  if (!inside(index, indices.front().y, indices.back().y)) {
    return proto::trouble("refractive indices of syrup lie from 1.33299 to 1.49071",
                          "refractive-index",
                          "read the scale of the index, or give the percent that it shows");
  }
  const double shown = cubic_back(indices, index);
  const auto correction = refraction_correction_pct(shown, temperature_c);
  if (!correction) return tl::unexpected(correction.error());
  return shown + *correction;
}

}  // namespace maslin::preserving
