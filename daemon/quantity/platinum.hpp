// A platinum resistance thermometer of 100 ohm (Pt100): resistance from temperature and back, and
// the two usual classes of its tolerance. Called by figures/. Pure.
#pragma once

#include <optional>

namespace maslin::quantity {

inline constexpr double kColdestPlatinumC = -200;
inline constexpr double kHottestPlatinumC = 850;

// IEC 60751: 100 (1 + A t + B t² + C (t - 100) t³), C only below 0 °C. Empty outside -200 to 850
// °C.
std::optional<double> platinum_ohm(double celsius);
// The inverse, to 1e-9 K; empty outside the resistances of that range.
std::optional<double> platinum_c(double ohm);
// What a thermometer of the class may be off by: A 0.15 + 0.002 |t|, B 0.3 + 0.005 |t|.
double platinum_class_a_c(double celsius);
double platinum_class_b_c(double celsius);

}  // namespace maslin::quantity
