// The line through known loads; see the header.
#include "daemon/weighing/calibration.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "daemon/weighing/coverage.hpp"

namespace maslin::weighing {
namespace {

constexpr std::size_t kMostLoads = 7;
constexpr double kWrongSlope = 0.02;    // common practice, no source: another unit or weight
constexpr double kGain = 0.7;           // of the class limit's standard uncertainty
constexpr double kSure = 0.99;          // of the chi-squared test
constexpr double kClearlyNotOne = 2.0;  // standard uncertainties

// Decimal indications in binary: what lies exactly on a bound is within it.
constexpr double kRounding = 1.0 + 1e-9;

using Vector = std::array<double, kMostLoads>;
using Matrix = std::array<Vector, kMostLoads>;

struct Point {
  double mass = 0;
  double net = 0;
};

// Lower triangle L with L L' = `of`; positive definite, since every indication has an error of its
// own.
void factorise(Matrix& of, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j <= i; ++j) {
      double sum = of[i][j];
      for (std::size_t k = 0; k < j; ++k) sum -= of[i][k] * of[j][k];
      of[i][j] = i == j ? std::sqrt(sum) : sum / of[j][j];
    }
  }
}

// L^-1 x: errors that were correlated become independent ones of variance 1.
Vector whitened(const Matrix& lower, Vector x, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t k = 0; k < i; ++k) x[i] -= lower[i][k] * x[k];
    x[i] /= lower[i][i];
  }
  return x;
}

double dot(const Vector& a, const Vector& b, std::size_t n) {
  double sum = 0;
  for (std::size_t i = 0; i < n; ++i) sum += a[i] * b[i];
  return sum;
}

std::size_t different_loads(const std::vector<Point>& points) {
  std::vector<double> masses;
  masses.reserve(points.size());
  for (const Point& point : points) masses.push_back(point.mass);
  std::sort(masses.begin(), masses.end());
  return static_cast<std::size_t>(std::unique(masses.begin(), masses.end()) - masses.begin());
}

// With two different loads a line of its own through both would leave nothing to test it by, and
// know its slope worse than one load does.
bool through_zero_alone(const std::vector<Point>& points) { return different_loads(points) <= 2; }

// Covariance of the differences net - mass. `slope` weighs the errors of the masses as they show.
Matrix covariance(const CalibrationLoads& from, double slope) {
  const double indication =
      from.interval_g * from.interval_g / 12.0 + from.repeatability_g * from.repeatability_g;
  Matrix v{};
  for (std::size_t i = 0; i < from.loads.size(); ++i) {
    for (std::size_t j = 0; j < from.loads.size(); ++j) {
      if (i == j) v[i][j] += indication;
      if (i == j || from.shared_zero) v[i][j] += indication;
      for (const std::size_t mine : from.loads[i].masses) {
        const auto& others = from.loads[j].masses;
        if (std::find(others.begin(), others.end(), mine) == others.end()) continue;
        v[i][j] += slope * slope * from.masses[mine].standard_g * from.masses[mine].standard_g;
      }
    }
  }
  return v;
}

// Offset and slope, or the slope alone of one or two loads and the zero.
void fit(const CalibrationLoads& from, const std::vector<Point>& points, Calibration& to) {
  const std::size_t n = points.size();
  const bool through_zero = through_zero_alone(points);
  const double first_slope = through_zero ? points.back().net / points.back().mass : 1.0;
  Matrix lower = covariance(from, first_slope);
  factorise(lower, n);
  Vector one{}, mass{}, off{};
  for (std::size_t i = 0; i < n; ++i) {
    one[i] = 1;
    mass[i] = points[i].mass;
    off[i] = points[i].net - points[i].mass;
  }
  one = whitened(lower, one, n);
  mass = whitened(lower, mass, n);
  off = whitened(lower, off, n);
  const double mm = dot(mass, mass, n);
  double error = 0;  // slope - 1
  if (through_zero) {
    error = dot(mass, off, n) / mm;
    to.u_slope = 1.0 / std::sqrt(mm);
  } else {
    const double oo = dot(one, one, n);
    const double om = dot(one, mass, n);
    const double determinant = oo * mm - om * om;
    to.offset_g = (mm * dot(one, off, n) - om * dot(mass, off, n)) / determinant;
    error = (oo * dot(mass, off, n) - om * dot(one, off, n)) / determinant;
    to.u_offset_g = std::sqrt(mm / determinant);
    to.u_slope = std::sqrt(oo / determinant);
    to.covariance_g = -om / determinant;
  }
  to.slope = 1.0 + error;
  to.dof = static_cast<int>(n) - (through_zero ? 1 : 2);
  for (std::size_t i = 0; i < n; ++i) {
    const double residual = off[i] - to.offset_g * one[i] - error * mass[i];
    to.chi_squared += residual * residual;
  }
}

