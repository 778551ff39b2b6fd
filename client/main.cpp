// The command line of `maslin`; CLI11 is seen here alone.
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <utility>

#include "client/commands.hpp"
#include "client/facts.hpp"
#include "client/known.hpp"
#include "client/show.hpp"

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
  command->add_option("--units", order.units, "which come first: kitchen (cups, spoons) or grams")
      ->check(CLI::IsMember({"kitchen", "grams"}));
  command->add_option("--parent", order.parent, "the batch that this one is a remake of");
}

// A command with the line that its help ends with.
CLI::App* add(CLI::App& app, Order& order, const char* name, const char* what,
              const char* example) {
  auto* command = app.add_subcommand(name, what);
  command->footer("Example: maslin " + std::string(example));
  command->callback([&order, name] { order.command = name; });
  command->fallthrough();
  return command;
}

// "2100 ft" -> 2100 and "ft".
std::pair<double, std::string> split(const std::string& text, const char* option,
                                     const char* what_to_write) {
  double value = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  std::string unit(end, text.data() + text.size());
  unit.erase(0, unit.find_first_not_of(' '));
  if (fault != std::errc() || !std::isfinite(value)) {
    throw CLI::ValidationError(option, what_to_write);
  }
  return {value, unit};
}

// An altitude in metres or in feet, which is said: the international foot, exactly 0.3048 m.
std::string altitude(const std::string& text) {
  constexpr const char* kWrite = "write the unit too: \"640 m\", \"2100 ft\"";
  const auto [value, unit] = split(text, "--altitude", kWrite);
  if (unit != "m" && unit != "ft") throw CLI::ValidationError("--altitude", kWrite);
  return member("altitude_m", unit == "ft" ? value * 0.3048 : value);
}

// A share as the wire takes it, or percent as `maslin settings` shows it.
std::string spread(const std::string& text) {
  constexpr const char* kWrite = "write percent (2 %) or a share (0.02)";
  const auto [value, unit] = split(text, "--spread", kWrite);
  if (!unit.empty() && unit != "%") throw CLI::ValidationError("--spread", kWrite);
  return member("usual_spread", unit == "%" ? value / 100 : value);
}

// "07:00 to 22:00" as minutes of the day, of which the first is member `from` and the other `to`.
std::string hours_of_day(const char* option, const std::string& text, const char* from,
                         const char* to) {
  int from_h = 0, from_m = 0, to_h = 0, to_m = 0;
  char rest = 0;
  if (std::sscanf(text.c_str(), "%2d:%2d to %2d:%2d%c", &from_h, &from_m, &to_h, &to_m, &rest) !=
          4 ||
      from_h < 0 || from_h > 24 || to_h < 0 || to_h > 24 || from_m < 0 || from_m > 59 || to_m < 0 ||
      to_m > 59) {
    throw CLI::ValidationError(option, "write \"07:00 to 22:00\"");
  }
  return member(from, from_h * 60 + from_m) + "," + member(to, to_h * 60 + to_m);
}

std::string waking(const std::string& text) {
  return hours_of_day("--waking", text, "waking_from_min", "waking_to_min");
}

std::string quiet_hours(const std::string& text) {
  return hours_of_day("--quiet-hours", text == "none" ? "00:00 to 00:00" : text, "quiet_from_min",
                      "quiet_to_min");
}

void add_settings(CLI::App& app, Order& order) {
  auto* command = add(app, order, "settings", "show the settings, or change them",
                      "settings --altitude \"2100 ft\"");
  command->add_option_function<std::string>(
      "--altitude", [&order](const std::string& text) { order.settings.push_back(altitude(text)); },
      "of the kitchen: \"640 m\", \"2100 ft\"");
  command->add_option_function<std::string>(
      "--spread", [&order](const std::string& text) { order.settings.push_back(spread(text)); },
      "usual spread of your pours: \"2 %\"");
  const auto figure = [&](const char* option, const char* name, const char* what) {
    command
        ->add_option_function<double>(
            option, [&order, name](double value) { order.settings.push_back(member(name, value)); },
            what)
        ->check(kFinite);
  };
  command->add_option_function<std::string>(
      "--waking", [&order](const std::string& text) { order.settings.push_back(waking(text)); },
      "when you may be asked about the seals: \"07:00 to 22:00\"");
  figure("--scale-lag", "scale_lag_s", "how far the scale's display lags, seconds");
  figure("--reaction", "reaction_s", "yours, from the tone to the hand, seconds");
  figure("--cue-delay", "cue_delay_s", "until the tone is heard, seconds");
  command
      ->add_option_function<std::string>(
          "--units",
          [&order](const std::string& text) {
            order.settings.push_back("\"units\":\"" + text + "\"");
          },
          "which come first: kitchen (cups, spoons) or grams")
      ->check(CLI::IsMember({"kitchen", "grams"}));
  command
      ->add_option_function<std::string>(
          "--quiet",
          [&order](const std::string& text) {
            order.settings.push_back(text == "on" ? "\"quiet\":true" : "\"quiet\":false");
          },
          "on: light and text only; off")
      ->check(CLI::IsMember({"on", "off"}));
  command->add_option_function<std::string>(
      "--quiet-hours",
      [&order](const std::string& text) { order.settings.push_back(quiet_hours(text)); },
      "quiet every day: \"22:00 to 07:00\", or none");
}

