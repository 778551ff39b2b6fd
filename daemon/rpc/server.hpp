// The Unix socket: connections, calls and published events. Loop thread only; it never waits for a
// client.
#pragma once

#include <sys/types.h>

#include <asio/io_context.hpp>
#include <asio/local/stream_protocol.hpp>
#include <asio/steady_timer.hpp>
#include <filesystem>
#include <memory>
#include <set>
#include <string>
#include <utility>

#include "daemon/rpc/methods.hpp"

namespace maslin::rpc {

class Connection;

class Server final : public session::Listener {
 public:
  Server(asio::io_context& io, House& house);
  ~Server() override;
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;

  // Binds and listens; the directory is made where it is missing, the socket has mode 0660. The
  // state directory's lock must be held: a socket file that is left over is removed. Also takes a
  // listening socket that systemd hands over. Trouble: the path is too long, not writable, or no
  // socket.
  proto::Result<void> listen(const std::filesystem::path& socket);
  // Says farewell to everybody and takes no more.
  void close();

  void entry(const std::string& batch, const std::string& text) override;
  void progress(const std::string& batch, const std::string& text) override;

 private:
  friend class Connection;
  void accept();
  void accept_later();
  static void refuse(asio::local::stream_protocol::socket& socket);
  void forget(const std::shared_ptr<Connection>& connection);

  asio::io_context& io_;
  House& house_;
  asio::local::stream_protocol::acceptor acceptor_;
  asio::steady_timer accept_timer_;
  std::set<std::shared_ptr<Connection>> connections_;
  std::filesystem::path socket_;
  std::pair<dev_t, ino_t> socket_inode_{};  // ours, of the file there
};

}  // namespace maslin::rpc
