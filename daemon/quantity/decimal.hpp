// Numbers as text: what a scale shows and no digit more. Shared by messages of formula/ and plan/
// and by the engine's cues.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace maslin::quantity {

// Micrograms as grams with the decimals that an interval has: 640000000 at 1 g gives "640 g", at
// 0.1 g "640.0 g". An interval of 0 gives three figures at most one decimal: "640 g", "6.4 g".
std::string grams(std::int64_t micrograms, std::int64_t interval_ug = 0);

// A number with at most `decimals` digits behind the point and no zeros at the end: 1.50 -> "1.5".
std::string plain(double value, int decimals);

// Millikelvin as degrees Celsius with one decimal: "99.6 °C".
std::string celsius(std::int64_t millikelvin);
// "between 1.0 °C and 4.0 °C", "at most 4.0 °C", "at least 18.0 °C"; 0 where nothing bounds that
// side.
std::string celsius_bounds(std::int64_t least_mk, std::int64_t most_mk);

// Nearest, next lower and next higher multiple of step (> 0); half away from zero.
std::int64_t nearest_multiple(std::int64_t value, std::int64_t step);
std::int64_t multiple_below(std::int64_t value, std::int64_t step);
std::int64_t multiple_above(std::int64_t value, std::int64_t step);

// "jar 3", "jars 1, 2 and 4"; "piece 1" of what has no jars
std::string jar_names(const std::vector<std::int64_t>& jars, const std::string& unit = "jar");

}  // namespace maslin::quantity
