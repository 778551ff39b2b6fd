#include "plugins/host/try.hpp"

#include <poll.h>
#include <sys/signalfd.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <thread>

#include "plugins/host/decode.hpp"
#include "plugins/host/host.hpp"

namespace maslin::host {

namespace link = proto::link;

namespace {

constexpr std::array levels = {"debug", "info", "warning", "error"};

std::string line_of(const link::Reading& from) {
  const maslin_reading raw{MASLIN_HEAD(maslin_reading),
                           from.unit,
                           from.state,
                           from.at_ns,
                           from.digits,
                           from.exponent,
                           from.quantity};
  return "{\"device\":" + std::to_string(from.device) + "," + reading_json(raw).substr(1) + "\n";
}

std::string words(const link::Arrived& what) {
  std::string text = "device " + std::to_string(what.device) + " arrived: " + what.vendor + ":" +
                     what.product + (what.serial.empty() ? "@" + what.port : ":" + what.serial);
  if (!what.label.empty()) text += " '" + what.label + "'";
  text +=
      ", " + std::string(proto::name(what.quantity)) + " in " + std::string(proto::name(what.unit));
  if (what.period_ns == 0) return text + ", sends when its value changes\n";
  return text + ", every " + decimal(what.period_ns / 1'000'000, -3) + " s\n";
}

// Plays the daemon: prints until the plugin's end is closed, passes a signal on as a stop.
void print_until_it_ends(Channel daemon, int signals) {
  bool asked = false;
  std::array<pollfd, 2> both{{{daemon.fd(), POLLIN, 0}, {signals, POLLIN, 0}}};
  while (!daemon.gone()) {
    ::poll(both.data(), both.size(), -1);
    while (const auto packet = daemon.receive()) {
      const auto text = told(*packet);
      std::fputs(text.out.c_str(), stdout);
      std::fflush(stdout);  // whoever reads a pipe sees each reading when it comes
      std::fputs(text.err.c_str(), stderr);
    }
    signalfd_siginfo signal{};
    if (both[1].revents == 0 || ::read(signals, &signal, sizeof signal) <= 0) continue;
    if (asked) std::_Exit(EXIT_FAILURE);  // it does not come back from wherever it is
    asked = true;
    std::fputs("asked to stop; once more ends it at once\n", stderr);
    daemon.send(link::Stop{});
  }
}

}  // namespace

Told told(const link::Packet& packet) {
  Told text;
  if (const auto* readings = std::get_if<link::Readings>(&packet)) {
    for (const auto& one : readings->all) text.out += line_of(one);
  } else if (const auto* arrived = std::get_if<link::Arrived>(&packet)) {
    text.err = words(*arrived);
  } else if (const auto* left = std::get_if<link::Left>(&packet)) {
    text.err = "device " + std::to_string(left->device) + " left" +
               (left->why.empty() ? "" : ": " + left->why) + "\n";
  } else if (const auto* log = std::get_if<link::Log>(&packet)) {
    text.err = std::string(levels.at(log->level)) + ": " + log->text + "\n";
  }
  return text;
}

int try_out(const Plugin& plugin, const std::string& argument) {
  std::array<int, 2> ends{};
  if (::socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, ends.data()) != 0) {
    std::perror("maslin-plughost: socketpair");
    return EXIT_FAILURE;
  }
  // Blocked before the thread begins, so that neither of the two is interrupted.
  sigset_t stops;
  sigemptyset(&stops);
  sigaddset(&stops, SIGINT);
  sigaddset(&stops, SIGTERM);
  ::pthread_sigmask(SIG_BLOCK, &stops, nullptr);
  const int signals = ::signalfd(-1, &stops, SFD_CLOEXEC);
  std::thread printer(print_until_it_ends, Channel(ends[0]), signals);
  int result = 0;
  {
    Channel channel(ends[1]);
    Host host(channel, argument, false);
    result = plugin.run(host.table());
    host.flush();
  }
  printer.join();
  ::close(signals);
  return result;
}

}  // namespace maslin::host
