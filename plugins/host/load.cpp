#include "plugins/host/load.hpp"

#include <dlfcn.h>

#include <filesystem>

#include "proto/reading.hpp"

namespace maslin::host {

// The codes of the C interface are those of the facts; nothing in between translates them.
namespace s = proto::state;
using proto::Quantity;
using proto::Unit;
static_assert(MASLIN_MASS == int(Quantity::mass) && MASLIN_PRESS == int(Quantity::press) &&
              MASLIN_TEMPERATURE == int(Quantity::temperature) &&
              MASLIN_PRESSURE == int(Quantity::pressure));
static_assert(MASLIN_NO_UNIT == int(Unit::none) && MASLIN_MG == int(Unit::mg) &&
              MASLIN_G == int(Unit::g) && MASLIN_KG == int(Unit::kg) &&
              MASLIN_CT == int(Unit::ct) && MASLIN_TAEL == int(Unit::tael) &&
              MASLIN_GR == int(Unit::gr) && MASLIN_DWT == int(Unit::dwt) &&
              MASLIN_T == int(Unit::t) && MASLIN_TON == int(Unit::ton) &&
              MASLIN_OZT == int(Unit::ozt) && MASLIN_OZ == int(Unit::oz) &&
              MASLIN_LB == int(Unit::lb) && MASLIN_KELVIN == int(Unit::kelvin) &&
              MASLIN_CELSIUS == int(Unit::celsius) && MASLIN_FAHRENHEIT == int(Unit::fahrenheit) &&
              MASLIN_PASCAL == int(Unit::pascal) && MASLIN_HECTOPASCAL == int(Unit::hectopascal) &&
              MASLIN_COUNT == int(Unit::count));
static_assert(MASLIN_STEADY == s::steady && MASLIN_MOVING == s::moving && MASLIN_ZERO == s::zero &&
              MASLIN_OVER == s::over && MASLIN_UNDER == s::under &&
              MASLIN_NEEDS_CALIBRATION == s::needs_calibration &&
              MASLIN_NEEDS_ZERO == s::needs_zero && MASLIN_FAULT == s::fault &&
              MASLIN_FAULT_OPEN == s::fault_open && MASLIN_FAULT_SHORT == s::fault_short &&
              MASLIN_FAULT_CRC == s::fault_crc && MASLIN_FAULT_POWER_ON == s::fault_power_on &&
              MASLIN_FAULT_RANGE == s::fault_range);

proto::Result<Plugin> checked(const maslin_plugin& entry, const std::string& where) {
  if (entry.version != MASLIN_ABI_VERSION) {
    return proto::trouble("made for version " + std::to_string(entry.version) +
                              " of the plugin interface, this host speaks version " +
                              std::to_string(MASLIN_ABI_VERSION),
                          where, "rebuild the plugin with this version's maslin_plugin.h");
  }
  const auto whole = read_struct(&entry, plugin_of_version_1);
  if (!whole || whole->name == nullptr || whole->run == nullptr) {
    return proto::trouble("its maslin_plugin_entry is incomplete", where,
                          "begin it with MASLIN_HEAD(maslin_plugin) and set name and run");
  }
  return Plugin(*whole);
}

proto::Result<Plugin> load(const std::string& path) {
  // A name without a slash would be searched along the library path.
  const std::string file = path.find('/') == std::string::npos ? "./" + path : path;
  void* handle = ::dlopen(file.c_str(), RTLD_NOW | RTLD_LOCAL);
  if (handle == nullptr) {
    const char* reason = ::dlerror();
    return proto::trouble(reason != nullptr ? reason : "cannot be loaded", path,
                          "check that the file exists and its libraries are installed");
  }
  const void* symbol = ::dlsym(handle, "maslin_plugin_entry");
  if (symbol == nullptr) {
    return proto::trouble("exports no maslin_plugin_entry", path,
                          "it is not a maslin plugin, or was built with that symbol hidden");
  }
  auto plugin = checked(*static_cast<const maslin_plugin*>(symbol), path);
  if (const auto stem = std::filesystem::path(path).stem().string();
      plugin && plugin->name() != stem) {
    return proto::trouble("calls itself '" + plugin->name() + "'", path,
                          "give it the name of its file: MASLIN_PLUGIN(\"" + stem + "\", run)");
  }
  return plugin;
}

}  // namespace maslin::host
