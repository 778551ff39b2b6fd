// The way of one reading: from the plugin, over its host, the daemon and the engine, to the event
// at the client. Beside it the least that two hops over Unix sockets take: a source, a relay, a
// reader.
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <thread>

#include "tests/bench/pour.hpp"
#include "tests/bench/table.hpp"

namespace maslin::bench {
namespace {

constexpr double rate = 40;  // readings a second
constexpr std::size_t samples = 1000;

std::vector<double> through_the_daemon() {
  Pour pour(rate);
  const auto client = pour.begin();
  std::vector<double> took_us;
  std::size_t last = 0;
  while (took_us.size() < samples) {
    const auto line = client->event();
    const auto at = now_ns();
    if (!line) throw std::runtime_error("the events end: " + pour.daemon.log());
    const auto event = house::Json::parse(*line);
    if (event["method"] != "progress") continue;
    const auto gram = event["params"]["net_ug"].get<std::int64_t>() / 1'000'000;
    if (gram < 1 || static_cast<std::size_t>(gram) <= last) continue;
    last = static_cast<std::size_t>(gram);
    if (last >= Stamps::most - 1) break;
    took_us.push_back(static_cast<double>(at - pour.stamps[last]) / 1e3);
  }
  return took_us;
}

// As many bytes as a progress event has.
using Message = std::array<char, 160>;

std::vector<double> through_a_relay() {
  const house::Directory here;
  Stamps stamps(here / "stamps");
  int first[2];
  int second[2];
  if (socketpair(AF_UNIX, SOCK_SEQPACKET, 0, first) != 0 ||
      socketpair(AF_UNIX, SOCK_STREAM, 0, second) != 0) {
    throw std::runtime_error("no sockets");
  }
  const pid_t source = fork();
  if (source == 0) {
    Message message{};
    auto next = std::chrono::steady_clock::now();
    for (std::size_t i = 1; i <= samples; ++i) {
      next += std::chrono::nanoseconds(static_cast<long long>(1e9 / rate));
      std::this_thread::sleep_until(next);
      message[0] = static_cast<char>(i & 0xFF);
      message[1] = static_cast<char>(i >> 8);
      stamps[i] = now_ns();
      if (write(first[0], message.data(), message.size()) < 0) break;
    }
    _exit(0);
  }
  const pid_t relay = fork();
  if (relay == 0) {
    close(first[0]);
    Message message{};
    while (read(first[1], message.data(), message.size()) > 0) {
      if (write(second[0], message.data(), message.size()) < 0) break;
    }
    _exit(0);
  }
  close(first[0]);
  close(first[1]);
  close(second[0]);
  std::vector<double> took_us;
  Message message{};
  while (recv(second[1], message.data(), message.size(), MSG_WAITALL) ==
         static_cast<ssize_t>(message.size())) {
    const auto at = now_ns();
    const auto i =
        static_cast<unsigned char>(message[0]) + 256U * static_cast<unsigned char>(message[1]);
    took_us.push_back(static_cast<double>(at - stamps[i]) / 1e3);
  }
  close(second[1]);
  waitpid(source, nullptr, 0);
  waitpid(relay, nullptr, 0);
  return took_us;
}

}  // namespace
}  // namespace maslin::bench

int main() {
  using namespace maslin::bench;
  std::signal(SIGPIPE, SIG_IGN);
  const auto relay = through_a_relay();
  const auto daemon = through_the_daemon();
  print({"reading in the plugin to event at the client, p50", quantile(daemon, 0.5), "us",
         quantile(relay, 0.5), "", true});
  print({"the same, p99", quantile(daemon, 0.99), "us", quantile(relay, 0.99), "", true});
  return missed ? 1 : 0;
}
