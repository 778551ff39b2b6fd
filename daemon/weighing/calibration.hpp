// Calibration of a scale with loads of known mass: its slope with uncertainty, whether the points
// lie on a line and repeat, and every reason not to use them. Called by `figure scale` and by the
// daemon's calibration with the loads that a cook puts on. Generalised least squares: the zero that
// all loads share, and a weight that stands in several of them, count as the one error they are.
// Grams throughout.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/weighing/scale_class.hpp"

namespace maslin::weighing {

struct KnownMass {
  double mass_g = 0;  // what a scale in air without error would show
  double standard_g = 0;
  friend bool operator==(const KnownMass&, const KnownMass&) = default;
};

// One load: which of the known masses stand on the pan together, and what the scale showed.
struct KnownLoad {
  std::vector<std::size_t> masses;
  double before_g = 0;      // the settled indication that it was put on
  double indication_g = 0;  // the settled indication with it
  bool steady = true;       // both were settled
};

// Where in `masses` it is, added where it is not there yet: the same mass put on again has the one
// error that it had before.
std::size_t index_of(std::vector<KnownMass>& masses, const KnownMass& mass);

struct CalibrationLoads {
  double interval_g = 0;
  double repeatability_g = 0;  // standard deviation of one indication
  ScaleClass scale_class = ScaleClass::medium;
  double capacity_g = 0;  // 0 where it is not known
  double used_to_g = 0;   // the largest load that the scale is used for; 0: not asked
  std::vector<KnownMass> masses{};
  std::vector<KnownLoad> loads{};   // one to seven
  std::size_t least_different = 1;  // so many of them of different mass are asked for
  bool shared_zero = true;          // all were put on after one and the same zero reading
  double zero_after_g = 0;          // the indication with the pan empty again
};

enum class Refusal : std::uint8_t {
  none,
  no_loads,       // none, more than seven, or a mass that is not above zero
  too_few,        // less different loads than asked for: one alone shows no bend
  not_steady,     // a level was not settled
  zero_moved,     // by more than 1 d
  too_light,      // the loads cover less than half of what the scale is used for
  not_repeating,  // the same load twice differs by more than the class allows
  wrong_mass,     // slope off by more than 2 %: another weight, another unit
  not_a_line,     // chi-squared above its 99 % point
  no_gain,        // the masses are known too badly to beat the limits of the class
};
std::string_view name(Refusal refusal);
std::string words(Refusal refusal);  // what is wrong and what to do, for people

struct Calibration {
  double offset_g = 0;  // of the line at zero load; 0 with less than three different loads
  double slope = 1;     // indication per mass
  double u_offset_g = 0;
  double u_slope = 0;       // relative standard uncertainty of every net by it, "span"
  double covariance_g = 0;  // of offset and slope
  double chi_squared = 0;   // of the loads about the line
  int dof = 0;              // of chi_squared; 0: no test
  double spread_g = 0;  // largest difference of two nets of the same load; 0 where none came twice
  Refusal refusal = Refusal::none;
  // The slope differs from 1 by more than twice its uncertainty: nets are to be divided by it. Else
  // 1 stands, and u_slope says how well.
  bool apply = false;
};

Calibration calibrate(const CalibrationLoads& loads);

// Standard uncertainty of the line at a load.
double line_uncertainty_g(const Calibration& calibration, double load_g);

}  // namespace maslin::weighing
