// The plugins and what they bring: starts one host process per plugin, keeps it alive, takes its
// readings, and tells an observer what happened, in the order in which it counts. session/
// observes, main.cpp builds. Everything runs on the thread of the io_context; nothing here waits.
#pragma once

#include <asio/io_context.hpp>
#include <chrono>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/devices/registry.hpp"
#include "proto/methods.hpp"
#include "proto/reading.hpp"

namespace maslin::devices {

struct PluginConfig {
  std::string name;      // file name without .so
  std::string argument;  // what follows the = of --plugin NAME=ARGUMENT
};

// How much is borne with. The defaults are the daemon's; tests shorten them.
struct Limits {
  std::chrono::milliseconds start{10'000};       // until the first word of a new process
  std::chrono::milliseconds life{5'000};         // without a sign of life, then TERM
  std::chrono::milliseconds kill{5'000};         // from TERM to KILL
  std::chrono::milliseconds stop{2'000};         // from being asked to stop to TERM
  std::chrono::milliseconds first_pause{1'000};  // before a new start; doubled each time
  std::chrono::milliseconds longest_pause{60'000};
  std::chrono::milliseconds recovered{30'000};  // readings for so long: its failures are forgotten
  std::chrono::milliseconds rearm{20};          // reading pauses this long when over the budget
  // Readings of a plugin; what else it says counts as one, an arrival as arrival_cost.
  int readings_per_second = 2'000;
  int arrival_cost = 20;
  int lines_per_minute = 60;  // of a plugin in the log
};

struct Config {
  std::filesystem::path plughost;                  // the program maslin-plughost
  std::vector<std::filesystem::path> plugin_dirs;  // searched in this order
  std::vector<PluginConfig> plugins;
  bool paced = false;  // simulated time, owned by the daemon
  Limits limits;
};

// What happened at a device. Numbers are the registry's.
struct Happening {
  enum class Kind : std::uint8_t { arrived, left, reading };
  Kind kind = Kind::reading;
  std::int64_t at_ms = 0;
  Number device = 0;
  proto::Reading reading;  // reading only; its `device` is the same number
  std::string why;         // left only
};

// Told from the io_context, never from inside a call of Devices.
class Observer {
 public:
  virtual ~Observer() = default;
  // Real time: as they come. Paced: a whole window, sorted by (ms, plugin, order of the plugin).
  virtual void happened(std::span<const Happening> all) = 0;
  // Paced only, after `happened`: every host has reached reached_ms and does nothing before next_ms
  // (INT64_MAX: nothing at all) unless a cue tells it to. reached_ms may be less than was granted:
  // a cue can have made a plugin's next thing sooner. The first window (0) ends when every host has
  // announced its devices and waits, or has failed. Nothing goes on until grant().
  virtual void window_done(std::int64_t reached_ms, std::int64_t next_ms) = 0;
  virtual void plugin_changed(const proto::PluginState& state) = 0;
  // A line that a plugin wants in the log, or that so many were left out; untrusted text. level: 0
  // debug, 1 info, 2 warning, 3 error.
  virtual void plugin_said(const std::string& plugin, int level, const std::string& text) = 0;
};

// NAME or NAME=ARGUMENT. Errors: an argument longer than its packet to the plugin takes whole.
proto::Result<PluginConfig> read_plugin(std::string_view text);

class Devices {
 public:
  Devices(asio::io_context& io, Config config, Observer& observer);
  ~Devices();  // kills and reaps what still runs
  Devices(const Devices&) = delete;
  Devices& operator=(const Devices&) = delete;

  void start();
  // Asks every plugin to stop, then TERM after 2 s, KILL after 5 s more; `done` when all are
  // reaped.
  void stop(std::function<void()> done = {});

  // An entry's text to every plugin that takes cues. Paced: reaches them before the next grant.
  void cue(std::int64_t at_ms, std::string_view entry_text);
  // Paced only, once per window_done: lets every plugin go on until this time. The right value is
  // min(next_ms, the engine's next deadline) + shortest_reaction_ms().
  void grant(std::int64_t until_ms);
  // The soonest that any plugin in simulated time acts on a cue; 1,000 where none takes cues.
  std::int64_t shortest_reaction_ms() const;

  Registry& registry();
  const Registry& registry() const;
  std::vector<proto::PluginState> plugins() const;

 private:
  class Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace maslin::devices
