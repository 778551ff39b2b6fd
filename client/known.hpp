// A command that there is none of, with the one that was probably meant. Called by main.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "proto/trouble.hpp"

namespace maslin::client {

// The trouble of the first word that is no option, where it is none of the names; empty where it is
// one, or where there is no word. `words` as they were typed, without the program.
std::optional<proto::Trouble> unknown_command(const std::vector<std::string>& words,
                                              const std::vector<std::string>& names);

}  // namespace maslin::client
