// The store's face: names, ids, kept values and the two threads behind it.
#include "daemon/store/store.hpp"

#include <condition_variable>
#include <cstdlib>
#include <ctime>
#include <deque>
#include <mutex>
#include <set>
#include <thread>

#include "daemon/store/schema.hpp"
#include "daemon/store/writer.hpp"

namespace maslin::store {
namespace {

// Runs questions one after the other with a connection of its own. The thread starts with the
// first.
class Asker {
 public:
  using Job = std::function<std::function<void()>(Reader&)>;

  Asker(std::filesystem::path file, Store::Post post)
      : file_(std::move(file)), post_(std::move(post)) {}

  ~Asker() {
    {
      const std::lock_guard lock(mutex_);
      stop_ = true;
    }
    wake_.notify_all();
    if (thread_.joinable()) thread_.join();
  }

  void add(Job job) {
    {
      const std::lock_guard lock(mutex_);
      jobs_.push_back(std::move(job));
    }
    if (!thread_.joinable()) thread_ = std::thread([this] { work(); });
    wake_.notify_one();
  }

 private:
  void work() {
    auto reader = Reader::open(file_);
    for (;;) {
      Job job;
      {
        std::unique_lock lock(mutex_);
        wake_.wait(lock, [this] { return stop_ || !jobs_.empty(); });
        if (stop_) return;
        job = std::move(jobs_.front());
        jobs_.pop_front();
      }
      if (!reader) reader = Reader::open(file_);
      if (!reader) continue;
      if (auto answer = job(**reader)) post_(std::move(answer));
    }
  }

