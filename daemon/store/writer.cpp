// The writer thread.
#include "daemon/store/writer.hpp"

#include "daemon/record/chunk.hpp"
#include "daemon/store/reading_row.hpp"
#include "proto/trouble.hpp"

namespace maslin::store {
namespace {

// So that one transaction stays short even when a slow disk let much queue up.
constexpr std::size_t kMostJobs = 512;
// Pages of 4 KiB in the write-ahead log before it is folded into the file.
constexpr int kCheckpointPages = 1000;

}  // namespace

Writer::Writer(std::unique_ptr<Database> database, Events events, std::chrono::milliseconds retry)
    : database_(std::move(database)), events_(std::move(events)), retry_(retry) {
  find_leftovers();
  thread_ = std::thread([this] { work(); });
}

Writer::~Writer() {
  {
    const std::lock_guard lock(mutex_);
    stop_ = true;
  }
  wake_.notify_all();
  thread_.join();
}

void Writer::add(Job job) {
  {
    const std::lock_guard lock(mutex_);
    ++jobs_;
    bytes_ += job.bytes;
    queue_.push_back(std::move(job));
  }
  wake_.notify_one();
}

std::size_t Writer::waiting() const {
  const std::lock_guard lock(mutex_);
  return jobs_;
}

std::size_t Writer::waiting_bytes() const {
  const std::lock_guard lock(mutex_);
  return bytes_;
}

bool Writer::drain(std::chrono::milliseconds longest) {
  std::unique_lock lock(mutex_);
  return idle_.wait_for(lock, longest, [this] { return jobs_ == 0; });
}

void Writer::work() {
  make_chunks();  // what a kill between the last commit and its chunk left behind
  for (;;) {
    std::vector<Job> taken;
    {
      std::unique_lock lock(mutex_);
      wake_.wait(lock, [this] { return stop_ || !queue_.empty(); });
      if (queue_.empty()) return;
      while (!queue_.empty() && taken.size() < kMostJobs) {
        taken.push_back(std::move(queue_.front()));
        queue_.pop_front();
      }
    }
    if (!commit_until_done(taken)) return;
    std::vector<std::function<void()>> durable;
    std::size_t bytes = 0;
    for (Job& job : taken) {
      bytes += job.bytes;
      if (job.durable) durable.push_back(std::move(job.durable));
    }
    {
      // Before anybody is told: who waits for room finds it.
      const std::lock_guard lock(mutex_);
      bytes_ -= bytes;
    }
    if (!durable.empty()) events_.durable(std::move(durable));
    make_chunks();
    if (database_->log_pages() > kCheckpointPages) {
      // Where it fails the log only grows on; the next commit will tell.
      [[maybe_unused]] const auto done = database_->checkpoint();
    }
    {
      const std::lock_guard lock(mutex_);
      jobs_ -= taken.size();
      if (jobs_ == 0) idle_.notify_all();
    }
  }
}

// Tries for as long as it takes: nothing that was taken is dropped, and the caller is told once
// that the disk refuses and once that it works again.
bool Writer::commit_until_done(std::vector<Job>& taken) {
  for (;;) {
    const auto done = commit(taken);
    if (done) break;
    database_->roll_back();
    if (!failing_) {
      failing_ = true;
      events_.trouble(true, proto::line(done.error()));
    }
    std::unique_lock lock(mutex_);
    if (stop_) return false;
    wake_.wait_for(lock, retry_, [this] { return stop_; });
  }
  if (failing_) {
    failing_ = false;
    events_.trouble(false, "");
  }
  return true;
}

// All jobs in one transaction: a commit costs a sync of the disk, whatever is in it. The counts of
// rows change only when it has succeeded.
proto::Result<void> Writer::commit(const std::vector<Job>& taken) {
  if (auto done = database_->run("BEGIN IMMEDIATE"); !done) return done;
  for (const Job& job : taken) {
    if (auto done = write(job); !done) return done;
  }
  if (events_.before_commit) {
    if (const auto fault = events_.before_commit()) return proto::trouble(*fault);
  }
  if (auto done = database_->run("COMMIT"); !done) return done;
  for (const Job& job : taken) {
    if (!job.step) continue;
    Rows& rows = rows_[job.step->batch];
    rows.count += job.step->readings.size();
    rows.closed = rows.closed || job.step->closes;
  }
  return {};
}

proto::Result<void> Writer::write(const Job& job) {
  if (job.opens) {
    Statement insert(*database_,
                     "INSERT INTO batch (id, name, formula, state, started_utc_ms, open, entries, "
                     "last_hash) VALUES (?1, ?2, ?3, ?4, ?5, 1, 0, '')");
    const auto done = insert.bind(1, job.opens->id)
                          .bind(2, std::string_view(job.opens->name))
                          .bind(3, std::string_view(job.opens->formula))
                          .bind(4, std::string_view(job.opens->state))
                          .bind(5, job.opens->started_utc_ms)
                          .run();
    if (!done) return done;
  }
  if (job.step) {
    if (auto done = write_step(*job.step); !done) return done;
  }
  if (job.keep) {
    const auto& [key, value] = *job.keep;
    Statement change(*database_, value ? "INSERT OR REPLACE INTO kept (key, value) VALUES (?1, ?2)"
                                       : "DELETE FROM kept WHERE key = ?1");
    change.bind(1, std::string_view(key));
    if (value) change.bind(2, std::string_view(*value));
    if (auto done = change.run(); !done) return done;
  }
  return {};
}

proto::Result<void> Writer::write_step(const Step& step) {
  if (!step.readings.empty()) {
    Statement insert(*database_, kInsertReading);
    for (const proto::Reading& reading : step.readings) {
      bind_reading(insert, step.batch, reading);
      if (auto done = insert.run(); !done) return done;
    }
  }
  if (!step.entries.empty()) {
    Statement insert(*database_,
                     "INSERT INTO entry (batch, sequence, at_ms, utc_ms, after_reading, input, "
                     "type, text, hash) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)");
    for (const EntryRow& entry : step.entries) {
      const auto done = insert.bind(1, step.batch)
                            .bind(2, entry.stamp.sequence)
                            .bind(3, entry.stamp.at_ms)
                            .bind(4, entry.stamp.utc_ms)
                            .bind(5, static_cast<std::int64_t>(entry.stamp.after_reading))
                            .bind(6, std::int64_t{entry.input})
                            .bind(7, std::string_view(entry.type))
                            .bind(8, std::string_view(entry.text))
                            .bind(9, std::string_view(entry.hash))
                            .run();
      if (!done) return done;
    }
  }
  // The row of the batch is a page of its own in every commit: only when it has something new to
  // say.
  if (step.entries.empty() && !step.state && !step.closes) return {};
  Statement update(*database_,
                   "UPDATE batch SET entries = entries + ?2, last_hash = coalesce(?3, last_hash), "
                   "state = coalesce(?4, state), open = open AND NOT ?5 WHERE id = ?1");
  update.bind(1, step.batch).bind(2, static_cast<std::int64_t>(step.entries.size()));
  if (step.entries.empty()) {
    update.bind_null(3);
  } else {
    update.bind(3, std::string_view(step.entries.back().hash));
  }
  if (step.state) {
    update.bind(4, std::string_view(*step.state));
  } else {
    update.bind_null(4);
  }
  return update.bind(5, std::int64_t{step.closes}).run();
}

// Rows that an earlier run left: of a batch that is closed they become a chunk soon.
void Writer::find_leftovers() {
  Statement counts(*database_,
                   "SELECT r.batch, count(*), NOT b.open FROM reading r JOIN batch b "
                   "ON b.id = r.batch GROUP BY r.batch");
  for (auto row = counts.step(); row && *row; row = counts.step()) {
    rows_[counts.integer(0)] = {static_cast<std::size_t>(counts.integer(1)),
                                counts.integer(2) != 0};
  }
}

void Writer::make_chunks() {
  for (auto entry = rows_.begin(); entry != rows_.end();) {
    auto& [batch, rows] = *entry;
    while (rows.count >= kChunkReadings || (rows.closed && rows.count > 0)) {
      const auto made = make_chunk(batch);
      if (!made || *made == 0) {
        // The rows stay as they are and say the same; tried again after the next commit.
        database_->roll_back();
        break;
      }
      rows.count -= std::min(*made, rows.count);
    }
    entry = rows.closed && rows.count == 0 ? rows_.erase(entry) : std::next(entry);
  }
}

proto::Result<std::size_t> Writer::make_chunk(std::int64_t batch) {
  std::vector<proto::Reading> readings;
  {
    Statement rows(*database_,
                   std::string(kSelectReadings) + "WHERE batch = ?1 ORDER BY number LIMIT ?2");
    rows.bind(1, batch).bind(2, std::int64_t{kChunkReadings});
    for (;;) {
      const auto row = rows.step();
      if (!row) return tl::unexpected(row.error());
      if (!*row) break;
      const proto::Reading reading = reading_row(rows);
      // A hole is damage; what stands behind it stays as rows for check_intact to find.
      if (!readings.empty() && reading.number != readings.back().number + 1) break;
      readings.push_back(reading);
    }
  }
  if (readings.empty()) return 0;
  const record::Chunk chunk = record::encode(readings);
  if (auto done = database_->run("BEGIN IMMEDIATE"); !done) return tl::unexpected(done.error());
  Statement insert(*database_,
                   "INSERT INTO chunk (batch, first, count, hash, bytes) "
                   "VALUES (?1, ?2, ?3, ?4, ?5)");
  const auto inserted = insert.bind(1, batch)
                            .bind(2, static_cast<std::int64_t>(chunk.first))
                            .bind(3, static_cast<std::int64_t>(chunk.count))
                            .bind(4, std::string_view(chunk.hash))
                            .bind_blob(5, chunk.bytes)
                            .run();
  if (!inserted) return tl::unexpected(inserted.error());
  Statement remove(*database_, "DELETE FROM reading WHERE batch = ?1 AND number BETWEEN ?2 AND ?3");
  const auto removed = remove.bind(1, batch)
                           .bind(2, static_cast<std::int64_t>(chunk.first))
                           .bind(3, static_cast<std::int64_t>(chunk.first + chunk.count - 1))
                           .run();
  if (!removed) return tl::unexpected(removed.error());
  if (auto done = database_->run("COMMIT"); !done) return tl::unexpected(done.error());
  return readings.size();
}

}  // namespace maslin::store
