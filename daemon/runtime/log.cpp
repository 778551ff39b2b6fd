// spdlog behind four functions.
#include "daemon/runtime/log.hpp"

#include <spdlog/async.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

#include <memory>
#include <string>

namespace maslin::runtime::log {
namespace {

constexpr std::size_t most_waiting = 1024;  // lines; the oldest are dropped then

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
  spdlog::init_thread_pool(most_waiting, 1);
  auto sink = std::make_shared<spdlog::sinks::stderr_sink_mt>();
  auto logger =
      std::make_shared<spdlog::async_logger>("maslind", std::move(sink), spdlog::thread_pool(),
                                             spdlog::async_overflow_policy::overrun_oldest);
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