  const std::filesystem::path file_;
  const Store::Post post_;
  std::mutex mutex_;
  std::condition_variable wake_;
  std::deque<Job> jobs_;
  bool stop_ = false;
  std::thread thread_;
};

std::size_t bytes_of(const Step& step) {
  std::size_t bytes = sizeof(Job) + step.readings.size() * sizeof(proto::Reading);
  for (const EntryRow& entry : step.entries) {
    bytes += sizeof(EntryRow) + entry.type.size() + entry.text.size() + entry.hash.size();
  }
  return bytes;
}

std::string date_of(std::int64_t utc_ms) {
  const std::time_t seconds = utc_ms / 1000;
  std::tm date{};
  gmtime_r(&seconds, &date);
  char text[16];
  std::strftime(text, sizeof text, "%Y-%m-%d", &date);
  return text;
}

std::chrono::milliseconds delay_for_tests() {
  const char* text = std::getenv("MASLIN_TEST_COMMIT_DELAY_MS");
  return std::chrono::milliseconds(text ? std::max(0L, std::strtol(text, nullptr, 10)) : 0L);
}

// What must hold before SQLite is asked, in words of the file system.
proto::Result<void> prepare_directory(const std::filesystem::path& directory) {
  std::error_code fault;
  if (std::filesystem::exists(directory, fault) && !std::filesystem::is_directory(directory)) {
    return proto::trouble("is no directory", directory.string(),
                          "choose another state directory with --state");
  }
  std::filesystem::create_directories(directory, fault);
  if (fault) {
    return proto::trouble("the state directory cannot be made: " + fault.message(),
                          directory.string(), "choose another with --state, or make it");
  }
  return {};
}

}  // namespace

struct Store::Parts {
  Post post;
  Options options;
  // Read on the loop thread only: what was posted before the store went must do nothing after it.
  std::shared_ptr<bool> alive = std::make_shared<bool>(true);
  std::unique_ptr<Reader> reader;
  std::set<std::string> names;
  std::int64_t last_id = 0;
  std::map<std::int64_t, BatchRow> unopened;  // new_batch was called, the first step not yet
  std::map<std::string, std::string, std::less<>> kept;
  std::unique_ptr<Asker> asker;
  std::unique_ptr<Writer> writer;
};

Store::Store(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}

Store::~Store() {
  *parts_->alive = false;
  // The writer last: SQLite folds its log into the file when the last connection that may write
  // closes.
  parts_->asker.reset();
  parts_->reader.reset();
  parts_->writer.reset();
}

proto::Result<std::unique_ptr<Store>> Store::open(const std::filesystem::path& state_dir,
                                                  Post post_to_loop, Options options) {
  if (const auto ready = prepare_directory(state_dir); !ready) {
    return tl::unexpected(ready.error());
  }
  const std::filesystem::path file = state_dir / kFileName;
  auto database = open_current(file, migrations());
  if (!database) return tl::unexpected(database.error());

  auto parts = std::make_unique<Parts>();
  parts->post = std::move(post_to_loop);
  parts->options = std::move(options);
  auto reader = Reader::open(file);
  if (!reader) return tl::unexpected(reader.error());
  parts->reader = std::move(*reader);
  const auto batches = parts->reader->batches();
  if (!batches) return tl::unexpected(batches.error());
  for (const BatchRow& row : *batches) {
    parts->names.insert(row.name);
    parts->last_id = std::max(parts->last_id, row.id);
  }
  {
    Statement rows(**database, "SELECT key, value FROM kept");
    for (auto row = rows.step(); row && *row; row = rows.step()) {
      parts->kept.emplace(rows.text(0), rows.text(1));
    }
  }

  std::unique_ptr<Store> store(new Store(std::move(parts)));
  Parts& made = *store->parts_;
  made.asker = std::make_unique<Asker>(file, made.post);
  Writer::Events events;
  events.durable = [post = made.post,
                    alive = made.alive](std::vector<std::function<void()>> durable) {
    post([alive, durable = std::move(durable)] {
      for (const auto& done : durable) {
        if (*alive) done();
      }
    });
  };
  events.trouble = [post = made.post, alive = made.alive, self = store.get()](bool failing,
                                                                              std::string why) {
    post([alive, self, failing, why = std::move(why)] {
      if (*alive && self->on_trouble) self->on_trouble(failing, why);
    });
  };
  events.before_commit = [delay = delay_for_tests(),
                          hook = made.options.before_commit]() -> std::optional<std::string> {
    if (delay.count() > 0) std::this_thread::sleep_for(delay);
    return hook ? hook() : std::nullopt;
  };
  made.writer =
      std::make_unique<Writer>(std::move(*database), std::move(events), made.options.retry);
  return store;
}

std::string Store::next_batch_name(std::int64_t utc_ms) const {
  const std::string date = date_of(utc_ms);
  for (int ordinal = 1;; ++ordinal) {
    std::string name = date + "-" + std::to_string(ordinal);
    if (!parts_->names.contains(name)) return name;
  }
}

proto::Result<std::int64_t> Store::new_batch(std::string name, std::string formula,
                                             std::int64_t started_utc_ms) {
  if (name.empty() || !parts_->names.insert(name).second) {
    return proto::trouble("there is a batch of this name already", name, "choose another name");
  }
  BatchRow row;
  row.id = ++parts_->last_id;
  row.name = std::move(name);
  row.formula = std::move(formula);
  row.state = "idle";
  row.started_utc_ms = started_utc_ms;
  parts_->unopened.emplace(row.id, std::move(row));
  return parts_->last_id;
}

bool Store::append(Step&& step, std::function<void()> durable) {
  Job job;
  job.bytes = bytes_of(step);
  // One step is always taken, however large: else nothing could ever go on.
  const std::size_t waiting = parts_->writer->waiting_bytes();
  if (waiting > 0 && waiting + job.bytes > parts_->options.most_waiting_bytes) return false;
  if (auto found = parts_->unopened.extract(step.batch)) job.opens = std::move(found.mapped());
  job.step = std::move(step);
  job.durable = std::move(durable);
  parts_->writer->add(std::move(job));
  return true;
}

std::size_t Store::waiting_bytes() const { return parts_->writer->waiting_bytes(); }
std::size_t Store::waiting() const { return parts_->writer->waiting(); }

std::optional<std::string> Store::kept(std::string_view key) const {
  const auto found = parts_->kept.find(key);
  if (found == parts_->kept.end()) return std::nullopt;
  return found->second;
}

std::map<std::string, std::string> Store::kept_under(std::string_view prefix) const {
  std::map<std::string, std::string> found;
  for (auto at = parts_->kept.lower_bound(prefix);
       at != parts_->kept.end() && at->first.starts_with(prefix); ++at) {
    found.insert(*at);
  }
  return found;
}

void Store::keep(std::string key, std::string value) {
  parts_->kept.insert_or_assign(key, value);
  Job job;
  job.bytes = sizeof(Job) + key.size() + value.size();
  job.keep.emplace(std::move(key), std::move(value));
  parts_->writer->add(std::move(job));
}

void Store::forget(std::string key) {
  parts_->kept.erase(key);
  Job job;
  job.bytes = sizeof(Job) + key.size();
  job.keep.emplace(std::move(key), std::nullopt);
  parts_->writer->add(std::move(job));
}

Reader& Store::reader() { return *parts_->reader; }

void Store::read(std::function<std::function<void()>(Reader&)> job) {
  parts_->asker->add([job = std::move(job), alive = parts_->alive](Reader& reader) {
    return [alive, answer = job(reader)] {
      if (*alive && answer) answer();
    };
  });
}

bool Store::drain(std::chrono::milliseconds longest) { return parts_->writer->drain(longest); }

}  // namespace maslin::store
