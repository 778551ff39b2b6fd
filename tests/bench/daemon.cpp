// A daemon as a whole: bytes to disk, three hours of a batch in simulated time, idle, start.
#include <unistd.h>

#include <csignal>
#include <fstream>
#include <random>
#include <thread>

#include "daemon/record/chunk.hpp"
#include "tests/bench/pour.hpp"
#include "tests/bench/table.hpp"
#include "tests/system/record.hpp"

namespace maslin::bench {
namespace {

namespace fs = std::filesystem;
using house::Daemon;
using house::Json;

std::int64_t bytes_written(pid_t pid) {
  std::ifstream io("/proc/" + std::to_string(pid) + "/io");
  std::string word;
  std::int64_t value = 0;
  while (io >> word >> value) {
    if (word == "write_bytes:") return value;
  }
  throw std::runtime_error("/proc does not tell what was written");
}

void disk() {
  Pour pour(14);
  const auto client = pour.begin();
  std::this_thread::sleep_for(std::chrono::seconds(5));
  const auto count = [&] {
    const auto record = house::record_on_disk(pour.here / "state", "");
    return record ? static_cast<double>(record->readings.size()) : 0;
  };
  const double before_count = count();
  const auto before = bytes_written(pour.daemon.process().pid());
  std::this_thread::sleep_for(std::chrono::seconds(30));
  const auto written = static_cast<double>(bytes_written(pour.daemon.process().pid()) - before);
  const double per_reading = written / std::max(1.0, count() - before_count);
  print({"written to disk for a reading, at 14 a second", per_reading, "bytes", 0, "< 1024",
         per_reading < 1024});
}

void three_hours() {
  const house::Directory here;
  house::DaemonOptions options;
  options.plugins = {"kitchen=" MASLIN_SOURCE_DIR "/tests/bench/evening.toml"};
  Daemon daemon(here / "state", here / "socket", options);
  if (!daemon.ready()) throw std::runtime_error(daemon.log());
  house::Client client(daemon.socket());
  client.hello();
  client.call("subscribe");
  const auto begin = now_ns();
  const Json started = client.call(
      "batch_start", {{"text", house::read_file(MASLIN_SOURCE_DIR "/tests/bench/long-relish.toml")},
                      {"file", "long-relish.toml"}});
  if (!started.contains("result")) throw std::runtime_error(started.dump());
  if (!house::follow(client).ended) throw std::runtime_error("the batch does not end");
  const double took_s = static_cast<double>(now_ns() - begin) / 1e9;
  const Json status = client.call("batch_status")["result"];
  const double hours =
      (status["at_ms"].get<double>() - status["since_ms"].get<double>()) / 3'600'000;
  if (status["state"] != "complete" || hours < 3) throw std::runtime_error(status.dump());
  print({"three hours of a batch at --pace max", took_s, "s", 0, "< 3 s", took_s < 3});

  const auto verify_from = now_ns();
  const Json verified = client.call("batch_verify");
  const double verify_ms = static_cast<double>(now_ns() - verify_from) / 1e6;
  if (verified["result"]["answer"] != "same") throw std::runtime_error(verified.dump());
  print({"verify of it, " + verified["result"]["readings"].dump() + " readings", verify_ms, "ms", 0,
         "< 100 ms", verify_ms < 100});

  daemon.stop();
  const auto record = house::record_on_disk(here / "state", "");
  if (!record) throw std::runtime_error(proto::line(record.error()));
  const double kept =
      house::chunk_bytes(here / "state/maslin.db") / static_cast<double>(record->readings.size());
  print({"kept of a reading in a chunk, of that batch", kept, "bytes", 0, "<= 0.9", kept <= 0.9});
}

// A real scale's stamps come some milliseconds early or late, and its last digit is restless.
void restless_chunk() {
  std::mt19937 random(1);
  std::vector<proto::Reading> readings(6000);
  double load_g = 0;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    const auto second = i / 14 % 60;  // every minute: ten seconds of a pour, then rest
    if (second < 10) load_g += 25.0 / 14;
    auto& one = readings[i];
    one.number = i + 1;
    one.at_ms = static_cast<std::int64_t>(i * 1000 / 14 + random() % 3);
    one.digits = static_cast<std::int64_t>(load_g) + (random() % 16 == 0 ? 1 : 0);
    one.unit = proto::Unit::g;
  }
  const double kept = static_cast<double>(record::encode(readings).bytes.size()) /
                      static_cast<double>(readings.size());
  print({"the same where stamps jitter by 2 ms", kept, "bytes", 0, "<= 0.9", kept <= 0.9});
}

std::int64_t wakeups(pid_t pid) {
  std::int64_t all = 0;
  for (const auto& task : fs::directory_iterator("/proc/" + std::to_string(pid) + "/task")) {
    std::ifstream status(task.path() / "status");
    std::string word;
    while (status >> word) {
      if (word != "voluntary_ctxt_switches:") continue;
      std::int64_t switches = 0;
      status >> switches;
      all += switches;
    }
  }
  return all;
}

void idle() {
  const house::Directory here;
  house::DaemonOptions options;
  options.pace = "real";
  options.plugins = {"hid-scale", "thermometer"};
  Daemon daemon(here / "state", here / "socket", options);
  if (!daemon.up()) throw std::runtime_error(daemon.log());
  std::this_thread::sleep_for(std::chrono::seconds(10));  // until its plugins have come up
  const auto pid = daemon.process().pid();
  const auto before = wakeups(pid);
  std::this_thread::sleep_for(std::chrono::seconds(15));
  const auto woke = static_cast<double>(wakeups(pid) - before);
  print({"idle: wakeups in 15 s", woke, "", 0, "0", woke == 0});
  const double mib = static_cast<double>(house::resident_kb(pid)) / 1024;
  print({"idle: resident", mib, "MiB", 0, "< 10", mib < 10});
}

void start() {
  const house::Directory here;
  std::vector<double> empty_ms;
  std::vector<double> daemon_ms;
  for (int i = 0; i < 20; ++i) {
    auto begin = now_ns();
    house::Process nothing({house::bin("bench_empty")}, "/dev/null", "/dev/null");
    while (nothing.runs()) usleep(100);
    empty_ms.push_back(static_cast<double>(now_ns() - begin) / 1e6);

    begin = now_ns();
    house::Process daemon({house::bin("maslind"), "--state", (here / "state").string(), "--socket",
                           (here / "socket").string(), "--quiet", "--plugin", "none"},
                          "/dev/null", "/dev/null");
    while (!house::Client(here / "socket").connected()) usleep(100);
    daemon_ms.push_back(static_cast<double>(now_ns() - begin) / 1e6);
    daemon.signal(SIGTERM);
    daemon.wait();
  }
  print({"start until it accepts, p50", quantile(daemon_ms, 0.5), "ms", quantile(empty_ms, 0.5), "",
         true});
}

}  // namespace
}  // namespace maslin::bench

int main() {
  using namespace maslin::bench;
  disk();
  three_hours();
  restless_chunk();
  idle();
  start();
  return missed ? 1 : 0;
}
