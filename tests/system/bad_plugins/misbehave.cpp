// Goes wrong in the way that its argument names, after it has brought a scale.
#include <fcntl.h>
#include <unistd.h>

#include <csignal>
#include <cstdlib>
#include <stdexcept>
#include <vector>

#include "plugins/sdk/plugin.hpp"

using namespace maslin::sdk;
using namespace std::chrono_literals;

static constexpr int link_fd = 3;  // where the host has its link

[[noreturn]] static void hang() {
  for (;;) ::pause();
}

// True from the third start of the plugin on: the daemon's process is the same in all of them.
static bool recovers_now() {
  const auto file = "/tmp/maslin_fail_twice_" + std::to_string(::getppid());
  const int fd = ::open(file.c_str(), O_CREAT | O_APPEND | O_WRONLY | O_CLOEXEC, 0600);
  const bool third = ::lseek(fd, 0, SEEK_END) == 2;
  if (third) ::unlink(file.c_str());
  if (!third && ::write(fd, "x", 1) != 1) std::abort();
  ::close(fd);
  return third;
}

static void run(Host& host) {
  const auto how = host.argument();
  if (how == "crash at start") std::abort();
  auto scale = host.arrive({.vendor = "bad", .product = "scale", .serial = how, .period = 10ms});
  if (how == "crash later") {
    for (int i = 0; i < 20; ++i) scale.send({i, 0});
    std::signal(SIGSEGV, SIG_DFL);  // a sanitizer would make an orderly exit of it
    std::raise(SIGSEGV);
  }
  if (how == "hang") hang();
  if (how == "hang and ignore TERM") {
    std::signal(SIGTERM, SIG_IGN);
    hang();
  }
  if (how == "throw") throw std::runtime_error("the reason that it gives");
  if (how == "finish") return;
  if (how == "fail twice" && recovers_now()) {
    for (int i = 0; !host.sleep(10ms).stop(); ++i) scale.send({i, 0});
    return;
  }
  if (how == "fail twice") throw std::runtime_error("not yet");
  if (how == "complain") host.log(MASLIN_LOG_ERROR, "the bus cannot be seen");
  if (how == "close link") {
    ::close(link_fd);
    hang();
  }
  if (how == "damaged packet") {
    const char bytes[] = "\x07\x00not what it should be";
    if (::write(link_fd, bytes, sizeof bytes) < 0) return;
  }
  std::vector<Device> staying;
  int serial = 0;
  while (!host.sleep(1ms).stop()) {
    if (how == "flood") {
      for (int i = 0; i < 100'000; ++i) scale.send({i, 0});
    } else if (how == "time goes back") {
      scale.send({1, 0}, 0, host.now() - 1h);
      scale.send({2, 0}, 0, host.now() + 1h);
    } else if (how == "garbage") {
      auto one = reading(MASLIN_MASS, MASLIN_G, {1, 0});
      one.unit = 999;
      one.digits = INT64_MIN;
      one.exponent = 127;
      scale.send({&one, 1});
    } else if (how == "many devices") {
      for (int i = 0; i < 50; ++i) {
        host.arrive({.vendor = "bad", .serial = std::to_string(i), .period = 10ms});
      }
    } else if (how == "new serials") {
      host.arrive({.vendor = "bad", .serial = std::to_string(++serial), .period = 10ms});
    } else if (how == "new serials that stay") {
      staying.push_back(
          host.arrive({.vendor = "bad", .serial = std::to_string(++serial), .period = 10ms}));
    } else if (how == "talk") {
      for (int i = 0; i < 1'000; ++i) host.log(MASLIN_LOG_INFO, "on and on");
    }
  }
  if (how == "does not stop") hang();
}

MASLIN_PLUGIN("misbehave", run);
