// How a child process ended, whoever else may have taken the news of it.
#include "daemon/devices/child.hpp"

#include <gtest/gtest.h>
#include <poll.h>

#include <csignal>

namespace maslin::devices {
namespace {

void wait_for(const Child& child) {
  pollfd ended{child.pid_fd(), POLLIN, 0};
  ASSERT_EQ(::poll(&ended, 1, 30'000), 1);
}

TEST(Child, SaysHowItEnded) {
  auto good = Child::start("/bin/sh", {"-c", "exit 3"});
  ASSERT_TRUE(good);
  wait_for(*good);
  EXPECT_EQ(good->reap(), "exited with status 3");
  auto killed = Child::start("/bin/sh", {"-c", "kill -9 $$"});
  ASSERT_TRUE(killed);
  wait_for(*killed);
  EXPECT_EQ(killed->reap(), "killed by signal 9 (Killed)");
}

TEST(Child, StillRunsUntilItHasEnded) {
  auto child = Child::start("/bin/sh", {"-c", "exec sleep 60"});
  ASSERT_TRUE(child);
  EXPECT_EQ(child->reap(), std::nullopt);
  child->signal(SIGKILL);
  wait_for(*child);
  EXPECT_TRUE(child->reap());
}

// Where SIGCHLD is ignored the kernel reaps, and waitid finds no child: that is an end.
TEST(Child, OneThatWasReapedBySomebodyElseHasEnded) {
  const auto before = std::signal(SIGCHLD, SIG_IGN);
  // It lives until it can be watched: one that the kernel had reaped before could not be.
  auto child = Child::start("/bin/sh", {"-c", "exec sleep 60"});
  ASSERT_TRUE(child);
  child->signal(SIGKILL);
  wait_for(*child);
  EXPECT_EQ(child->reap(), "ended, nobody knows how");
  std::signal(SIGCHLD, before);
}

}  // namespace
}  // namespace maslin::devices
