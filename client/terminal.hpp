// The terminal as follow needs it: its size, one key at a time, and back to how it was.
#pragma once

#include <termios.h>

#include <cstddef>
#include <vector>

#include "client/view.hpp"

namespace maslin::client {

struct Size {
  std::size_t columns = 80;
  std::size_t rows = 24;
};

bool is_terminal(int fd);
Size terminal_size();

// While it lives: the other screen of the terminal, no cursor, keys at once and without echo.
class FullScreen {
 public:
  FullScreen();
  ~FullScreen();
  FullScreen(const FullScreen&) = delete;
  FullScreen& operator=(const FullScreen&) = delete;

  // Over what stood there, without flicker.
  void draw(const std::vector<ViewLine>& lines);
  void bell();

 private:
  termios before_{};
  bool keys_ = false;
};

}  // namespace maslin::client
