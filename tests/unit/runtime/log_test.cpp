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

// A pipe in the place of standard error, with nobody reading yet.
class BlockedError : public testing::Test {
 protected:
  void SetUp() override {
    ASSERT_EQ(pipe(ends_), 0);
    before_ = dup(STDERR_FILENO);
    dup2(ends_[1], STDERR_FILENO);
    begin(Level::info);
    const std::string line(1000, 'x');
    for (int i = 0; i < 5000; ++i) info(line);  // a pipe holds 64 KiB; this comes back all the same
  }
  void TearDown() override {
    dup2(before_, STDERR_FILENO);
    close(before_);
    close(ends_[1]);
    reader_.join();
    close(ends_[0]);
  }
  void begin_reading() {
    reader_ = std::thread([this] {
      std::vector<char> bytes(1 << 16);
      for (ssize_t size = 0; (size = read(ends_[0], bytes.data(), bytes.size())) > 0;) {
        text_.append(bytes.data(), static_cast<std::size_t>(size));
      }
    });
  }
  int ends_[2] = {-1, -1};
  int before_ = -1;
  std::thread reader_;
  std::string text_;
};

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

TEST_F(BlockedError, HoldsNobodyUpAndSaysHowMuchWasLeftOut) {
  begin_reading();
  end();
  dup2(before_, STDERR_FILENO);
  close(ends_[1]);
  reader_.join();
  EXPECT_THAT(text_, HasSubstr(" lines of this log are left out\n"));
  reader_ = std::thread([] {});
}

TEST_F(BlockedError, DoesNotKeepTheDaemonFromEnding) {
  end();  // comes back though nobody has read a line
  begin_reading();
}

}  // namespace
}  // namespace maslin::runtime::log
