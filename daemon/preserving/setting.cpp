// The setting point; see the header.
#include "daemon/preserving/setting.hpp"

#include <array>
#include <cmath>

#include "daemon/preserving/boiling.hpp"
#include "daemon/preserving/curve.hpp"

namespace maslin::preserving {
namespace {

constexpr double zero_c_k = 273.15;

// USDA Complete Guide to Home Canning (AIB 539), temperature test for jelly: feet and °F. 4000 and
// 7000 ft from memory.
constexpr std::array<Point, 9> gels = {{{0, 220},
                                        {1000, 218},
                                        {2000, 216},
                                        {3000, 214},
                                        {4000, 212},
                                        {5000, 211},
                                        {6000, 209},
                                        {7000, 207},
                                        {8000, 205}}};
constexpr double rule_k = 8 / 1.8;
constexpr double foot_m = 0.3048;

double celsius(double fahrenheit) { return (fahrenheit - 32) / 1.8; }

}  // namespace

proto::Result<SettingPoint> setting_point(double altitude_m) {
  const double feet = altitude_m / foot_m;
  if (!(feet >= gels.front().x && feet <= gels.back().x)) {
    return proto::trouble("the printed gel temperatures go from the sea to 8000 ft", "altitude",
                          "elsewhere, end by sheet or by weight");
  }
  SettingPoint point;
  point.boiling_c = static_cast<double>(*boiling_point_mk(altitude_m)) / 1000 - zero_c_k;
  point.table_c = celsius(straight(gels, feet));
  point.rule_c = point.boiling_c + rule_k;
  return point;
}

}  // namespace maslin::preserving
