// The dwell of acidified foods; see the header.
#include "daemon/preserving/acid_dwell.hpp"

#include <algorithm>
#include <array>

#include "daemon/quantity/decimal.hpp"

namespace maslin::preserving {
namespace {

// Minutes, °C, °F. Breidt et al. 2014, table 4; the table itself, not the z rounded from it.
constexpr std::array<AcidDwell, 40> rows = {{
    {77.8, 60.6, 141}, {67.7, 61.1, 142}, {59.0, 61.7, 143}, {51.4, 62.2, 144}, {44.8, 62.8, 145},
    {39.0, 63.3, 146}, {34.0, 63.9, 147}, {29.6, 64.4, 148}, {25.8, 65.0, 149}, {22.4, 65.6, 150},
    {19.5, 66.1, 151}, {17.0, 66.7, 152}, {14.8, 67.2, 153}, {12.9, 67.8, 154}, {11.2, 68.3, 155},
    {9.8, 68.9, 156},  {8.5, 69.4, 157},  {7.4, 70.0, 158},  {6.5, 70.6, 159},  {5.6, 71.1, 160},
    {4.9, 71.7, 161},  {4.3, 72.2, 162},  {3.7, 72.8, 163},  {3.2, 73.3, 164},  {2.8, 73.9, 165},
    {2.5, 74.4, 166},  {2.1, 75.0, 167},  {1.9, 75.6, 168},  {1.6, 76.1, 169},  {1.4, 76.7, 170},
    {1.2, 77.2, 171},  {1.1, 77.8, 172},  {0.9, 78.3, 173},  {0.8, 78.9, 174},  {0.7, 79.4, 175},
    {0.6, 80.0, 176},  {0.5, 80.6, 177},  {0.5, 81.1, 178},  {0.4, 81.7, 179},  {0.4, 82.2, 180},
}};

constexpr double lowest_ph = 4.1;
constexpr double highest_ph = 4.6;

}  // namespace

proto::Result<AcidDwell> acid_dwell(double temperature, bool fahrenheit, double ph) {
  if (!(ph >= lowest_ph && ph <= highest_ph)) {
    return proto::trouble("the table is of foods of pH 4.1 to 4.6", "ph",
                          ph > highest_ph ? "over 4.6 a food is no acidified one: pressure canner"
                                          : "for a lower one a process authority has other tables");
  }
  const auto in_unit = [&](const AcidDwell& row) { return fahrenheit ? row.row_f : row.row_c; };
  if (!(temperature >= in_unit(rows.front()) && temperature <= in_unit(rows.back()))) {
    return proto::trouble(
        quantity::plain(temperature, 1) + (fahrenheit ? " °F" : " °C") + " is not in the table",
        "temperature",
        "it has 60.6 to 82.2 °C, 141 to 180 °F, and nothing is read beyond its ends");
  }
  const auto hotter = std::find_if(rows.begin(), rows.end(),
                                   [&](const auto& row) { return in_unit(row) > temperature; });
  return *(hotter - 1);
}

}  // namespace maslin::preserving
