// The connection to the daemon: finds out why there is none, calls methods, and brings events for
// follow.
#pragma once

#include <asio/io_context.hpp>
#include <asio/local/stream_protocol.hpp>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <string_view>

#include "proto/rpc.hpp"
#include "proto/trouble.hpp"

namespace maslin::client {

class Wire {
 public:
  // Connects and says hello. The trouble says which of "no daemon" and "no permission" it is and
  // gives the one command that mends it; or that the daemon speaks another version.
  static proto::Result<std::unique_ptr<Wire>> connect(const std::filesystem::path& socket);

  // A new connection to where this one went; for who goes on after it ended.
  proto::Result<std::unique_ptr<Wire>> again() const { return connect(path_); }

  // Calls and waits. The result is JSON text.
  tl::expected<std::string, proto::RpcFault> call(std::string_view method, std::string_view params);

  // For follow: sends without waiting; the answers come through listen() with this id.
  std::int64_t send(std::string_view method, std::string_view params);
  // Gives every message that comes while io() runs; once with a trouble when the connection ends.
  void listen(std::function<void(const proto::RpcMessage&)> message,
              std::function<void(const proto::Trouble&)> ended);
  asio::io_context& io() { return io_; }

 private:
  Wire() : socket_(io_) {}
  proto::Result<proto::RpcMessage> next();
  void read_on();

  std::filesystem::path path_;
  asio::io_context io_;
  asio::local::stream_protocol::socket socket_;
  std::string buffer_;
  std::int64_t last_id_ = 0;
  std::function<void(const proto::RpcMessage&)> message_;
  std::function<void(const proto::Trouble&)> ended_;
};

}  // namespace maslin::client
