// Dies before anybody could ask it anything.
#include <cstdlib>

#include "plugins/sdk/plugin.hpp"

static const int never = (std::abort(), 0);

static void run(maslin::sdk::Host& host) { host.wait(maslin::sdk::Time{never}); }
MASLIN_PLUGIN("crash_in_load", run);
