// Structs of the C interface across versions: they grow at their end only, so what a plugin gives
// may be shorter or longer than what this host knows. Used by load.cpp and host.cpp.
#pragma once

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <optional>

#include "plugins/sdk/maslin_plugin.h"

namespace maslin::host {

// What an older plugin's struct does not reach to reads as zero, what a newer one adds is passed
// over. T begins with version and size.
template <class T>
T read_struct(const T* from) {
  T all{};
  std::memcpy(&all, from, std::min<std::size_t>(from->size, sizeof(T)));
  return all;
}

// The same, and empty where it does not even hold the members that it began with: those up to byte
// `least`, which never changes when T grows.
template <class T>
std::optional<T> read_struct(const T* from, std::size_t least) {
  if (from == nullptr || from->size < least) return std::nullopt;
  return read_struct(from);
}

// Where the last member of version 1 ends.
inline constexpr std::size_t plugin_of_version_1 =
    offsetof(maslin_plugin, extension) + sizeof(maslin_plugin::extension);
inline constexpr std::size_t decode_of_version_1 =
    offsetof(maslin_decode, decode) + sizeof(maslin_decode::decode);
inline constexpr std::size_t pace_of_version_1 =
    offsetof(maslin_pace, shortest_reaction_ns) + sizeof(maslin_pace::shortest_reaction_ns);

}  // namespace maslin::host
