// Never comes back from being loaded, so that it says no first word.
#include <unistd.h>

#include "plugins/sdk/plugin.hpp"

static int wait_for_ever() {
  for (;;) ::pause();
}
static const int never = wait_for_ever();

static void run(maslin::sdk::Host& host) { host.wait(maslin::sdk::Time{never}); }
MASLIN_PLUGIN("hang_in_load", run);
