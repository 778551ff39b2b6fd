// A plugin of another age.
#include "plugins/sdk/maslin_plugin.h"

extern "C" const maslin_plugin maslin_plugin_entry = {
    MASLIN_ABI_VERSION + 1, sizeof(maslin_plugin), "wrong_abi",
    [](const maslin_host*) { return 0; }, nullptr};
