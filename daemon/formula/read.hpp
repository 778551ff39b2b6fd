// Reads the text of a formula. The format is described in README.md beside this file.
#pragma once

#include <string_view>

#include "daemon/formula/formula.hpp"
#include "proto/trouble.hpp"

namespace maslin::formula {

inline constexpr std::size_t kLongestText = 256 * 1024;  // bytes

// The formula, or every fault found with its file:line:column, what is wrong and what to write.
// `file` is only a name for the messages. A fault of the syntax ends the reading there; all others
// are collected.
proto::Results<Formula> read(std::string_view text, std::string_view file);

}  // namespace maslin::formula
