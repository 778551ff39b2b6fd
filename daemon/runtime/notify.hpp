// Tells systemd how the daemon stands; does nothing where it was not started by systemd.
#pragma once

namespace maslin::runtime {

void notify(const char* state);  // "READY=1", "STOPPING=1"

}  // namespace maslin::runtime
