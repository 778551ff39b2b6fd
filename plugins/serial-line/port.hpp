// A serial line, opened for reading with the settings it needs. Called by plugin.cpp.
#pragma once

#include <optional>
#include <span>
#include <string>

namespace maslin::line {

// ARGUMENT of the plugin, PATH or PATH,BAUD; 9600 baud without one. Throws std::runtime_error
// where the path is missing or the speed is none that a serial line has.
struct Place {
  std::string path;
  int baud = 9600;
};
Place parse_place(const std::string& argument);

class Port {
 public:
  // 8 bits, no parity, one stop bit. Throws std::runtime_error with the reason: not there, no
  // permission (and whose group may), in use, no serial line.
  explicit Port(const Place& place);
  ~Port();
  Port(const Port&) = delete;
  Port& operator=(const Port&) = delete;

  int fd() const { return fd_; }
  // How many bytes of `to` were filled, 0 where none is there; empty where the line is gone.
  std::optional<std::size_t> read(std::span<char> to) const;

 private:
  void set_up(const Place& place) const;
  int fd_;
};

}  // namespace maslin::line
