// Options by CLI11. Programs and plugins are looked for beside maslind, as a build lays them out,
// and where they are installed.
#include "daemon/options.hpp"

#include <CLI/CLI.hpp>
#include <iostream>
#include <utility>

#include "daemon/runtime/paths.hpp"

namespace maslin {
namespace {

// real, max, or a number of simulated seconds a second.
bool read_pace(const std::string& text, session::Pace& pace) {
  if (text == "real") return true;
  pace.simulated = true;
  if (text == "max") return true;
  try {
    std::size_t used = 0;
    pace.times = std::stod(text, &used);
    return used == text.size() && pace.times > 0 && pace.times <= 100'000;
  } catch (const std::exception&) {
    return false;
  }
}

}  // namespace

Options read_options(int argc, char** argv) {
  Options options;
  options.state = runtime::default_state_dir();
  options.socket = runtime::default_socket();
  std::vector<std::string> plugins;
  std::string pace = "real";

  CLI::App app("Watches scales and thermometers, leads a batch of preserves and keeps its record.",
               "maslind");
  app.add_option("--state", options.state, "directory for the record")->type_name("DIR");
  app.add_option("--socket", options.socket, "socket to listen on")->type_name("PATH");
  app.add_option("--settings", options.settings, "settings to begin with, a JSON file")
      ->type_name("FILE")
      ->check(CLI::ExistingFile);
  app.add_option("--plugin", plugins,
                 "plugin to run; repeat for more (hid-scale and thermometer if none, and none at "
                 "a simulated pace)")
      ->type_name("NAME[=ARGUMENT]");
  app.add_option("--plugin-dir", options.plugin_dirs, "directory with plugins, searched first")
      ->type_name("DIR");
  app.add_option("--pace", pace, "real, max, or simulated seconds a second")
      ->type_name("real|max|N");
  app.add_flag("--quiet", options.quiet, "log warnings and errors only");
  app.set_version_flag("--version", "maslind " MASLIN_VERSION);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& stop) {
    options.exit_code = app.exit(stop) == 0 ? 0 : 2;
    return options;
  }
  if (!read_pace(pace, options.pace)) {
    std::cerr << "maslind: --pace " << pace << ": write real, max, or a number up to 100000\n";
    options.exit_code = 2;
    return options;
  }
  for (const auto& text : plugins) {
    auto plugin = devices::read_plugin(text);
    if (!plugin) {
      std::cerr << "maslind: " << proto::line(plugin.error()) << "\n";
      options.exit_code = 2;
      return options;
    }
    options.plugins.push_back(std::move(*plugin));
  }
  if (plugins.empty() && !options.pace.simulated)
    options.plugins = {{"hid-scale", ""}, {"thermometer", ""}};

  std::error_code fault;
  const auto here = std::filesystem::read_symlink("/proc/self/exe", fault).parent_path();
  options.plugin_dirs.push_back(here / "plugins");
  options.plugin_dirs.push_back(MASLIN_PLUGIN_DIR);
  options.plughost = here / "maslin-plughost";
  if (!std::filesystem::exists(options.plughost)) options.plughost = MASLIN_PLUGHOST;
  options.proceed = true;
  return options;
}

}  // namespace maslin
