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
    std::filesystem::permissions(state_dir,
                                 std::filesystem::perms::owner_all |
                                     std::filesystem::perms::group_read |
                                     std::filesystem::perms::group_exec,
                                 fault);
  }
  const auto file = state_dir / "lock";
  const int directory = open(state_dir.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  const int fd = directory < 0 ? -1 : open(file.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0640);
  StateLock lock(directory, fd);
  if (fd < 0) {
    return proto::trouble(
        std::string("the state directory cannot be written: ") + std::strerror(errno),
        state_dir.string(), "give another one with --state, or mend its permissions");
  }
  // A network file system may know no lock of a directory; then that of the file has to do.
  const bool taken = flock(directory, LOCK_EX | LOCK_NB) == 0 || errno != EWOULDBLOCK;
  if (!taken || flock(fd, LOCK_EX | LOCK_NB) != 0) {
    std::array<char, 32> pid{};
    const auto size = pread(fd, pid.data(), pid.size() - 1, 0);
    std::string what = "another maslind works here";
    if (size > 0) what += ", process " + std::string(pid.data(), static_cast<std::size_t>(size));
    return proto::trouble(std::move(what), state_dir.string(),
                          "stop it first, or give another directory with --state");
  }
  const std::string pid = std::to_string(getpid());
  if (ftruncate(fd, 0) != 0 ||
      pwrite(fd, pid.data(), pid.size(), 0) != static_cast<ssize_t>(pid.size())) {
    return proto::trouble("the lock file cannot be written: " + std::string(std::strerror(errno)),
                          file.string(), "make room on the disk");
  }
  return lock;
}

StateLock::StateLock(StateLock&& other) noexcept
    : directory_(std::exchange(other.directory_, -1)), file_(std::exchange(other.file_, -1)) {}
StateLock::~StateLock() {
  if (file_ >= 0) close(file_);
  if (directory_ >= 0) close(directory_);
}

}  // namespace maslin::runtime
