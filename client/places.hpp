// Where the daemon's socket and the formulas are.
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "proto/trouble.hpp"

namespace maslin::client {

// The value of an environment variable, nullopt where it is not set or empty.
using Environment = std::function<std::optional<std::string>(const char*)>;

// `option`, else $MASLIN_SOCKET, else $XDG_RUNTIME_DIR/maslin/socket where it exists, else
// /run/maslin/socket.
std::filesystem::path socket_path(const std::string& option, const Environment& environment);

struct FormulaText {
  std::string file;  // its name for messages
  std::string text;
};

// `name` is a file, else the name of a formula that comes with the program, with or without
// ".toml". Troubles: neither; not readable; larger than 256 KiB; not UTF-8, with line and column
// (such bytes cannot be sent).
proto::Result<FormulaText> read_formula(const std::string& name,
                                        const std::filesystem::path& program);

// The program that answers `maslin figure`; it comes along and works without a daemon. Empty where
// it is not there.
std::filesystem::path figure_program(const std::filesystem::path& program);

// Where formulas of the program are looked for, the first that exists counts.
std::vector<std::filesystem::path> formula_directories(const std::filesystem::path& program);

}  // namespace maslin::client
