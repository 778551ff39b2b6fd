// spdlog behind four functions. Lines are formatted where they are logged and written by a thread
// of our own: spdlog's wakes every ten seconds for nothing.
#include "daemon/runtime/log.hpp"

#include <spdlog/sinks/base_sink.h>
#include <spdlog/spdlog.h>

#include <condition_variable>
#include <cstdio>
#include <deque>
#include <memory>
#include <mutex>
#include <string>
#include <thread>

namespace maslin::runtime::log {
namespace {

constexpr std::size_t most_waiting = 1024;  // lines; the oldest are dropped then

// Only a blocked standard error blocks the thread, never who logs.
class Later final : public spdlog::sinks::base_sink<spdlog::details::null_mutex> {
 public:
  Later() : thread_([this] { work(); }) {}
  ~Later() override {
    {
      const std::lock_guard lock(lines_mutex_);
      stop_ = true;
    }
    wake_.notify_one();
    thread_.join();
  }

 private:
  void sink_it_(const spdlog::details::log_msg& message) override {
    spdlog::memory_buf_t text;
    const std::lock_guard lock(lines_mutex_);
    formatter_->format(message, text);
    if (lines_.size() == most_waiting) lines_.pop_front();
    lines_.emplace_back(text.data(), text.size());
    wake_.notify_one();
  }
  void flush_() override {}

  void work() {
    std::unique_lock lock(lines_mutex_);
    for (;;) {
      wake_.wait(lock, [this] { return stop_ || !lines_.empty(); });
      if (lines_.empty()) return;
      const std::string line = std::move(lines_.front());
      lines_.pop_front();
      lock.unlock();
      std::fwrite(line.data(), 1, line.size(), stderr);
      lock.lock();
    }
  }

  std::mutex lines_mutex_;
  std::condition_variable wake_;
  std::deque<std::string> lines_;
  bool stop_ = false;
  std::thread thread_;  // last: everything above is there when it starts
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
  for (char& c : clean) {
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) c = ' ';
  }
  logger->log(level_of(level), "{}", clean);
}

}  // namespace maslin::runtime::log
