// Folders and small files of /sys, which may go at any moment: what is gone is empty, never an
// exception. Called by interfaces.cpp and is_scale.cpp.
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <system_error>
#include <vector>

namespace maslin::hid {

inline std::vector<std::filesystem::path> inside(const std::filesystem::path& folder) {
  std::vector<std::filesystem::path> all;
  std::error_code fault;
  // A range-for would advance by the operator that throws.
  for (std::filesystem::directory_iterator at(folder, fault), end; !fault && at != end;
       at.increment(fault)) {
    all.push_back(at->path());
  }
  return all;
}

// At most 4096 bytes, the kernel's limit of a report descriptor (linux/hid.h).
inline std::vector<std::uint8_t> bytes_of(const std::filesystem::path& file) {
  std::array<char, 4096> buffer{};
  std::ifstream in(file, std::ios::binary);
  in.read(buffer.data(), buffer.size());  // unlike an iterator it throws nothing
  return std::vector<std::uint8_t>(buffer.begin(), buffer.begin() + in.gcount());
}

}  // namespace maslin::hid
