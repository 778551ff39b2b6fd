// The installed service may do what the daemon does: the calls of a real daemon that serves a
// batch, against what the unit in daemon/packaging lets through.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <cctype>
#include <iterator>
#include <set>
#include <sstream>

#include "tests/system/house.hpp"

namespace maslin::house {
namespace {

using Calls = std::set<std::string>;

#ifdef MASLIN_SANITIZED
constexpr bool sanitized = true;
#else
constexpr bool sanitized = false;
#endif

// What the unit says under a name, in the order written; an empty list where it says nothing.
std::vector<std::string> unit(const std::string& name) {
  std::istringstream lines(read_file(MASLIN_SOURCE_DIR "/daemon/packaging/maslind.service.in"));
  std::vector<std::string> all;
  for (std::string line; std::getline(lines, line);) {
    if (line.starts_with(name + "=")) all.push_back(line.substr(name.size() + 1));
  }
  return all;
}

// The calls of a set such as @clock, sets within it too.
Calls calls_of(const std::string& name) {
  if (!name.starts_with("@")) return {name};
  Calls all;
  std::istringstream lines(run({"systemd-analyze", "syscall-filter", name}).out);
  for (std::string line; std::getline(lines, line);) {
    std::string word;
    if (!(std::istringstream(line) >> word) || word == name || word == "#") continue;
    all.merge(calls_of(word));
  }
  return all;
}

// As systemd.exec(5) puts them together: the first line decides that it is a list of what is
// allowed, each further one adds or takes away; switches that forbid a set win over the list.
Calls allowed() {
  Calls all;
  for (const auto& line : unit("SystemCallFilter")) {
    const bool away = line.starts_with("~");
    std::istringstream words(line.substr(away ? 1 : 0));
    for (std::string word; words >> word;) {
      for (const auto& call : calls_of(word)) {
        if (away) {
          all.erase(call);
        } else {
          all.insert(call);
        }
      }
    }
  }
  for (const auto& [option, set] :
       {std::pair{"ProtectClock", "@clock"}, std::pair{"ProtectKernelModules", "@module"},
        std::pair{"ProtectKernelLogs", "syslog"}}) {
    if (unit(option) != std::vector<std::string>{"yes"}) continue;
    for (const auto& call : calls_of(set)) all.erase(call);
  }
  return all;
}

// "1234  openat(AT_FDCWD, ..." is openat.
Calls traced(const fs::path& file) {
  Calls all;
  std::istringstream lines(read_file(file));
  for (std::string line; std::getline(lines, line);) {
    const auto from = line.find_first_not_of("0123456789 ");
    const auto to = line.find('(');
    if (from == std::string::npos || to == std::string::npos || to <= from) continue;
    const auto name = line.substr(from, to - from);
    if (std::ranges::all_of(name, [](unsigned char c) { return std::isalnum(c) || c == '_'; })) {
      all.insert(name);
    }
  }
  return all;
}

// What a program makes of itself, without any work: the calls of a sanitizer, if it was built with
// one. The leak check cannot run under a tracer.
const Environment traceable{{"ASAN_OPTIONS", "detect_leaks=0"}};
Calls idle_calls(std::vector<std::string> tracer, const fs::path& file) {
  tracer.insert(tracer.end(), {bin("maslind"), "--version"});
  EXPECT_EQ(run(tracer, traceable).code, 0);
  return traced(file);
}

// What the daemon and its hosts made in the batch below, traced on Debian 12 as root: held on a
// machine, too, that lets nobody trace a process.
constexpr const char* seen =
    "accept access arch_prctl bind brk clock_adjtime clone3 close close_range dup dup2 "
    "epoll_create1 epoll_ctl epoll_wait eventfd2 execve exit exit_group fchmodat fcntl "
    "fdatasync flock ftruncate futex getdents64 geteuid getpid getrandom getsockname "
    "getsockopt gettid ioctl listen lseek madvise mkdir mmap mprotect munmap newfstatat "
    "openat pidfd_open pipe2 poll prctl pread64 prlimit64 pwrite64 read readlink recvfrom "
    "recvmsg rseq rt_sigaction rt_sigprocmask rt_sigreturn sendto set_robust_list "
    "set_tid_address setpgid setsockopt socket socketpair statfs statx timerfd_create "
    "timerfd_settime umask uname unlink waitid write";

Calls words_of(const std::string& text) {
  std::istringstream words(text);
  return {std::istream_iterator<std::string>(words), {}};
}

void expect_allowed(const Calls& made) {
  const auto may = allowed();
  for (const auto& call : made) EXPECT_TRUE(may.contains(call)) << call << " is not let through";
}

TEST(Service, MayDoWhatTheDaemonDoes) {
  const Directory here;
  const auto file = here / "calls";
  // -D: the daemon, not its tracer, is the process that is started and stopped.
  const std::vector<std::string> tracer{"strace", "-D", "-f", "-qq", "-o", file.string()};
  ASSERT_EQ(run({"strace", "--version"}).code, 0) << "sh tests/install test installs strace";
  ASSERT_FALSE(calls_of("@clock").empty()) << "sh tests/install test installs systemd-analyze";
  auto words = tracer;
  words.emplace_back("true");
  expect_allowed(words_of(seen));
  if (run(words).code != 0) return;  // no tracing here: what was seen elsewhere is held
  const Calls of_sanitizer = sanitized ? idle_calls(tracer, file) : Calls{};
  Daemon daemon(here / "state", here / "socket",
                {.pace = "real",
                 .plugins = {"kitchen=" MASLIN_SOURCE_DIR "/plugins/kitchen/quayside-relish.toml",
                             "hid-scale", "thermometer"},
                 .before = tracer,
                 .environment = traceable});
  ASSERT_TRUE(daemon.ready()) << daemon.log();
  Client client(daemon.socket());
  client.hello();
  ASSERT_TRUE(start_relish(client).contains("result")) << daemon.log();
  EXPECT_EQ(daemon.stop(), 0) << daemon.log();

  auto made = traced(file);
  // SQLite gives its files to the owner of their directory, as root only; the service is not root.
  if (::geteuid() == 0) made.erase("fchown");
  EXPECT_THAT(made, testing::Contains("execve")) << "the trace is read";
  EXPECT_THAT(made, testing::Contains("clock_adjtime")) << "and the batch was started in it";
  for (const auto& call : of_sanitizer) made.erase(call);
  expect_allowed(made);
}

}  // namespace
}  // namespace maslin::house
