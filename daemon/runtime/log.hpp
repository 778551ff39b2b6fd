// The daemon's log: one line an event on standard error, asynchronous and bounded, so that a
// blocked terminal never holds up the loop. Any thread.
#pragma once

#include <string_view>

namespace maslin::runtime::log {

enum class Level { debug, info, warning, error };

// Once, before anything is logged. `least` and everything above it is written.
void begin(Level least);
// Writes what waits; the last call.
void end();

// Control characters in `text` are replaced: it may come from a device or a client.
void write(Level level, std::string_view text);
inline void info(std::string_view text) { write(Level::info, text); }
inline void warning(std::string_view text) { write(Level::warning, text); }
inline void error(std::string_view text) { write(Level::error, text); }

}  // namespace maslin::runtime::log
