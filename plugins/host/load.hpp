// A plugin's shared object, opened and checked. Used by main.cpp and decode.cpp.
#pragma once

#include <memory>
#include <string>

#include "plugins/sdk/maslin_plugin.h"
#include "proto/trouble.hpp"

namespace maslin::host {

// Stays loaded until the process ends: unloading code that may have started threads is never safe.
class Plugin {
 public:
  explicit Plugin(const maslin_plugin& entry) : entry_(&entry) {}
  std::string name() const { return entry_->name; }
  int run(const maslin_host& host) const { return entry_->run(&host); }
  const maslin_decode* decode() const { return table<maslin_decode>("decode"); }
  const maslin_pace* pace() const { return table<maslin_pace>("pace"); }

 private:
  template <class T>
  const T* table(const char* extension) const {
    if (entry_->extension == nullptr) return nullptr;
    const auto* found = static_cast<const T*>(entry_->extension(extension));
    return found != nullptr && found->size >= sizeof(T) ? found : nullptr;
  }
  const maslin_plugin* entry_;
};

// Errors: no such file or not loadable (the loader's reason), no entry symbol, another version of
// the interface, an entry without name or run, another name than its file.
proto::Result<Plugin> load(const std::string& path);

// The checks that `load` makes on the entry it found.
proto::Result<Plugin> checked(const maslin_plugin& entry, const std::string& where);

}  // namespace maslin::host
