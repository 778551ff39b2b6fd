// The accuracy classes of scales and what they promise: OIML R 76-1:2006 tables 3 and 6. The budget
// of a scale that was never calibrated and the smallest load of a plan come from here.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace maslin::weighing {

enum class ScaleClass : std::uint8_t { special, high, medium, ordinary };
std::string_view name(ScaleClass scale_class);  // "I", "II", "III", "IIII", as on the plate
std::optional<ScaleClass> scale_class_named(std::string_view text);

// The verification interval e: never below the scale interval d, nor so small that the capacity
// had more intervals than the class has (table 3). capacity 0 where it is not known; grams.
double verification_interval_g(ScaleClass scale_class, double interval_g, double capacity_g);

// Maximum permissible error in service of a load, either sign: twice the initial limits of table 6
// (twice in service: from memory). Edges belong to the lower step.
double permissible_error_g(ScaleClass scale_class, double load_g, double e_g);

// The least load (table 3, "Min") and the most intervals e that a scale of this class has; 0 where
// the class sets no bound.
double least_load_g(ScaleClass scale_class, double e_g);
double most_intervals(ScaleClass scale_class);

}  // namespace maslin::weighing
