// Jars by the names that households give them. Used by formula/ and by the client's facts.
#pragma once

#include <string_view>

namespace maslin::proto {

// "half-pint", "half pint jars", "a pint": what one holds in US liquid pints ("1/2 pint", "2
// pints"); empty where it is none of these names.
std::string_view named_jar(std::string_view text);

}  // namespace maslin::proto
