// What the user ordered, and doing it: one call to the daemon, one screen.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "client/places.hpp"

namespace maslin::client {

// Exit codes of the program; verify has those of the design as well.
inline constexpr int kDone = 0;
inline constexpr int kRefused = 1;
inline constexpr int kUsage = 2;
inline constexpr int kNoDaemon = 3;

struct Order {
  std::string command;            // "plan", "start" ...
  std::string socket;             // --socket; empty: the default
  std::filesystem::path program;  // where this program stands
  bool json = false;

  std::string formula;  // check, plan, start: file or name; review: name
  std::vector<std::string> have;
  std::optional<double> jars;
  std::optional<double> factor;
  std::string keeping;
  std::string units;
  std::string parent;
  bool follow = false;
  bool plain = false;
  std::string role;
  std::string device;
  std::string batch;
  std::string text;          // reason or note; yield: how much
  std::string numbers;       // of jars, "1-3,5"; jar: or "all"
  std::string place;         // jar
  std::string lot;           // jars
  std::int64_t count = 0;    // filled: whole jars; seals: how many are not sealed
  bool part_filled = false;  // filled
  std::string amend_what;    // as Amendment::what
  std::string amend_value;
  bool all = false;  // seals: all are sealed; jars: gone ones too
  std::string set;   // rate
  std::string heat;
  std::string pieces;
  std::optional<FormulaText> read;  // the formula, once carry_out() has read it
  // settings, facts: as JSON members, only those given
  std::vector<std::string> settings;
  std::optional<double> known_g;   // calibrate: the load
  std::optional<double> known_ml;  // or so much water
  std::optional<double> within;
  std::optional<double> celsius;
  std::string calibration = "begin";
  std::optional<double> pressure_hpa;  // calibrate: true, at the boil
  // solids, ph: what was read off, as the wire's fields are called
  double value = 0;
  double interval = 0;
  std::string with;
  std::optional<std::pair<double, double>> low;  // buffer and what was shown in it
  std::optional<std::pair<double, double>> high;
  std::optional<double> hours;
  std::int64_t jar = 0;
  std::vector<std::string> words;  // figure: all that stands behind it
};

// Prints the answer to stdout or the reason to stderr. The exit code.
int carry_out(Order order);

}  // namespace maslin::client
