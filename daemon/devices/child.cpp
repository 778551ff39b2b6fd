#include "daemon/devices/child.hpp"

#include <fcntl.h>
#include <poll.h>
#include <spawn.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>
#include <cstring>
#include <utility>

extern "C" {
#include <sys/pidfd.h>  // glibc 2.36 forgets to say that these are C
}
extern char** environ;

namespace maslin::devices {
namespace {

// What posix_spawn is told, freed at the end of the scope.
struct SpawnPlan {
  posix_spawn_file_actions_t files{};
  posix_spawnattr_t attributes{};
  SpawnPlan() {
    ::posix_spawn_file_actions_init(&files);
    ::posix_spawnattr_init(&attributes);
  }
  ~SpawnPlan() {
    ::posix_spawn_file_actions_destroy(&files);
    ::posix_spawnattr_destroy(&attributes);
  }
  SpawnPlan(const SpawnPlan&) = delete;
  SpawnPlan& operator=(const SpawnPlan&) = delete;
};

proto::Trouble system_trouble(const std::string& what, const std::string& where, int error) {
  return {what + ": " + std::strerror(error), where, ""};
}

}  // namespace

proto::Result<Child> Child::start(const std::filesystem::path& program,
                                  const std::vector<std::string>& arguments) {
  std::array<int, 2> ends{};
  if (::socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, ends.data()) != 0) {
    return tl::unexpected(system_trouble("no socket pair", program, errno));
  }
  SpawnPlan plan;
  ::posix_spawn_file_actions_addopen(&plan.files, 0, "/dev/null", O_RDONLY, 0);
  ::posix_spawn_file_actions_adddup2(&plan.files, ends[1], link_fd);
  ::posix_spawn_file_actions_addclosefrom_np(&plan.files, link_fd + 1);
  // The daemon's own handling of signals is no business of a plugin; a group of its own keeps a
  // Ctrl-C at the daemon's terminal away, so that the daemon can stop it in order.
  sigset_t none;
  sigset_t all;
  ::sigemptyset(&none);
  ::sigfillset(&all);
  ::posix_spawnattr_setsigmask(&plan.attributes, &none);
  ::posix_spawnattr_setsigdefault(&plan.attributes, &all);
  ::posix_spawnattr_setpgroup(&plan.attributes, 0);
  ::posix_spawnattr_setflags(
      &plan.attributes, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF | POSIX_SPAWN_SETPGROUP);
  std::string name = program.string();
  std::vector<std::string> words = arguments;
  std::vector<char*> argv{name.data()};
  for (auto& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);
  pid_t pid = -1;
  const int error =
      ::posix_spawn(&pid, name.c_str(), &plan.files, &plan.attributes, argv.data(), environ);
  ::close(ends[1]);
  if (error != 0) {
    ::close(ends[0]);
    return tl::unexpected(system_trouble("cannot be started", name, error));
  }
  // The child is not reaped yet, so the pid cannot be another's.
  const int pid_fd = ::pidfd_open(pid, 0);
  if (pid_fd < 0) {
    const int why = errno;
    ::close(ends[0]);
    ::kill(pid, SIGKILL);
    ::waitpid(pid, nullptr, 0);
    return tl::unexpected(system_trouble("cannot be watched", name, why));
  }
  return Child(pid_fd, ends[0]);
}

Child::Child(Child&& other) noexcept
    : pid_fd_(std::exchange(other.pid_fd_, -1)), link_(std::exchange(other.link_, -1)) {}

Child::~Child() {
  if (link_ >= 0) ::close(link_);
  if (pid_fd_ < 0) return;
  signal(SIGKILL);
  // Whoever watched a copy of the descriptor may have made both non-blocking, and then waitid would
  // not wait: poll does in any case.
  pollfd ended{pid_fd_, POLLIN, 0};
  while (::poll(&ended, 1, -1) < 0 && errno == EINTR) {
  }
  reap();
}

int Child::take_link() { return std::exchange(link_, -1); }

void Child::signal(int number) const {
  if (pid_fd_ >= 0) ::pidfd_send_signal(pid_fd_, number, nullptr, 0);
}

std::optional<std::string> Child::reap() {
  if (pid_fd_ < 0) return std::nullopt;
  siginfo_t info{};
  const int fault = ::waitid(P_PIDFD, static_cast<id_t>(pid_fd_), &info, WEXITED | WNOHANG);
  // No such child: somebody else has reaped it, the kernel itself where SIGCHLD is ignored.
  const bool taken = fault != 0 && errno == ECHILD;
  if (!taken && (fault != 0 || info.si_pid == 0)) return std::nullopt;
  ::close(std::exchange(pid_fd_, -1));
  if (taken) return "ended, nobody knows how";
  const auto number = std::to_string(info.si_status);
  if (info.si_code == CLD_EXITED) return "exited with status " + number;
  return "killed by signal " + number + " (" + ::strsignal(info.si_status) + ")";
}

}  // namespace maslin::devices
