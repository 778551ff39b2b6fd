// sd_notify, alone in its file.
#include "daemon/runtime/notify.hpp"

#include <systemd/sd-daemon.h>

namespace maslin::runtime {

void notify(const char* state) { sd_notify(0, state); }

}  // namespace maslin::runtime
