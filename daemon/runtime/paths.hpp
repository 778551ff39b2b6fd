// Where the daemon keeps things and how it makes sure that it is alone there. Called by main.cpp.
#pragma once

#include <filesystem>
#include <memory>
#include <string>

#include "proto/trouble.hpp"

namespace maslin::runtime {

// $XDG_STATE_HOME/maslin, ~/.local/state/maslin, or /var/lib/maslin for root and systemd
// ($STATE_DIRECTORY).
std::filesystem::path default_state_dir();
// $MASLIN_SOCKET, $XDG_RUNTIME_DIR/maslin/socket, else /run/maslin/socket.
std::filesystem::path default_socket();

// Held for as long as the daemon runs; the lock goes with the process, however it ends. It is on
// the directory, so that removing the file in it, which names the holder, lets nobody in.
class StateLock {
 public:
  // Makes the directory (mode 0750) where it is missing. Trouble: not writable, or another daemon
  // has it, with its pid.
  static proto::Result<StateLock> take(const std::filesystem::path& state_dir);
  ~StateLock();
  StateLock(StateLock&& other) noexcept;
  StateLock& operator=(StateLock&&) = delete;
  StateLock(const StateLock&) = delete;

 private:
  StateLock(int directory, int file) : directory_(directory), file_(file) {}
  int directory_;
  int file_;
};

}  // namespace maslin::runtime
