// Where things are, and that only one daemon works there.
#include <gmock/gmock.h>
#include <unistd.h>

#include <cstdlib>
#include <fstream>

#include "daemon/runtime/clock.hpp"
#include "daemon/runtime/paths.hpp"
#include "tests/scratch.hpp"

namespace maslin::runtime {
namespace {

using testing::HasSubstr;

class Lock : public testing::Test {
 protected:
  const test::Scratch scratch;
  const std::filesystem::path directory = scratch.path();
};

TEST_F(Lock, MakesTheDirectoryForItsGroupToRead) {
  const auto state = directory / "a/b";
  const auto lock = StateLock::take(state);
  ASSERT_TRUE(lock.has_value()) << proto::line(lock.error());
  using std::filesystem::perms;
  EXPECT_EQ(std::filesystem::status(state).permissions(),
            perms::owner_all | perms::group_read | perms::group_exec);
}

TEST_F(Lock, IsForOneAndNamesHim) {
  {
    const auto first = StateLock::take(directory);
    ASSERT_TRUE(first.has_value());
    const auto second = StateLock::take(directory);
    ASSERT_FALSE(second.has_value());
    EXPECT_THAT(second.error().what, HasSubstr("process " + std::to_string(getpid())));
    EXPECT_EQ(second.error().where, directory.string());
  }
  EXPECT_TRUE(StateLock::take(directory).has_value());
}

TEST_F(Lock, StandsWhenTheFileInTheDirectoryIsRemoved) {
  const auto first = StateLock::take(directory);
  ASSERT_TRUE(first.has_value());
  std::filesystem::remove(directory / "lock");
  const auto second = StateLock::take(directory);
  ASSERT_FALSE(second.has_value());
  EXPECT_THAT(second.error().what, HasSubstr("another maslind works here"));
}

TEST_F(Lock, SaysWhereItCannotWrite) {
  std::ofstream(directory / "file") << "mine";
  const auto lock = StateLock::take(directory / "file");
  ASSERT_FALSE(lock.has_value());
  EXPECT_THAT(proto::line(lock.error()), HasSubstr("--state"));
}

TEST(Places, ComeFromTheEnvironmentTheNearestFirst) {
  setenv("XDG_RUNTIME_DIR", "/run/user/1", 1);
  unsetenv("MASLIN_SOCKET");
  EXPECT_EQ(default_socket(), "/run/user/1/maslin/socket");
  setenv("MASLIN_SOCKET", "/tmp/s", 1);
  EXPECT_EQ(default_socket(), "/tmp/s");
  unsetenv("MASLIN_SOCKET");
  unsetenv("XDG_RUNTIME_DIR");
  EXPECT_EQ(default_socket(), "/run/maslin/socket");
  setenv("STATE_DIRECTORY", "/var/lib/elsewhere", 1);
  EXPECT_EQ(default_state_dir(), "/var/lib/elsewhere");
  unsetenv("STATE_DIRECTORY");
}

TEST(SimulatedTime, StandsStillUntilItIsMovedAndNeverGoesBack) {
  SimulatedClock clock;
  const auto begin = clock.utc_ms();
  EXPECT_EQ(begin, 1'767'254'400'000);  // 2026-01-01T08:00:00Z
  clock.move_to(1500);
  clock.move_to(900);
  EXPECT_EQ(clock.now_ms(), 1500);
  EXPECT_EQ(clock.utc_ms(), begin + 1500);
}

}  // namespace
}  // namespace maslin::runtime
