// Terminal control by ECMA-48 sequences and termios.
#include "client/terminal.hpp"

#include <sys/ioctl.h>
#include <unistd.h>

#include <cstdio>

namespace maslin::client {

bool is_terminal(int fd) { return isatty(fd) == 1; }

Size terminal_size() {
  // One that knows only its columns has no rows.
  winsize told{};
  Size size;
  if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &told) != 0) return size;
  if (told.ws_col != 0) size.columns = told.ws_col;
  if (told.ws_row != 0) size.rows = told.ws_row;
  return size;
}

FullScreen::FullScreen() {
  if (isatty(STDIN_FILENO) == 1 && tcgetattr(STDIN_FILENO, &before_) == 0) {
    termios now = before_;
    now.c_lflag &= ~static_cast<tcflag_t>(ICANON | ECHO);
    keys_ = tcsetattr(STDIN_FILENO, TCSANOW, &now) == 0;
  }
  std::fputs("\x1b[?1049h\x1b[?25l", stdout);
  std::fflush(stdout);
}

FullScreen::~FullScreen() {
  std::fputs("\x1b[?25h\x1b[?1049l", stdout);
  std::fflush(stdout);
  if (keys_) tcsetattr(STDIN_FILENO, TCSANOW, &before_);
}

void FullScreen::draw(const std::vector<ViewLine>& lines) {
  // Home, each row cleared and written, then what is below; in one write. Cleared before it is
  // written: behind a line that fills its row, the cursor still stands on the last character.
  std::string out = "\x1b[H";
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (i > 0) out += "\r\n";  // none after the last: it would scroll a full screen away
    out += "\x1b[K";
    out += lines[i].loud ? "\x1b[7m" + lines[i].text + "\x1b[0m" : lines[i].text;
  }
  out += "\x1b[J";
  std::fwrite(out.data(), 1, out.size(), stdout);
  std::fflush(stdout);
}

void FullScreen::bell() {
  std::fputc('\a', stdout);
  std::fflush(stdout);
}

}  // namespace maslin::client
