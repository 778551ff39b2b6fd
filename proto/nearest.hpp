// The known name nearest to a mistyped one, for messages. Used while formulas are read, by plan/
// and figures/ for the names in a request, and by the client for its commands.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace maslin::proto {

// The candidate with the smallest edit distance (insert, delete, replace, swap of neighbours; ASCII
// case does not count), or empty where even that one shares too little with the name to be meant.
std::string nearest(std::string_view name, const std::vector<std::string>& candidates);

// "a", "b" or "c", in quotes.
std::string listed(const std::vector<std::string>& names);

}  // namespace maslin::proto
