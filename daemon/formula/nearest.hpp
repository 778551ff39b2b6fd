// The known name nearest to a mistyped one, for messages. Used while formulas are read and by plan/
// for the names in a request.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace maslin::formula {

// The candidate with the smallest edit distance (insert, delete, replace, swap of neighbours; ASCII
// case does not count), or empty where even that one shares too little with the name to be meant.
std::string nearest(std::string_view name, const std::vector<std::string>& candidates);

// "a", "b" or "c", in quotes.
std::string listed(const std::vector<std::string>& names);

}  // namespace maslin::formula
