// A plugin's shared object, opened and checked. Used by main.cpp and decode.cpp.
#pragma once

#include <optional>
#include <string>

#include "plugins/host/structs.hpp"
#include "plugins/sdk/maslin_plugin.h"
#include "proto/trouble.hpp"

namespace maslin::host {

// Stays loaded until the process ends: unloading code that may have started threads is never safe.
class Plugin {
 public:
  explicit Plugin(const maslin_plugin& entry) : entry_(entry) {}
  std::string name() const { return entry_.name; }
  int run(const maslin_host& host) const { return entry_.run(&host); }
  std::optional<maslin_decode> decode() const {
    return table<maslin_decode>("decode", decode_of_version_1);
  }
  std::optional<maslin_pace> pace() const { return table<maslin_pace>("pace", pace_of_version_1); }

 private:
  template <class T>
  std::optional<T> table(const char* extension, std::size_t least) const {
    if (entry_.extension == nullptr) return std::nullopt;
    return read_struct(static_cast<const T*>(entry_.extension(extension)), least);
  }
  maslin_plugin entry_;
};

// Errors: no such file or not loadable (the loader's reason), no entry symbol, another version of
// the interface, an entry without name or run, another name than its file.
proto::Result<Plugin> load(const std::string& path);

// The checks that `load` makes on the entry it found.
proto::Result<Plugin> checked(const maslin_plugin& entry, const std::string& where);

}  // namespace maslin::host
