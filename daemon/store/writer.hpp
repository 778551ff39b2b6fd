// The thread that only commits. Takes jobs in order, several to a transaction, tells when they are
// on disk, makes chunks of old readings between commits, and keeps everything while the disk
// refuses. Private to store/; Store is its face.
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "daemon/store/database.hpp"
#include "daemon/store/rows.hpp"

namespace maslin::store {

// Readings that stand as rows before they become a chunk.
inline constexpr std::size_t kChunkReadings = 6000;

struct Job {
  std::optional<BatchRow> opens;  // the row of a new batch, before its first step
  std::optional<Step> step;
  // A kept value; without a value the key is forgotten.
  std::optional<std::pair<std::string, std::optional<std::string>>> keep;
  std::function<void()> durable;
  std::size_t bytes = 0;  // about what it takes in memory
};

class Writer {
 public:
  struct Events {  // called in the writer thread
    std::function<void(std::vector<std::function<void()>>)> durable;
    std::function<void(bool failing, std::string why)> trouble;
    std::function<std::optional<std::string>()> before_commit;  // as Options
  };

  Writer(std::unique_ptr<Database> database, Events events, std::chrono::milliseconds retry);
  ~Writer();  // commits what waits, once, and stops
  Writer(const Writer&) = delete;
  Writer& operator=(const Writer&) = delete;

  void add(Job job);  // any thread
  std::size_t waiting() const;
  std::size_t waiting_bytes() const;
  bool drain(std::chrono::milliseconds longest);

 private:
  void work();
  // True once `taken` is on disk; false only when the writer is told to stop while the disk
  // refuses.
  bool commit_until_done(std::vector<Job>& taken);
  proto::Result<void> commit(const std::vector<Job>& taken);
  proto::Result<void> write(const Job& job);
  proto::Result<void> write_step(const Step& step);
  void find_leftovers();
  void make_chunks();
  proto::Result<std::size_t> make_chunk(std::int64_t batch);  // how many readings it holds

  std::unique_ptr<Database> database_;
  Events events_;
  const std::chrono::milliseconds retry_;

  // Writer thread only.
  struct Rows {
    std::size_t count = 0;
    bool closed = false;
  };
  std::map<std::int64_t, Rows> rows_;  // readings that stand as rows, by batch
  bool failing_ = false;

  mutable std::mutex mutex_;
  std::condition_variable wake_;
  std::condition_variable idle_;
  std::deque<Job> queue_;
  std::size_t jobs_ = 0;   // queued, or taken and not yet on disk
  std::size_t bytes_ = 0;  // of those
  bool stop_ = false;

  std::thread thread_;  // last: everything above is there when it starts
};

}  // namespace maslin::store
