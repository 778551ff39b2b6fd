// The command line of `maslin`; CLI11 is seen here alone.
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdio>

#include "client/commands.hpp"

namespace {

using maslin::client::Order;

std::filesystem::path this_program() {
  std::error_code fault;
  auto path = std::filesystem::read_symlink("/proc/self/exe", fault);
  return fault ? std::filesystem::path("/usr/bin/maslin") : path;
}

// NaN and infinity are no numbers to the daemon's JSON; they would look as if nothing had been
// given.
const CLI::Validator kFinite(
    [](const std::string& text) -> std::string {
      double value = 0;
      const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
      if (fault != std::errc() || end != text.data() + text.size() || !std::isfinite(value)) {
        return "'" + text + "' is no number";
      }
      return "";
    },
    "");

std::string member(const char* name, double value) {
  std::array<char, 64> digits{};
  const auto [end, fault] = std::to_chars(digits.data(), digits.data() + digits.size(), value);
  return "\"" + std::string(name) + "\":" + std::string(digits.data(), end);
}

void add_plan_options(CLI::App* command, Order& order) {
  command->add_option("formula", order.formula, "file, or name of a formula that comes along")
      ->required();
  auto* have =
      command->add_option("--have", order.have, "what is there: \"onion=640 g\"; again for more");
  have->take_all()->allow_extra_args(false);
  auto* jars = command->add_option("--jars", order.jars, "as many jars")->check(kFinite);
  auto* factor = command->add_option("--factor", order.factor, "times the formula")->check(kFinite);
  jars->excludes(factor)->excludes(have);
  factor->excludes(have);
  command->add_option("--keeping", order.keeping, "shelf, refrigerator or freezer");
}

CLI::App* add(CLI::App& app, Order& order, const char* name, const char* what) {
  auto* command = app.add_subcommand(name, what);
  command->callback([&order, name] { order.command = name; });
  command->fallthrough();
  return command;
}

// An altitude in metres, or in feet where "ft" follows; the international foot, exactly 0.3048 m.
std::string altitude(const std::string& text) {
  double value = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  std::string unit(end, text.data() + text.size());
  unit.erase(0, unit.find_first_not_of(' '));
  if (fault != std::errc() || !std::isfinite(value) ||
      !(unit.empty() || unit == "m" || unit == "ft")) {
    throw CLI::ValidationError("--altitude", "write metres (640) or feet (2100 ft)");
  }
  return member("altitude_m", unit == "ft" ? value * 0.3048 : value);
}

void add_settings(CLI::App& app, Order& order) {
  auto* command = add(app, order, "settings", "show the settings, or change them");
  command->add_option_function<std::string>(
      "--altitude", [&order](const std::string& text) { order.settings.push_back(altitude(text)); },
      "of the kitchen, in metres, or \"2100 ft\"");
  const auto figure = [&](const char* option, const char* name, const char* what) {
    command
        ->add_option_function<double>(
            option, [&order, name](double value) { order.settings.push_back(member(name, value)); },
            what)
        ->check(kFinite);
  };
  figure("--spread", "usual_spread", "usual spread of your pours, a share: 0.02");
  figure("--scale-lag", "scale_lag_s", "how far the scale's display lags, seconds");
  figure("--reaction", "reaction_s", "yours, from the tone to the hand, seconds");
  figure("--cue-delay", "cue_delay_s", "until the tone is heard, seconds");
}

void add_commands(CLI::App& app, Order& order) {
  add(app, order, "check", "say everything that is wrong with a formula")
      ->add_option("formula", order.formula, "file, or name of a formula that comes along")
      ->required();
  add_plan_options(add(app, order, "plan", "scale a formula to what is there"), order);
  add(app, order, "devices", "list what is plugged in and what it shows");
  auto* assign = add(app, order, "assign", "say what a device is for");
  assign->add_option("role", order.role, "bench, fine, pan, canner, room or pedal")->required();
  assign->add_option("device", order.device, "as `maslin devices` names it, or its beginning")
      ->required();
  auto* start = add(app, order, "start", "start a batch");
  add_plan_options(start, order);
  start->add_flag("--follow", order.follow, "then follow it");
  start->add_flag("--plain", order.plain, "follow as lines");
  add(app, order, "status", "say how the batch stands");
  add(app, order, "follow", "watch the batch until it ends")
      ->add_flag("--plain", order.plain, "as lines, also on a terminal");
  add(app, order, "ok", "confirm: done, or it boils");
  add(app, order, "hold", "hold the batch")->add_option("--reason", order.text, "why");
  add(app, order, "resume", "go on after a hold");
  add(app, order, "accept", "accept an amount outside its band")
      ->add_option("--reason", order.text, "why")
      ->required();
  add(app, order, "note", "write something into the record")
      ->add_option("text", order.text, "what")
      ->required();
  add(app, order, "stop", "end the batch before its time")
      ->add_option("--reason", order.text, "why");
  add(app, order, "batches", "list all batches");
  const auto of_batch = [&](const char* name, const char* what) {
    add(app, order, name, what)
        ->add_option("batch", order.batch, "its name; without one, the running or the newest");
  };
  of_batch("report", "print the tolerance report");
  of_batch("log", "read a batch like a diary");
  of_batch("export", "print the readings as CSV");
  of_batch("verify", "check a record and play it again");
  add(app, order, "review", "compare over all batches")
      ->add_option("formula", order.formula, "name of one formula");
  add_settings(app, order);
}

}  // namespace

int main(int argc, char** argv) {
  Order order;
  order.program = this_program();
  CLI::App app("maslin weighs, checks and logs a batch of preserves beside the pan.");
  app.set_version_flag("--version", "maslin " MASLIN_VERSION);
  app.add_option("--socket", order.socket, "of the daemon; else $MASLIN_SOCKET or the usual place");
  app.add_flag("--json", order.json, "print the daemon's answer as it is");
  app.require_subcommand(1);
  add_commands(app, order);
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& help) {
    return app.exit(help);
  } catch (const CLI::ParseError& fault) {
    app.exit(fault);
    return maslin::client::kUsage;
  }
  return maslin::client::carry_out(order);
}