// Of an expected value, or an error of the option.
std::string or_fault(const char* option, tl::expected<std::string, std::string> member) {
  if (!member) throw CLI::ValidationError(option, member.error());
  return std::move(*member);
}

void add_facts(CLI::App& app, Order& order) {
  auto* command = add(app, order, "facts", "show what stands in the kitchen, or tell it",
                      "facts --vinegar \"5 %\" --jar \"250 mL\" --lids 6");
  for (const auto& one : maslin::client::fact_options()) {
    command->add_option_function<std::string>(
        one.option,
        [&order, &one](const std::string& text) {
          order.settings.push_back(or_fault(one.option, maslin::client::fact_member(one, text)));
        },
        one.what);
  }
  command
      ->add_option_function<std::vector<std::string>>(
          "--lot",
          [&order](const std::vector<std::string>& lots) {
            std::string all;
            for (const auto& lot : lots) {
              all += (all.empty() ? "" : ",") + or_fault("--lot", maslin::client::lot_element(lot));
            }
            order.settings.push_back("\"lots\":[" + all + "]");
          },
          "what is printed on one of the things: \"cider vinegar=L1234\"; again for more")
      ->take_all()
      ->allow_extra_args(false);
  command
      ->add_option_function<std::vector<std::string>>(
          "--forget",
          [&order](const std::vector<std::string>& names) {
            for (const auto& name : names) {
              // First, so that what is told in the same breath stands.
              order.settings.insert(order.settings.begin(),
                                    or_fault("--forget", maslin::client::forgotten(name)));
            }
          },
          "a fact that is not so any more: vinegar (a new bottle), package, lots; learned: what "
          "pours "
          "and scales have taught")
      ->take_all()
      ->allow_extra_args(false);
}

void add_jar_commands(CLI::App& app, Order& order) {
  auto* filled = add(app, order, "filled", "say how many jars were filled", "filled 4 --part");
  filled->add_option("jars", order.count, "whole ones")->required()->check(CLI::Range(0, 500));
  filled->add_flag("--part", order.part_filled, "and one more, not full: for the refrigerator");
  add(app, order, "yield", "say how much the pan gave, to hear how many jars that fills",
      "yield \"900 mL\"")
      ->add_option("amount", order.text, "measured \"900 mL\" or weighed \"1.2 kg\"")
      ->required();
  auto* seals = add(app, order, "seals", "say which jars sealed", "seals --unsealed 3,4");
  auto* which = seals->add_option_group("which");
  which->add_flag("--all", order.all, "all of them sealed");
  which->add_option("--unsealed", order.numbers, "numbers of those that did not, \"3,4\"");
  which->add_option("--unsealed-count", order.count, "how many did not")->check(CLI::Range(1, 500));
  which->require_option(1);
  auto* jar = add(app, order, "jar", "say where jars are now, also months later",
                  "jar 2026-11-25-1 3 opened");
  jar->add_option("batch", order.batch, "its name")->required();
  jar->add_option("jars", order.numbers, "their numbers, \"1-3,5\", or all")->required();
  jar->add_option(
         "place", order.place,
         "shelf, refrigerator, freezer, given, opened, discarded, remade or \"process again\"")
      ->required();
  jar->add_option("--note", order.text, "why; of one that is given, to whom (stays in the record)");
  auto* jars = add(app, order, "jars", "list all jars, what to use first, and what is due",
                   "jars --lot L1234");
  jars->add_option("--lot", order.lot, "only those that hold it, also given and eaten ones")
      ->check(CLI::Validator(
          [](std::string& lot) {
            return lot.empty() ? std::string("write what is printed on it") : std::string();
          },
          ""));
  jars->add_option("--batch", order.batch, "only those of one batch, all of them");
  jars->add_flag("--all", order.all, "given and discarded ones too");
}

