// How well a net mass is known: the budget of a weighing and the interval that follows from it.
// plan/ asks before anything is weighed, the engine for every weighing. Grams throughout.
// After JCGM 100 (GUM): the errors are convolved, not multiplied out with a coverage factor.
#pragma once

namespace maslin::weighing {

// What the error of one net mass is made of.
struct NetBudget {
  double interval_g = 0;  // scale interval d; each indication adds a rectangular error of +- d/2
  int indications = 2;    // how many the net is made of: tare and gross
  double repeatability_g = 0;  // standard deviation of one indication
  double linearity_g = 0;      // half width of a rectangular error of the net; 0 none
  double drift_g = 0;          // standard uncertainty of a correction for drift; 0 none
};

struct NetUncertainty {
  double standard_g = 0;
  double half95_g = 0;  // +- this holds 95 % of the errors
  double half90_g = 0;  // beyond +- this lie 5 % on each side: the guard of a one-sided limit
};

NetUncertainty net_uncertainty(const NetBudget& budget);

// Probability that the error of the net is at most x_g (any finite or infinite number).
double error_cdf(const NetBudget& budget, double x_g);

// Half width of the linearity error of a net mass on a scale that was never calibrated: the maximum
// permissible error in service of class III, applied once to the net. OIML R 76-1:2006 table 6;
// twice the initial limits in service, and limits applying to the net for any tare, are from
// memory. The verification interval is max(d, capacity/10000), since class III ends at 10000
// intervals; capacity 0 where it is not known.
double linearity_class3_g(double net_g, double interval_g, double capacity_g);

// Repeatability assumed of a scale that was never watched, as a share of d (common practice, no
// source).
inline constexpr double kUsualRepeatability = 0.1;

// The budget of a net mass on a scale that was never calibrated: the two above put together.
NetBudget uncalibrated_budget(double net_g, double interval_g, double capacity_g);

}  // namespace maslin::weighing
