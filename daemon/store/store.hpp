// The store: one SQLite file with every batch, written by a thread that only commits and read over
// connections of their own. session/ appends steps and releases their effects when they are
// durable.
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "daemon/store/reader.hpp"
#include "daemon/store/rows.hpp"
#include "proto/trouble.hpp"

namespace maslin::store {

// The file's name in the state directory.
inline constexpr std::string_view kFileName = "maslin.db";

struct Options {
  // Called in the writer thread before every commit; a text given back makes the commit fail with
  // it. For tests: a slow disk sleeps here, a full one answers.
  std::function<std::optional<std::string>()> before_commit;
  std::chrono::milliseconds retry{5000};        // between attempts while the disk refuses
  std::size_t most_waiting_bytes = 64U << 20U;  // of steps not yet on disk
};

class Store {
 public:
  using Post = std::function<void(std::function<void()>)>;

  // Opens or creates the file in `state_dir` and brings an older version up to date. `post_to_loop`
  // is called from the store's threads and must run what it is given later, in order, on the loop
  // thread. Troubles: the directory cannot be made or written, the file is damaged, is something
  // else, is of a newer version, is held by another process. Nothing has been changed then.
  // MASLIN_TEST_COMMIT_DELAY_MS in the environment makes every commit take that much longer.
  static proto::Result<std::unique_ptr<Store>> open(const std::filesystem::path& state_dir,
                                                    Post post_to_loop, Options options = {});
  // Writes what still waits, unless the disk refuses, and stops. No callback is posted any more.
  ~Store();
  Store(const Store&) = delete;
  Store& operator=(const Store&) = delete;

  // ---- writing: loop thread; nothing here waits ----

  // A name that no batch has: the UTC date and an ordinal, "2026-11-25-1".
  std::string next_batch_name(std::int64_t utc_ms) const;
  // The id for a new batch. Its row is written in one transaction with its first step, so that a
  // batch without a start entry is never on disk. Trouble: the name is taken.
  proto::Result<std::int64_t> new_batch(std::string name, std::string formula,
                                        std::int64_t started_utc_ms);
  // Takes a step; `durable` (may be empty) is posted once it is on disk, in the order of the calls.
  // Steps that queue up share a transaction. False: no room, and the step is left as it was; append
  // it again when an earlier one is durable.
  [[nodiscard]] bool append(Step&& step, std::function<void()> durable = {});
  // Bytes of steps (about) and number of steps that are not yet on disk.
  std::size_t waiting_bytes() const;
  std::size_t waiting() const;
  // Posted when writing begins to fail, with why in words for the cook, and when it works again.
  std::function<void(bool failing, std::string why)> on_trouble;

  // Small things kept by key: roles, settings. What was kept can be read back at once.
  std::optional<std::string> kept(std::string_view key) const;
  std::map<std::string, std::string> kept_under(std::string_view prefix) const;
  void keep(std::string key, std::string value);
  void forget(std::string key);

  // ---- reading ----

  // A connection for the loop thread: what is durable, short questions only.
  Reader& reader();
  // Long questions: `job` runs in the reader thread with a connection of its own; what it gives
  // back is posted to the loop. Jobs run one after the other.
  void read(std::function<std::function<void()>(Reader&)> job);

  // Blocks until everything appended so far is on disk, or the time is over. For shutdown and
  // tests.
  bool drain(std::chrono::milliseconds longest);

 private:
  struct Parts;
  explicit Store(std::unique_ptr<Parts> parts);
  std::unique_ptr<Parts> parts_;
};

}  // namespace maslin::store
