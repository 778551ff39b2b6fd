// How well a net mass is known: the budget of a weighing and the interval that follows from it.
// plan/ asks before anything is weighed, the engine for every weighing. Grams throughout.
// After JCGM 100 (GUM): the errors are convolved, not multiplied out with a coverage factor.
#pragma once

#include <limits>
#include <string_view>
#include <vector>

namespace maslin::weighing {

// What the error of one net mass is made of.
struct NetBudget {
  double interval_g = 0;  // scale interval d; each indication adds a rectangular error of +- d/2
  int indications = 2;    // how many the net is made of: tare and gross
  double repeatability_g = 0;  // standard deviation of one indication
  double linearity_g = 0;      // half width of a rectangular error of the net; 0 none
  double drift_g = 0;          // standard uncertainty of a correction for drift; 0 none
  double span_g = 0;      // standard uncertainty of the net by the scale's own calibration; 0 none
  double sticking_g = 0;  // half width of a rectangular error by what sticks in the vessel; 0 none
  double buoyancy_g = 0;  // standard uncertainty of a correction for air buoyancy; 0 none
  // Degrees of freedom of the repeatability: readings that it was learned from, less one.
  double repeatability_dof = std::numeric_limits<double>::infinity();
};

// One line of a budget. The names are those that `maslin why` and `maslin figure` print.
struct Component {
  std::string_view name;
  double standard_g = 0;
  double dof = std::numeric_limits<double>::infinity();
  double half_width_g = 0;  // of a rectangular error; 0: normal
};

// The budget line by line, in the order of the fields; what is 0 has no line.
std::vector<Component> components(const NetBudget& budget);

struct NetUncertainty {
  double standard_g = 0;
  double half95_g = 0;  // +- this holds 95 % of the errors
  double half90_g = 0;  // beyond +- this lie 5 % on each side: the guard of a one-sided limit
};

NetUncertainty net_uncertainty(const NetBudget& budget);

// Probability that the error of the net is at most x_g (any finite or infinite number).
double error_cdf(const NetBudget& budget, double x_g);

// Half width of the linearity error of a net mass on a scale that was never calibrated: the maximum
// permissible error in service of class III, applied once to the net (`scale_class`; that the
// limits apply to the net for any tare is from memory). capacity 0 where it is not known.
double linearity_class3_g(double net_g, double interval_g, double capacity_g);

// Repeatability assumed of a scale that was never watched, as a share of d (common practice, no
// source).
inline constexpr double kUsualRepeatability = 0.1;

// The budget of a net mass on a scale that was never calibrated: the two above put together.
NetBudget uncalibrated_budget(double net_g, double interval_g, double capacity_g);

}  // namespace maslin::weighing
