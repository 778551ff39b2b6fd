// How soon a step is on disk: from handing it to the store until its callback, beside write and
// fdatasync of as many bytes. And how old the youngest reading on disk is at worst while a daemon
// records, also where every commit takes 50 ms longer.
#include <fcntl.h>
#include <unistd.h>

#include <condition_variable>
#include <mutex>

#include "daemon/record/chain.hpp"
#include "daemon/runtime/clock.hpp"
#include "daemon/store/store.hpp"
#include "tests/bench/pour.hpp"
#include "tests/bench/table.hpp"

namespace maslin::bench {
namespace {

constexpr int steps = 300;

store::Step step(std::int64_t batch, std::int64_t sequence, record::Chain& chain) {
  store::Step step;
  step.batch = batch;
  store::EntryRow row;
  row.stamp = {sequence, sequence * 100, sequence * 100, 0};
  row.type = "noted";
  proto::Entry entry;
  entry.stamp = row.stamp;
  entry.body = proto::Outcome(proto::Noted{std::string(300, 'n')});
  row.text = proto::entry_text(entry);
  row.hash = chain.add(row.text);
  step.entries.push_back(std::move(row));
  return step;
}

std::vector<double> steps_to_disk(const house::fs::path& directory, int delay_ms) {
  setenv("MASLIN_TEST_COMMIT_DELAY_MS", std::to_string(delay_ms).c_str(), 1);
  std::mutex mutex;
  std::condition_variable came;
  bool done = false;
  auto store = store::Store::open(directory, [&](const std::function<void()>& work) {
    work();
    const std::lock_guard lock(mutex);
    done = true;
    came.notify_one();
  });
  if (!store) throw std::runtime_error(proto::line(store.error()));
  const auto batch = (*store)->new_batch("bench", "bench", 0);
  if (!batch) throw std::runtime_error(proto::line(batch.error()));
  record::Chain chain;
  std::vector<double> took_ms;
  for (int i = 1; i <= (delay_ms > 0 ? steps / 10 : steps); ++i) {
    auto one = step(*batch, i, chain);
    done = false;
    const auto begin = now_ns();
    if (!(*store)->append(std::move(one), [] {})) throw std::runtime_error("no room");
    std::unique_lock lock(mutex);
    came.wait(lock, [&] { return done; });
    took_ms.push_back(static_cast<double>(now_ns() - begin) / 1e6);
  }
  return took_ms;
}

std::vector<double> writes_to_disk(const house::fs::path& file) {
  const int fd = open(file.c_str(), O_WRONLY | O_CREAT | O_APPEND, 0600);
  const std::string bytes(4096, 'x');  // a page, the least that a commit writes
  std::vector<double> took_ms;
  for (int i = 0; i < steps; ++i) {
    const auto begin = now_ns();
    if (write(fd, bytes.data(), bytes.size()) < 0 || fdatasync(fd) != 0) {
      throw std::runtime_error("cannot be written");
    }
    took_ms.push_back(static_cast<double>(now_ns() - begin) / 1e6);
  }
  close(fd);
  return took_ms;
}

// The greatest age of the newest reading on disk while readings come at 14 a second.
double oldest_ms(int delay_ms) {
  Pour pour(14, {{"MASLIN_TEST_COMMIT_DELAY_MS", std::to_string(delay_ms)}});
  const auto client = pour.begin();
  const auto reader = store::Reader::open(pour.here / "state/maslin.db");
  if (!reader) throw std::runtime_error(proto::line(reader.error()));
  std::this_thread::sleep_for(std::chrono::seconds(2));
  const runtime::RealClock clock;
  double oldest = 0;
  for (int i = 0; i < 400; ++i) {
    const auto row = (*reader)->find("");
    const auto now = clock.now_ms();
    const auto record = row ? (*reader)->load(row->id) : tl::unexpected(row.error());
    if (!record || record->readings.empty()) continue;
    oldest = std::max(oldest, static_cast<double>(now - record->readings.back().at_ms));
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  return oldest;
}

}  // namespace
}  // namespace maslin::bench

int main() {
  using namespace maslin::bench;
  const maslin::house::Directory here;
  const auto plain = writes_to_disk(here / "file");
  const auto quick = steps_to_disk(here / "quick", 0);
  const auto slow = steps_to_disk(here / "slow", 50);
  print({"step until it is on disk, p50", quantile(quick, 0.5), "ms", quantile(plain, 0.5), "",
         true});
  print({"the same, p99", quantile(quick, 0.99), "ms", quantile(plain, 0.99), "", true});
  const double slow_p99 = quantile(slow, 0.99);
  print({"the same where a commit takes 50 ms more, p99", slow_p99, "ms", 50, "< 100 ms",
         slow_p99 < 100});
  // Two periods of the readings come on top of the second.
  const double late = oldest_ms(0);
  print({"newest reading on disk, greatest age", late, "ms", 0, "< 1000 ms + 2 periods",
         late < 1000 + 150});
  const double late_slow = oldest_ms(50);
  print({"the same where a commit takes 50 ms more", late_slow, "ms", 0, "< 1050 ms + 2 periods",
         late_slow < 1050 + 150});
  return missed ? 1 : 0;
}
