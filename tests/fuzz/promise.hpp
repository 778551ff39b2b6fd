// What a fuzz target holds its parser to, beyond not failing by itself.
#pragma once

#include <cstdint>
#include <cstdlib>
#include <string_view>

namespace maslin::fuzz {

inline std::string_view text(const std::uint8_t* data, std::size_t size) {
  return {reinterpret_cast<const char*>(data), size};
}

// A fuzzer keeps the input that made this false.
inline void promise(bool kept) {
  if (!kept) std::abort();
}

}  // namespace maslin::fuzz
