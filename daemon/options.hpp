// The command line of maslind.
#pragma once

#include <filesystem>
#include <vector>

#include "daemon/devices/devices.hpp"
#include "daemon/session/session.hpp"

namespace maslin {

struct Options {
  bool proceed = false;  // false: help or version was printed, or the line was wrong
  int exit_code = 0;     // then: 0, or 2 for a wrong line
  bool quiet = false;
  std::filesystem::path state;
  std::filesystem::path socket;
  std::filesystem::path settings;  // empty: none
  std::filesystem::path plughost;
  std::vector<std::filesystem::path> plugin_dirs;
  std::vector<devices::PluginConfig> plugins;
  session::Pace pace;
};

Options read_options(int argc, char** argv);

}  // namespace maslin
