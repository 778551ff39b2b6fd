// Directories from the environment, and a lock file with the holder's pid in it.
#include "daemon/runtime/paths.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <system_error>
#include <utility>

namespace maslin::runtime {
namespace {

const char* environment(const char* name) {
  const char* value = std::getenv(name);
  return value != nullptr && *value != '\0' ? value : nullptr;
}

}  // namespace

std::filesystem::path default_state_dir() {
  if (const char* dir = environment("STATE_DIRECTORY")) return dir;
  if (geteuid() == 0) return "/var/lib/maslin";
  if (const char* dir = environment("XDG_STATE_HOME")) return std::filesystem::path(dir) / "maslin";
  if (const char* home = environment("HOME"))
    return std::filesystem::path(home) / ".local/state/maslin";
  return "/var/lib/maslin";
}

std::filesystem::path default_socket() {
  if (const char* socket = environment("MASLIN_SOCKET")) return socket;
  if (const char* dir = environment("XDG_RUNTIME_DIR")) {
    return std::filesystem::path(dir) / "maslin/socket";
  }
  return "/run/maslin/socket";
}

proto::Result<StateLock> StateLock::take(const std::filesystem::path& state_dir) {
  std::error_code fault;
  if (std::filesystem::create_directories(state_dir, fault)) {
    std::filesystem::permissions(state_dir, std::filesystem::perms::owner_all |
                                                std::filesystem::perms::group_read |
                                                std::filesystem::perms::group_exec);
  }
  const auto file = state_dir / "lock";
  const int fd = open(file.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0640);
  if (fd < 0) {
    return proto::trouble(
        std::string("the state directory cannot be written: ") + std::strerror(errno),
        state_dir.string(), "give another one with --state, or mend its permissions");
  }
  if (flock(fd, LOCK_EX | LOCK_NB) != 0) {
    std::array<char, 32> pid{};
    const auto size = pread(fd, pid.data(), pid.size() - 1, 0);
    close(fd);
    return proto::trouble(
        "another maslind works here, process " +
            std::string(pid.data(), static_cast<std::size_t>(size > 0 ? size : 0)),
        state_dir.string(), "stop it first, or give another directory with --state");
  }
  const std::string pid = std::to_string(getpid());
  if (ftruncate(fd, 0) != 0 ||
      pwrite(fd, pid.data(), pid.size(), 0) != static_cast<ssize_t>(pid.size())) {
    const std::string why = std::strerror(errno);
    close(fd);
    return proto::trouble("the lock file cannot be written: " + why, file.string(),
                          "make room on the disk");
  }
  return StateLock(fd);
}

StateLock::StateLock(StateLock&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}
StateLock::~StateLock() {
  if (fd_ >= 0) close(fd_);
}

}  // namespace maslin::runtime
