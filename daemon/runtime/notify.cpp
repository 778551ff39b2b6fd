// A datagram to $NOTIFY_SOCKET; descriptors from 3 on that $LISTEN_FDS counts.
#include "daemon/runtime/notify.hpp"

#include <fcntl.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <cstddef>
#include <cstdlib>
#include <string>

namespace maslin::runtime {
namespace {

constexpr int first_handed = 3;  // SD_LISTEN_FDS_START

std::string environment(const char* name) {
  const char* value = std::getenv(name);
  return value != nullptr ? value : "";
}

// A Unix stream socket that listens; of anything else every accept would fail.
bool listens(int fd) {
  const auto option = [fd](int name) {
    int value = 0;
    socklen_t size = sizeof(value);
    return getsockopt(fd, SOL_SOCKET, name, &value, &size) == 0 ? value : -1;
  };
  return option(SO_DOMAIN) == AF_UNIX && option(SO_TYPE) == SOCK_STREAM &&
         option(SO_ACCEPTCONN) == 1;
}

}  // namespace

void notify(const char* state) {
  const std::string path = environment("NOTIFY_SOCKET");
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  if (path.size() < 2 || path.size() >= sizeof(address.sun_path)) return;
  if (path[0] != '/' && path[0] != '@') return;
  path.copy(address.sun_path, path.size());
  if (path[0] == '@') address.sun_path[0] = '\0';  // no file, a name in the kernel
  const int fd = socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC, 0);
  if (fd < 0) return;
  const std::string text = state;
  const auto size = static_cast<socklen_t>(offsetof(sockaddr_un, sun_path) + path.size());
  // Who does not listen is not told.
  [[maybe_unused]] const auto sent = sendto(fd, text.data(), text.size(), MSG_NOSIGNAL,
                                            reinterpret_cast<const sockaddr*>(&address), size);
  close(fd);
}

std::optional<int> handed_socket() {
  const bool ours = environment("LISTEN_PID") == std::to_string(getpid());
  const bool one = environment("LISTEN_FDS") == "1";
  for (const char* name : {"LISTEN_PID", "LISTEN_FDS", "LISTEN_FDNAMES"}) unsetenv(name);
  if (!ours || !one || !listens(first_handed)) return std::nullopt;
  fcntl(first_handed, F_SETFD, FD_CLOEXEC);
  return first_handed;
}

}  // namespace maslin::runtime