void add_amend(CLI::App& app, Order& order) {
  auto* amend = add(app, order, "amend", "put a fact right, also weeks after the batch",
                    "amend 2026-11-25-1 --weighed \"sugar=612 g\" --note \"spilt some\"");
  amend->add_option("batch", order.batch, "its name; without one, the running or the newest");
  auto* which = amend->add_option_group("which");
  const auto option = [&](const char* name, const char* what, const char* help) {
    which->add_option_function<std::string>(
        name,
        [&order, what](const std::string& value) {
          order.amend_what = what;
          order.amend_value = value;
        },
        help);
  };
  option("--swapped", "swapped", "one was the other: \"sugar=salt\"");
  option("--weighed", "weighed", "what really went in: \"sugar=612 g\"");
  option("--added", "added", "so much more went in since: \"water=200 g\"");
  option("--brine", "brine", "so much more of the same brine is needed: \"200 g\"");
  option("--left-out", "left out", "it never went in: sugar");
  which
      ->add_option_function<std::int64_t>(
          "--jars",
          [&order](std::int64_t count) {
            order.amend_what = "jars";
            order.count = count;
          },
          "how many whole ones there are")
      ->check(CLI::Range(0, 500));
  option("--vinegar", "vinegar", "strength of its bottle: \"4 %\", or \"cider vinegar=4 %\"");
  option("--volume", "volume", "what came out of the pan: \"900 mL\"");
  option("--lot", "lot", "what is printed on it: \"cider vinegar=L1234\"");
  which->require_option(1);
  amend->add_option("--note", order.text, "why");
}

// "500 g" into `mass`, or "1 L" into `volume`.
void read_load(const char* option, const std::string& text, std::optional<double>& mass,
               std::optional<double>& volume) {
  if (const auto grams = maslin::client::typed_quantity(text, "g mg kg oz lb")) {
    mass = *grams;
  } else if (const auto ml = maslin::client::typed_quantity(text, "mL L")) {
    volume = *ml;
  } else {
    throw CLI::ValidationError(option, "write \"500 g\", or of water \"1 L\"");
  }
}

// "25 C" into the order, in degrees Celsius.
CLI::Option* add_temperature(CLI::App* command, Order& order, const char* option,
                             const char* help) {
  return command->add_option_function<std::string>(
      option,
      [&order, option](const std::string& text) {
        constexpr const char* kWrite = "write the unit too: \"25 C\", \"77 F\"";
        const auto [value, unit] = split(text, option, kWrite);
        if (unit != "C" && unit != "F") throw CLI::ValidationError(option, kWrite);
        order.celsius = unit == "F" ? (value - 32) / 1.8 : value;
      },
      help);
}

void add_measures(CLI::App& app, Order& order) {
  auto* solids = add(app, order, "solids", "tell what a refractometer shows of the pan, percent",
                     "solids 62.5 --temperature \"25 C\"");
  solids->add_option("percent", order.value, "as it shows it")->required()->check(kFinite);
  add_temperature(solids, order, "--temperature",
                  "of the sample, 15 to 30 C, where it does not correct that itself");
  solids->add_option("--resolution", order.interval, "its last digit: 0.1")->check(kFinite);
  solids->add_option("--batch", order.batch, "of one that has ended; else the running or newest");
  auto* ph = add(app, order, "ph", "tell a measured equilibrium pH, a day or more after the batch",
                 "ph 3.92 --low 4.01=4.03 --high 7=6.98 --resolution 0.01 --temperature \"21 C\"");
  ph->add_option("ph", order.value, "of the mixed contents of a jar")->required()->check(kFinite);
  const auto buffer = [&](const char* option, std::optional<std::pair<double, double>>& into,
                          const char* help) {
    return ph->add_option_function<std::string>(
        option,
        [option, &into](const std::string& text) {
          double is = 0, shown = 0;
          char rest = 0;
          if (std::sscanf(text.c_str(), "%lf=%lf%c", &is, &shown, &rest) != 2 ||
              !std::isfinite(is) || !std::isfinite(shown)) {
            throw CLI::ValidationError(option, "write 4.01=4.03");
          }
          into = {is, shown};
        },
        help);
  };
  auto* low = buffer("--low", order.low, "the buffer below and what the meter showed in it");
  auto* high = buffer("--high", order.high, "the one above");
  ph->add_flag_callback(
        "--paper", [&order] { order.with = "paper"; }, "by paper: only where the pH is far below 4")
      ->excludes(low)
      ->excludes(high);
  ph->add_option("--resolution", order.interval, "last digit of the display, or step of the paper")
      ->required()
      ->check(kFinite);
  add_temperature(ph, order, "--temperature", "of the sample, 15 to 30 C")->required();
  ph->add_option("--hours", order.hours, "between the end of the process and the reading; else now")
      ->check(kFinite);
  ph->add_option("--jar", order.jar, "its number")->check(CLI::Range(1, 500));
  ph->add_option("--batch", order.batch, "of one that has ended; else the running or newest");
  ph->add_option("--note", order.text, "which meter, who");
}

