// The log: lines in order on standard error, control characters replaced, nobody held up.
#include <fcntl.h>
#include <gmock/gmock.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <string>
#include <thread>
#include <vector>

#include "daemon/runtime/log.hpp"

namespace maslin::runtime::log {
namespace {

using testing::HasSubstr;
using testing::Not;

TEST(Log, WritesWhatIsImportantEnoughInOrder) {
  testing::internal::CaptureStderr();
  begin(Level::warning);
  info("unheard");
  warning("first\x1b[31m line\nwith a break");
  error("second {} {0}");
  end();
  const std::string text = testing::internal::GetCapturedStderr();
  EXPECT_THAT(text, Not(HasSubstr("unheard")));
  EXPECT_THAT(text, HasSubstr("warning first [31m line with a break\n"));
  EXPECT_LT(text.find("first"), text.find("error second {} {0}\n"));
  error("after the end");  // nobody hears it, and nothing breaks
}

TEST(Log, TakesLinesFromManyThreads) {
  testing::internal::CaptureStderr();
  begin(Level::info);
  std::array<std::thread, 4> threads;
  for (auto& thread : threads) {
    thread = std::thread([] {
      for (int n = 0; n < 100; ++n) info("line");
    });
  }
  for (auto& thread : threads) thread.join();
  end();
  const std::string text = testing::internal::GetCapturedStderr();
  EXPECT_EQ(std::count(text.begin(), text.end(), '\n'), 400);
}

TEST(Log, ABlockedStandardErrorHoldsNobodyUp) {
  int ends[2];
  ASSERT_EQ(pipe(ends), 0);
  const int before = dup(STDERR_FILENO);
  dup2(ends[1], STDERR_FILENO);
  begin(Level::info);
  const std::string line(1000, 'x');
  for (int i = 0; i < 5000; ++i) info(line);  // a pipe holds 64 KiB; this comes back all the same
  std::thread reads([&] {
    std::vector<char> bytes(1 << 16);
    while (read(ends[0], bytes.data(), bytes.size()) > 0) {
    }
  });
  end();
  dup2(before, STDERR_FILENO);
  close(before);
  close(ends[1]);
  reads.join();
  close(ends[0]);
}

}  // namespace
}  // namespace maslin::runtime::log
