// The two words between a service manager and a daemon that it started: how the daemon stands, and
// a socket that is already open. Both are stable protocols, sd_notify(3) and sd_listen_fds(3); the
// library that speaks them maps six others into the daemon, more than a tenth of its memory.
#pragma once

#include <optional>

namespace maslin::runtime {

// "READY=1", "STOPPING=1"; does nothing where nobody asked.
void notify(const char* state);

// The listening socket that was handed over, once; empty where there is not exactly one. The
// environment that spoke of it is cleared, so that no child takes it for its own.
std::optional<int> handed_socket();

}  // namespace maslin::runtime