void add_calibrate(CLI::App& app, Order& order) {
  auto* command =
      add(app, order, "calibrate",
          "hold a scale against known masses, a thermometer against ice and boil, and correct it",
          "calibrate bench --load \"500 g\" --within \"0.25 g\"");
  command->add_option("role", order.role, "bench or fine; pan, canner or room")
      ->required()
      ->check(CLI::IsMember({"bench", "fine", "pan", "canner", "room"}));
  auto* load = command->add_option_function<std::string>(
      "--load",
      [&order](const std::string& text) {
        read_load("--load", text, order.known_g, order.known_ml);
        order.calibration = "load";
      },
      "what lies on the pan now: \"500 g\", or of water \"1 L\"");
  command
      ->add_option_function<std::string>(
          "--within",
          [&order](const std::string& text) {
            std::optional<double> ml;
            read_load("--within", text, order.within, ml);
            if (ml) order.within = ml;
          },
          "what that may be off by: \"0.25 g\", of a measuring flask \"0.8 mL\"")
      ->needs(load);
  add_temperature(command, order, "--water", "how warm the water is: \"20 C\"")->needs(load);
  const auto word = [&](const char* option, const char* what, const char* help) {
    command
        ->add_flag_callback(
            option, [&order, what] { order.calibration = what; }, help)
        ->excludes(load);
  };
  word("--finish", "finish", "that was all, and the pan is empty again");
  word("--ice", "ice", "the thermometer's tip is in stirred ice and water");
  word("--boiling", "boiling", "its tip is in water that boils hard");
  command->add_option_function<std::string>(
      "--pressure",
      [&order](const std::string& text) {
        constexpr const char* kWrite = "write \"987 hPa\" or \"29.1 inHg\"";
        const auto [value, unit] = split(text, "--pressure", kWrite);
        // Of mercury at 0 °C: NIST SP 811, table B.8.
        if (unit != "hPa" && unit != "inHg") throw CLI::ValidationError("--pressure", kWrite);
        order.pressure_hpa = unit == "inHg" ? value * 33.8639 : value;
      },
      "at the boil, the true one and not a weather report's: \"987 hPa\"; else by the altitude");
  word("--forget", "forget", "take what it shows as it is, a scale by the limits of its class");
}

