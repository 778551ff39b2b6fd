// What is made of a barometer at hand: nothing decides by it, but one that is reduced to sea level
// is named.
#pragma once

#include <cstdint>
#include <string>

namespace maslin::plan {

// One line for the plan's notes. Cheap sensors send pressure reduced to sea level: further from the
// standard pressure of the altitude than weather ever is, it is named and not used. Empty where the
// altitude has no standard pressure.
std::string barometer_note(double altitude_m, std::int64_t pascals);

// The same judgement: further from it than weather ever is.
bool reduced_to_sea(double altitude_m, double pascals);

}  // namespace maslin::plan