double spread(const std::vector<KnownLoad>& loads, const std::vector<Point>& points) {
  double largest = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j) {
      if (loads[i].masses != loads[j].masses) continue;
      largest = std::max(largest, std::abs(points[i].net - points[j].net));
    }
  }
  return largest;
}

Refusal refused(const CalibrationLoads& from, const std::vector<Point>& points,
                const Calibration& found, double heaviest) {
  const double e = verification_interval_g(from.scale_class, from.interval_g, from.capacity_g);
  const double limit = permissible_error_g(from.scale_class, heaviest, e);
  // The order is that in which a cook can mend it: the reading, the loads, then what they say.
  if (std::any_of(from.loads.begin(), from.loads.end(),
                  [](const KnownLoad& load) { return !load.steady; })) {
    return Refusal::not_steady;
  }
  if (std::abs(from.zero_after_g - from.loads.front().before_g) > from.interval_g * kRounding) {
    return Refusal::zero_moved;
  }
  if (different_loads(points) < from.least_different) return Refusal::too_few;
  if (heaviest < from.used_to_g / 2.0) return Refusal::too_light;
  // OIML R 76-1:2006 3.6.1, from memory: weighings of one load differ by the limit at most.
  if (found.spread_g > limit) return Refusal::not_repeating;
  if (std::abs(found.slope - 1.0) > kWrongSlope * kRounding) return Refusal::wrong_mass;
  if (found.dof > 0 && found.chi_squared > chi_squared_point(kSure, found.dof)) {
    return Refusal::not_a_line;
  }
  if (found.u_slope * heaviest >= kGain * limit / std::numbers::sqrt3) return Refusal::no_gain;
  return Refusal::none;
}

}  // namespace

std::size_t index_of(std::vector<KnownMass>& masses, const KnownMass& mass) {
  const auto found = std::find(masses.begin(), masses.end(), mass);
  if (found != masses.end()) return static_cast<std::size_t>(found - masses.begin());
  masses.push_back(mass);
  return masses.size() - 1;
}

std::string_view name(Refusal refusal) {
  constexpr std::array<std::string_view, 10> kNames{
      "none",      "no loads",      "too few",    "not steady", "zero moved",
      "too light", "not repeating", "wrong mass", "not a line", "no gain"};
  return kNames[static_cast<std::size_t>(refusal)];
}

std::string words(Refusal refusal) {
  switch (refusal) {
    case Refusal::none:
      return "";
    case Refusal::no_loads:
      return "one to seven loads of known mass are needed, each above zero";
    case Refusal::too_few:
      return "one load cannot show whether the scale is straight; put another, lighter or heavier "
             "one "
             "on and say what it is";
    case Refusal::not_steady:
      return "a level was not settled; let the pan rest and put the load on again";
    case Refusal::zero_moved:
      return "the empty pan does not show what it showed before; clean it, zero it, begin again";
    case Refusal::too_light:
      return "the loads reach less than half of what the scale is used for; use heavier ones";
    case Refusal::not_repeating:
      return "the same load did not show the same twice; put it on the middle of the pan, or have "
             "the scale looked at";
    case Refusal::wrong_mass:
      return "the scale is off by more than 2 %: another weight or another unit, most likely";
    case Refusal::not_a_line:
      return "the loads do not lie on one line: one of them is not what it was said to be, or the "
             "scale is bent";
    case Refusal::no_gain:
      return "the masses are not known better than the scale by itself; use a check weight, or "
             "water by a measuring flask";
  }
  return "?";
}

Calibration calibrate(const CalibrationLoads& from) {
  Calibration found;
  std::vector<Point> points;
  for (const KnownLoad& load : from.loads) {
    Point point;
    for (const std::size_t one : load.masses) point.mass += from.masses[one].mass_g;
    point.net = load.indication_g - load.before_g;
    points.push_back(point);
  }
  const bool usable =
      !points.empty() && points.size() <= kMostLoads && from.interval_g > 0 &&
      std::all_of(points.begin(), points.end(), [](const Point& point) { return point.mass > 0; });
  if (!usable) {
    found.refusal = Refusal::no_loads;
    return found;
  }
  fit(from, points, found);
  found.spread_g = spread(from.loads, points);
  const auto heaviest = std::max_element(
      points.begin(), points.end(), [](const Point& a, const Point& b) { return a.mass < b.mass; });
  found.refusal = refused(from, points, found, heaviest->mass);
  found.apply = found.refusal == Refusal::none &&
                std::abs(found.slope - 1.0) > kClearlyNotOne * found.u_slope;
  return found;
}

double line_uncertainty_g(const Calibration& calibration, double load_g) {
  const double offset = calibration.u_offset_g;
  const double slope = load_g * calibration.u_slope;
  return std::sqrt(offset * offset + slope * slope + 2.0 * load_g * calibration.covariance_g);
}

}  // namespace maslin::weighing