void add_commands(CLI::App& app, Order& order) {
  add(app, order, "check", "say everything that is wrong with a formula", "check my-relish.toml")
      ->add_option("formula", order.formula, "file, or name of a formula that comes along")
      ->required();
  add_plan_options(add(app, order, "plan", "scale a formula to what is there",
                       "plan quayside-onion-relish --have \"onion=640 g\""),
                   order);
  add(app, order, "devices", "list what is plugged in and what it shows", "devices");
  auto* assign =
      add(app, order, "assign", "say what a device is for", "assign bench 1234:abcd:00017");
  assign->add_option("role", order.role, "bench, fine, pan, canner, room or pedal")->required();
  assign->add_option("device", order.device, "as `maslin devices` names it, or its beginning")
      ->required();
  add_calibrate(app, order);
  auto* start =
      add(app, order, "start", "start a batch", "start quayside-onion-relish --jars 4 --follow");
  add_plan_options(start, order);
  start->add_flag("--follow", order.follow, "then follow it");
  start->add_flag("--plain", order.plain, "follow as lines");
  add(app, order, "status", "say how the batch stands", "status");
  add(app, order, "follow", "watch the batch until it ends", "follow")
      ->add_flag("--plain", order.plain, "as lines, also on a terminal");
  add(app, order, "ok", "confirm: done, or it boils", "ok");
  add(app, order, "no", "answer a question with no, or ask for another way than the one offered",
      "no");
  add(app, order, "hold", "hold the batch", "hold --reason \"the telephone\"")
      ->add_option("--reason", order.text, "why");
  add(app, order, "resume", "go on after a hold", "resume");
  add(app, order, "accept", "accept an amount outside its band",
      "accept --reason \"the last of the bag\"")
      ->add_option("--reason", order.text, "why")
      ->required();
  add(app, order, "eaten", "say how much of what dries was taken away, to count as food",
      "eaten \"30 g\"")
      ->add_option("amount", order.text, "its mass, \"30 g\"")
      ->required();
  auto* note = add(app, order, "note", "write something into the record",
                   "note \"foam skimmed, two spoons\"");
  note->add_option("text", order.text, "what")->required();
  note->add_option("--batch", order.batch, "of one that has ended; else the running or the newest");
  add(app, order, "stop", "end the batch before its time", "stop --reason \"burnt\"")
      ->add_option("--reason", order.text, "why");
  add(app, order, "batches", "list all batches", "batches");
  const auto of_batch = [&](const char* name, const char* what, const char* example) {
    add(app, order, name, what, example)
        ->add_option("batch", order.batch, "its name; without one, the running or the newest");
  };
  auto* rate = add(app, order, "rate", "say how a batch turned out, a day and two weeks later",
                   "rate 2026-11-25-1 --set good --heat right");
  rate->add_option("batch", order.batch, "its name; without one, the newest");
  rate->add_option("--set", order.set, "runny, soft, good or stiff");
  rate->add_option("--heat", order.heat, "\"too mild\", right or \"too hot\"");
  rate->add_option("--pieces", order.pieces, "even, floating or sunk");
  rate->add_option("--note", order.text, "in your words");
  add_jar_commands(app, order);
  add_amend(app, order);
  add_measures(app, order);
  of_batch("report", "print the tolerance report", "report 2026-11-25-1");
  of_batch("record", "print the safety record, one page", "record 2026-11-25-1");
  auto* why = add(app, order, "why", "say why an ingredient was judged as it was", "why sugar");
  why->add_option("ingredient", order.text, "its name, or a part of it")->required();
  why->add_option("batch", order.batch, "its name; without one, the running or the newest");
  of_batch("log", "read a batch like a diary", "log 2026-11-25-1");
  of_batch("export", "print the readings as CSV", "export 2026-11-25-1 >readings.csv");
  of_batch("verify", "check a record and play it again", "verify 2026-11-25-1");
  add(app, order, "review", "compare over all batches", "review \"Quayside onion relish\"")
      ->add_option("formula", order.formula, "name of one formula");
  add_settings(app, order);
  add_facts(app, order);
  auto* figure = add(app, order, "figure", "answer one question at the counter, without a daemon",
                     "figure weighing --tare 412.6 --gross 562.6 --interval 0.1");
  // The program that answers knows the figures and their options, and has the help of them.
  figure->set_help_flag("");
  figure->prefix_command();
  figure->fallthrough(false);
  figure->callback([&order, figure] {
    order.command = "figure";
    order.words = figure->remaining();
  });
  add(app, order, "cues", "list all that the tool may say or sound, and how urgent it is", "cues");
}

std::vector<std::string> names(const CLI::App& app) {
  std::vector<std::string> all;
  for (const CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; })) {
    all.push_back(command->get_name());
  }
  return all;
}

}  // namespace

int main(int argc, char** argv) {
  Order order;
  order.program = this_program();
  CLI::App app("Weighs, checks and logs a batch of preserves beside the pan.", "maslin");
  app.set_version_flag("--version", "maslin " MASLIN_VERSION);
  app.add_option("--socket", order.socket, "of the daemon; else $MASLIN_SOCKET or the usual place");
  app.add_flag("--json", order.json, "print the daemon's answer as it is");
  app.require_subcommand(1);
  add_commands(app, order);
  // CLI11 would only say that a command is missing.
  const std::vector<std::string> words(argv + 1, argv + argc);
  if (const auto trouble = maslin::client::unknown_command(words, names(app))) {
    const bool json = std::find(words.begin(), words.end(), "--json") != words.end();
    const maslin::proto::RpcFault fault{maslin::proto::RpcCode::refused, {*trouble}};
    std::fputs(maslin::client::show(fault, json).c_str(), stderr);
    return maslin::client::kUsage;
  }
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
