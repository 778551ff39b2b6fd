// spdlog behind four functions. Lines are formatted where they are logged and written by a thread
// of our own: spdlog's wakes every ten seconds for nothing.
#include "daemon/runtime/log.hpp"

#include <poll.h>
#include <spdlog/sinks/base_sink.h>
#include <spdlog/spdlog.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <condition_variable>
#include <deque>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <thread>
#include <utility>

namespace maslin::runtime::log {
namespace {

constexpr std::size_t most_waiting = 1024;            // lines; the oldest are dropped then
constexpr auto last_words = std::chrono::seconds(1);  // for what waits when the daemon ends

// What the thread and the logger share. The thread may outlive the logger: it may be blocked in a
// standard error that nobody reads, and the daemon must end all the same.
struct Waiting {
  std::mutex mutex;
  std::condition_variable wake;
  std::condition_variable done;
  std::deque<std::string> lines;
  std::size_t left_out = 0;
  bool stop = false;
  bool ended = false;
};

// By write(2): a stream's lock would be held while it blocks.
void put(const std::string& line) {
  std::string_view rest = line;
  while (!rest.empty()) {
    const auto size = ::write(STDERR_FILENO, rest.data(), rest.size());
    if (size < 0 && errno == EINTR) continue;
    if (size < 0 && errno == EAGAIN) {  // somebody else has made it non-blocking
      pollfd room{STDERR_FILENO, POLLOUT, 0};
      (void)poll(&room, 1, -1);
      continue;
    }
    if (size <= 0) return;
    rest.remove_prefix(static_cast<std::size_t>(size));
  }
}

void write_out(const std::shared_ptr<Waiting>& waiting) {
  std::unique_lock lock(waiting->mutex);
  for (;;) {
    waiting->wake.wait(lock, [&] { return waiting->stop || !waiting->lines.empty(); });
    if (waiting->lines.empty()) break;
    std::string line = std::move(waiting->lines.front());
    waiting->lines.pop_front();
    if (const auto left_out = std::exchange(waiting->left_out, 0); left_out > 0) {
      line = std::to_string(left_out) + " lines of this log are left out\n" + line;
    }
    lock.unlock();
    put(line);
    lock.lock();
  }
  waiting->ended = true;
  waiting->done.notify_all();
}

// Only a blocked standard error blocks the thread, never who logs.
class Later final : public spdlog::sinks::base_sink<spdlog::details::null_mutex> {
 public:
  Later() { std::thread(write_out, waiting_).detach(); }
  ~Later() override {
    std::unique_lock lock(waiting_->mutex);
    waiting_->stop = true;
    waiting_->wake.notify_one();
    waiting_->done.wait_for(lock, last_words, [this] { return waiting_->ended; });
    waiting_->lines.clear();  // whoever reads at last must not hear of a daemon that is gone
  }

 private:
  void sink_it_(const spdlog::details::log_msg& message) override {
    spdlog::memory_buf_t text;
    const std::lock_guard lock(waiting_->mutex);
    formatter_->format(message, text);
    if (waiting_->lines.size() == most_waiting) {
      waiting_->lines.pop_front();
      ++waiting_->left_out;
    }
    waiting_->lines.emplace_back(text.data(), text.size());
    waiting_->wake.notify_one();
  }
  void flush_() override {}

  std::shared_ptr<Waiting> waiting_ = std::make_shared<Waiting>();
};

spdlog::level::level_enum level_of(Level level) {
  switch (level) {
    case Level::debug:
      return spdlog::level::debug;
    case Level::info:
      return spdlog::level::info;
    case Level::warning:
      return spdlog::level::warn;
    case Level::error:
      return spdlog::level::err;
  }
  return spdlog::level::info;
}

}  // namespace

void begin(Level least) {
  auto logger = std::make_shared<spdlog::logger>("maslind", std::make_shared<Later>());
  logger->set_pattern("%Y-%m-%dT%H:%M:%S.%e %l %v");
  logger->set_level(level_of(least));
  spdlog::set_default_logger(std::move(logger));
}

void end() { spdlog::shutdown(); }

void write(Level level, std::string_view text) {
  auto* logger = spdlog::default_logger_raw();
  if (logger == nullptr || !logger->should_log(level_of(level))) return;
  std::string clean(text);
  for (std::size_t i = 0; i < clean.size(); ++i) {
    const auto byte = static_cast<unsigned char>(clean[i]);
    if (byte < 0x20 || byte == 0x7f) clean[i] = ' ';
    // U+0080 to U+009F are controls too, in two bytes.
    if (byte == 0xC2 && i + 1 < clean.size() && static_cast<unsigned char>(clean[i + 1]) < 0xA0) {
      clean[i] = clean[i + 1] = ' ';
    }
  }
  logger->log(level_of(level), "{}", clean);
}

}  // namespace maslin::runtime::log
