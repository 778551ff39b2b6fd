#include "plugins/host/channel.hpp"

#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <utility>

namespace maslin::host {

namespace link = proto::link;

Channel::Channel(int fd) : fd_(fd), buffer_(link::largest_packet) {}

Channel::Channel(Channel&& other) noexcept
    : fd_(std::exchange(other.fd_, -1)), gone_(other.gone_), buffer_(std::move(other.buffer_)) {}

Channel::~Channel() {
  if (fd_ >= 0) ::close(fd_);
}

void Channel::send(const link::Packet& packet) {
  if (gone_) return;
  const auto bytes = link::encode(packet);
  while (::send(fd_, bytes.data(), bytes.size(), MSG_NOSIGNAL) < 0) {
    if (errno == EINTR) continue;
    gone_ = true;
    return;
  }
}

std::optional<link::Packet> Channel::receive() { return receive(MSG_DONTWAIT); }
std::optional<link::Packet> Channel::wait() { return receive(0); }

std::optional<link::Packet> Channel::first() {
  const auto size = fetch(0);
  if (!size) return std::nullopt;
  auto packet = link::decode(std::span(buffer_).first(*size));
  if (!packet) return std::nullopt;
  return std::move(*packet);
}

std::optional<link::Packet> Channel::receive(int flags) {
  while (const auto size = fetch(flags)) {
    auto packet = link::decode(std::span(buffer_).first(*size));
    if (packet) return std::move(*packet);
    // Of a newer daemon; the versions were compared with the first packet.
  }
  return std::nullopt;
}

std::optional<std::size_t> Channel::fetch(int flags) {
  while (!gone_) {
    const auto size = ::recv(fd_, buffer_.data(), buffer_.size(), flags);
    if (size > 0) return static_cast<std::size_t>(size);
    if (size < 0 && errno == EINTR) continue;
    if (size < 0 && (errno == EAGAIN || errno == EWOULDBLOCK)) return std::nullopt;
    gone_ = true;
  }
  return std::nullopt;
}

}  // namespace maslin::host
