// Digits large enough to read from the stove, drawn with full blocks.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace maslin::client {

inline constexpr std::size_t kBigRows = 5;

// `text` of digits, '.', ':', '-' and spaces as kBigRows lines of equal width; other characters are
// left out.
std::vector<std::string> big(std::string_view text);

}  // namespace maslin::client
