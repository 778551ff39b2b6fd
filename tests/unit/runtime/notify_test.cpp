// What passes between a service manager and the daemon; sd_notify(3), sd_listen_fds(3).
#include "daemon/runtime/notify.hpp"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <cstdlib>
#include <cstring>
#include <string>

namespace maslin::runtime {
namespace {

// A service manager's end; the name of an abstract socket begins with @.
class Manager {
 public:
  explicit Manager(const std::string& name) {
    fd_ = socket(AF_UNIX, SOCK_DGRAM, 0);
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    name.copy(address.sun_path, name.size());
    if (name[0] == '@') address.sun_path[0] = '\0';
    const auto size = static_cast<socklen_t>(offsetof(sockaddr_un, sun_path) + name.size());
    EXPECT_EQ(bind(fd_, reinterpret_cast<const sockaddr*>(&address), size), 0);
    setenv("NOTIFY_SOCKET", name.c_str(), 1);
  }
  ~Manager() {
    close(fd_);
    unsetenv("NOTIFY_SOCKET");
  }
  Manager(const Manager&) = delete;
  Manager& operator=(const Manager&) = delete;
  std::string heard() const {
    char text[64] = {};
    const auto size = recv(fd_, text, sizeof(text), MSG_DONTWAIT);
    return size > 0 ? std::string(text, static_cast<std::size_t>(size)) : "";
  }

 private:
  int fd_ = -1;
};

TEST(Notify, ReachesAFileAndAnAbstractName) {
  const std::string file = testing::TempDir() + "maslin_notify_" + std::to_string(getpid());
  {
    const Manager manager(file);
    notify("READY=1");
    EXPECT_EQ(manager.heard(), "READY=1");
  }
  unlink(file.c_str());
  const Manager manager("@maslin_notify_" + std::to_string(getpid()));
  notify("STOPPING=1");
  EXPECT_EQ(manager.heard(), "STOPPING=1");
}

TEST(Notify, IsNothingWhereNobodyListens) {
  unsetenv("NOTIFY_SOCKET");
  notify("READY=1");
  setenv("NOTIFY_SOCKET", "/nowhere/at/all", 1);
  notify("READY=1");
  setenv("NOTIFY_SOCKET", std::string(300, 'x').c_str(), 1);
  notify("READY=1");
  unsetenv("NOTIFY_SOCKET");
}

TEST(HandedSocket, IsTakenOnceAndOnlyByWhomItIsMeantFor) {
  EXPECT_FALSE(handed_socket().has_value());
  setenv("LISTEN_FDS", "1", 1);
  setenv("LISTEN_PID", std::to_string(getpid() + 1).c_str(), 1);
  EXPECT_FALSE(handed_socket().has_value());
  EXPECT_EQ(std::getenv("LISTEN_FDS"), nullptr);

  const int before = dup(3);             // whatever the test program has there
  ASSERT_GE(dup2(STDERR_FILENO, 3), 0);  // no socket: whoever handed it over is mistaken
  setenv("LISTEN_FDS", "1", 1);
  setenv("LISTEN_PID", std::to_string(getpid()).c_str(), 1);
  EXPECT_FALSE(handed_socket().has_value());

  const int listening = socket(AF_UNIX, SOCK_STREAM, 0);
  const sockaddr_un unnamed{AF_UNIX, {}};
  ASSERT_EQ(bind(listening, reinterpret_cast<const sockaddr*>(&unnamed), sizeof(sa_family_t)), 0);
  ASSERT_EQ(listen(listening, 1), 0);
  ASSERT_GE(dup2(listening, 3), 0);
  if (listening != 3) close(listening);
  setenv("LISTEN_FDS", "1", 1);
  setenv("LISTEN_PID", std::to_string(getpid()).c_str(), 1);
  EXPECT_EQ(handed_socket(), 3);
  EXPECT_NE(fcntl(3, F_GETFD) & FD_CLOEXEC, 0);
  EXPECT_FALSE(handed_socket().has_value());
  close(3);
  if (before >= 0) {
    dup2(before, 3);
    close(before);
  }
}

}  // namespace
}  // namespace maslin::runtime
