#include "plugins/serial-line/port.hpp"

#include <fcntl.h>
#include <grp.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <charconv>
#include <cstring>
#include <stdexcept>
#include <utility>

namespace maslin::line {

namespace {

constexpr std::array<std::pair<int, speed_t>, 8> speeds{{{1200, B1200},
                                                         {2400, B2400},
                                                         {4800, B4800},
                                                         {9600, B9600},
                                                         {19200, B19200},
                                                         {38400, B38400},
                                                         {57600, B57600},
                                                         {115200, B115200}}};

auto find_speed(int baud) {
  return std::ranges::find(speeds, baud, &std::pair<int, speed_t>::first);
}

// The usual reason on a new machine, with the group that has the right.
std::string reason(const std::string& path, int error) {
  std::string text = path + ": " + std::strerror(error);
  struct stat about {};
  if (error != EACCES || ::stat(path.c_str(), &about) != 0) return text;
  const group* owner = ::getgrgid(about.st_gid);
  if (owner == nullptr) return text;
  return text + "; add the user that runs maslind to the group " + owner->gr_name;
}

}  // namespace

Place parse_place(const std::string& argument) {
  Place place;
  const auto comma = argument.rfind(',');
  place.path = argument.substr(0, comma);
  if (place.path.empty()) {
    throw std::runtime_error("give the line: --plugin serial-line=/dev/serial/by-id/NAME[,BAUD]");
  }
  if (comma == std::string::npos) return place;
  const auto* end = argument.data() + argument.size();
  const auto parsed = std::from_chars(argument.data() + comma + 1, end, place.baud);
  if (parsed.ec != std::errc{} || parsed.ptr != end || find_speed(place.baud) == speeds.end()) {
    throw std::runtime_error("'" + argument.substr(comma + 1) +
                             "' is no speed of a serial line: write 1200, 2400, 4800, 9600 ... "
                             "115200");
  }
  return place;
}

Port::Port(const Place& place)
    : fd_(::open(place.path.c_str(), O_RDONLY | O_NOCTTY | O_NONBLOCK | O_CLOEXEC)) {
  if (fd_ < 0) throw std::runtime_error(reason(place.path, errno));
  try {
    set_up(place);
  } catch (...) {
    ::close(fd_);
    throw;
  }
}

Port::~Port() { ::close(fd_); }

void Port::set_up(const Place& place) const {
  termios mode{};
  if (::tcgetattr(fd_, &mode) != 0) throw std::runtime_error(place.path + " is no serial line");
  // A second reader would take bytes out of the middle of our lines.
  if (::ioctl(fd_, TIOCEXCL) != 0) throw std::runtime_error(reason(place.path, errno));
  ::cfmakeraw(&mode);
  mode.c_iflag |= INPCK;  // a byte damaged on the way comes as zero, which no line has
  mode.c_cflag |= CLOCAL | CREAD;
  mode.c_cflag &= ~static_cast<tcflag_t>(CSTOPB | CRTSCTS);
  ::cfsetspeed(&mode, find_speed(place.baud)->second);
  if (::tcsetattr(fd_, TCSANOW, &mode) != 0) {
    throw std::runtime_error(reason(place.path, errno));
  }
  ::tcflush(fd_, TCIFLUSH);  // what was said before somebody listened
}

std::optional<std::size_t> Port::read(std::span<char> to) const {
  const auto got = ::read(fd_, to.data(), to.size());
  if (got > 0) return static_cast<std::size_t>(got);
  if (got < 0 && (errno == EAGAIN || errno == EINTR)) return 0;
  return std::nullopt;
}

}  // namespace maslin::line
