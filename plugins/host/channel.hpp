// The host's end of the link to the daemon: whole packets over a SOCK_SEQPACKET socket. Used by
// host.cpp alone. Once the daemon is gone everything sent is dropped and nothing comes any more.
#pragma once

#include <optional>
#include <vector>

#include "proto/link.hpp"

namespace maslin::host {

class Channel {
 public:
  explicit Channel(int fd);  // takes the descriptor
  ~Channel();
  Channel(Channel&& other) noexcept;
  Channel(const Channel&) = delete;
  Channel& operator=(const Channel&) = delete;

  // Waits where the daemon is behind with reading: a flood is slowed down here.
  void send(const proto::link::Packet& packet);
  // Waits for the very first packet; empty where the daemon is gone, or where it cannot be read: a
  // daemon of another version, which no later packet would make another.
  std::optional<proto::link::Packet> first();
  // The next packet that is there; empty where none is, or the daemon is gone.
  std::optional<proto::link::Packet> receive();
  // Waits for the next packet; empty where the daemon is gone.
  std::optional<proto::link::Packet> wait();

  int fd() const { return fd_; }
  bool gone() const { return gone_; }

 private:
  // Size of the packet that is in the buffer then; empty where none is, or the daemon is gone.
  std::optional<std::size_t> fetch(int flags);
  std::optional<proto::link::Packet> receive(int flags);
  int fd_;
  bool gone_ = false;
  std::vector<std::byte> buffer_;
};

}  // namespace maslin::host
