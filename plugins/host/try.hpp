// `maslin-plughost try`: one plugin run by hand, without a daemon and without its watchdog, so that
// it can stand still in a debugger. Called by main.cpp.
#pragma once

#include <string>

#include "plugins/host/load.hpp"
#include "proto/link.hpp"

namespace maslin::host {

// What a packet of the plugin says to whoever tries it: its readings for standard output, one line
// of JSON each ({"device":1, then as reading_json}); all else in words for standard error.
struct Told {
  std::string out;
  std::string err;
};
Told told(const proto::link::Packet& packet);

// Runs the plugin on this thread in real time until it ends; SIGINT and SIGTERM ask it to stop, a
// second one ends the process. Gives what `run` gave.
int try_out(const Plugin& plugin, const std::string& argument);

}  // namespace maslin::host
