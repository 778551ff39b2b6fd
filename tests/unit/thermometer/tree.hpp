// A tree of text files such as the kernel shows in /sys; shared by the unit and system tests of the
// thermometer plugin.
#pragma once

#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <stdexcept>
#include <string>

namespace maslin::thermometer::testing {

class Tree {
 public:
  Tree() {
    std::string name = (std::filesystem::temp_directory_path() / "maslin-sys-XXXXXX").string();
    if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary directory");
    root_ = name;
  }
  ~Tree() {
    std::error_code ignored;
    std::filesystem::remove_all(root_, ignored);
  }
  Tree(const Tree&) = delete;
  Tree& operator=(const Tree&) = delete;

  const std::filesystem::path& root() const { return root_; }
  // In one step, as a reader of /sys never sees half a file.
  void put(const std::string& file, const std::string& text) const {
    const auto path = root_ / file;
    std::filesystem::create_directories(path.parent_path());
    const auto fresh = root_ / "fresh";
    std::ofstream(fresh) << text << "\n";
    std::filesystem::rename(fresh, path);
  }
  void remove(const std::string& file) const { std::filesystem::remove_all(root_ / file); }

 private:
  std::filesystem::path root_;
};

// What `w1_slave` says at 23.125 degrees; the bytes are the memory of such a sensor.
inline const char* one_wire_good =
    "72 01 4b 46 7f ff 0e 10 57 : crc=57 YES\n72 01 4b 46 7f ff 0e 10 57 t=23125";

}  // namespace maslin::thermometer::testing
