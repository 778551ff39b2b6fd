// From a list of uncertainty components to one expanded uncertainty, by JCGM 100 (GUM) 5.1.2, G.4.1
// (Welch-Satterthwaite) and G.3 (Student's t). `maslin why` and the figures call it, to be compared
// with; verdicts go by the convolution of `uncertainty`.
#pragma once

#include <span>

#include "daemon/weighing/uncertainty.hpp"

namespace maslin::weighing {

struct Combined {
  double standard = 0;
  double dof = 0;  // effective; infinite where every component is known beyond doubt
  // Student's t at the next lower whole number of degrees of freedom, as G.4.1 asks.
  double coverage_factor = 0;
  double expanded = 0;
};

// Each component in the unit of the result, its degrees of freedom at least 1; `confidence` between
// 0 and 1.
Combined combine(std::span<const Component> components, double confidence = 0.95);

// +- so many standard uncertainties hold the share `confidence`, of so many degrees of freedom (at
// least 1, or infinite).
double coverage_factor(double confidence, double dof);

// The point below which the share p (between 0 and 1) of a standard normal distribution lies.
double normal_point(double p);

// The value that the share p of a chi-squared distribution stays below, for so many degrees of
// freedom.
double chi_squared_point(double p, double dof);

}  // namespace maslin::weighing
