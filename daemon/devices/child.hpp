// A child process with one end of a socket pair, watched by descriptors alone: no SIGCHLD, no pid
// that could be somebody else's by the time it is used. Used by plugin_process.cpp.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "proto/trouble.hpp"

namespace maslin::devices {

class Child {
 public:
  // Starts the program with this process's environment, its standard output and error, and the far
  // end of a new SOCK_SEQPACKET pair as descriptor `link_fd`.
  static constexpr int link_fd = 3;
  static proto::Result<Child> start(const std::filesystem::path& program,
                                    const std::vector<std::string>& arguments);
  Child(Child&& other) noexcept;
  Child& operator=(Child&&) = delete;
  ~Child();  // kills and reaps it if it still runs

  // Readable once the process has ended. Stays owned by the child.
  int pid_fd() const { return pid_fd_; }
  // Hands out the near end of the pair, once.
  int take_link();
  void signal(int number) const;
  // How it ended ("exited with status 1", "killed by signal 11 (Segmentation fault)", "ended,
  // nobody knows how" where another has reaped it); empty while it runs.
  std::optional<std::string> reap();

 private:
  Child(int pid_fd, int link) : pid_fd_(pid_fd), link_(link) {}
  int pid_fd_;
  int link_;
};

}  // namespace maslin::devices
