// Listening, accepting, publishing.
#include "daemon/rpc/server.hpp"

#include <sys/socket.h>
#include <sys/stat.h>

#include <cerrno>
#include <chrono>
#include <system_error>
#include <utility>
#include <vector>

#include "daemon/rpc/connection.hpp"
#include "daemon/runtime/log.hpp"
#include "daemon/runtime/notify.hpp"
#include "proto/json.hpp"

namespace maslin::rpc {
namespace {

constexpr std::size_t most_connections = 64;

// A socket file that is left over refuses every connection.
bool somebody_listens(const std::filesystem::path& path) {
  asio::io_context unused;
  asio::local::stream_protocol::socket socket(unused, asio::local::stream_protocol());
  asio::error_code fault;
  socket.native_non_blocking(true, fault);  // one whose queue is full must not hold us up
  const asio::local::stream_protocol::endpoint endpoint(path.string());
  const int made =
      ::connect(socket.native_handle(), endpoint.data(), static_cast<socklen_t>(endpoint.size()));
  return made == 0 || errno == EAGAIN;
}

}  // namespace

Server::Server(asio::io_context& io, House& house)
    : io_(io), house_(house), acceptor_(io), accept_timer_(io) {}
Server::~Server() { close(); }

proto::Result<void> Server::listen(const std::filesystem::path& socket) {
  asio::error_code fault;
  if (const auto handed = runtime::handed_socket()) {
    acceptor_.assign(asio::local::stream_protocol(), *handed, fault);
  } else {
    std::error_code made;
    std::filesystem::create_directories(socket.parent_path(), made);
    struct stat known {};
    if (lstat(socket.c_str(), &known) == 0) {
      if (!S_ISSOCK(known.st_mode)) {
        return proto::trouble("something else than a socket is there", socket.string(),
                              "give another path with --socket");
      }
      if (somebody_listens(socket)) {
        return proto::trouble("another daemon listens there", socket.string(),
                              "stop it, or give another path with --socket");
      }
      std::filesystem::remove(socket, made);
    }
    try {
      const asio::local::stream_protocol::endpoint endpoint(socket.string());
      acceptor_.open(endpoint.protocol(), fault);
      const mode_t before = umask(0117);  // owner and group
      if (!fault) acceptor_.bind(endpoint, fault);
      umask(before);
      if (!fault) acceptor_.listen(asio::socket_base::max_listen_connections, fault);
    } catch (const std::system_error& too_long) {
      return proto::trouble(too_long.what(), socket.string(), "give a shorter path with --socket");
    }
    if (!fault) {
      socket_ = socket;
      if (lstat(socket.c_str(), &known) == 0) socket_inode_ = {known.st_dev, known.st_ino};
    }
  }
  if (fault) {
    return proto::trouble("the socket cannot be opened: " + fault.message(), socket.string(),
                          "give a path that can be written with --socket");
  }
  accept();
  return {};
}

void Server::accept() {
  acceptor_.async_accept(
      [this](const asio::error_code& fault, asio::local::stream_protocol::socket socket) {
        if (fault == asio::error::operation_aborted) return;
        if (fault) {
          runtime::log::warning("a connection failed: " + fault.message());
          accept_later();
          return;
        }
        if (connections_.size() < most_connections) {
          auto connection = std::make_shared<Connection>(*this, std::move(socket));
          connections_.insert(connection);
          connection->start();
        } else {
          refuse(socket);
        }
        accept();
      });
}

// Without file descriptors the next accept fails at once as well.
void Server::accept_later() {
  accept_timer_.expires_after(std::chrono::milliseconds(200));
  accept_timer_.async_wait([this](const asio::error_code& fault) {
    if (!fault) accept();
  });
}

// One line fits into a new socket without waiting.
void Server::refuse(asio::local::stream_protocol::socket& socket) {
  const proto::Trouble trouble{"too many clients are connected", "", "end one of them"};
  asio::error_code ignored;
  socket.non_blocking(true, ignored);
  socket.write_some(asio::buffer(proto::write_event("farewell", proto::to_json(trouble))), ignored);
}

void Server::close() {
  asio::error_code ignored;
  acceptor_.close(ignored);
  accept_timer_.cancel();
  const std::vector<std::shared_ptr<Connection>> all(connections_.begin(), connections_.end());
  for (const auto& connection : all) {
    connection->farewell({"the daemon ends", "", "connect again when it runs"});
  }
  struct stat known {};
  // Another daemon may have put its own socket there meanwhile.
  if (!socket_.empty() && lstat(socket_.c_str(), &known) == 0 &&
      socket_inode_ == std::pair{known.st_dev, known.st_ino}) {
    std::error_code removed;
    std::filesystem::remove(socket_, removed);
  }
  socket_.clear();
}

void Server::forget(const std::shared_ptr<Connection>& connection) {
  connections_.erase(connection);
}

void Server::entry(const std::string&, const std::string& text) {
  const std::vector<std::shared_ptr<Connection>> all(connections_.begin(), connections_.end());
  const std::string event = proto::write_event("entry", text);
  for (const auto& connection : all) connection->publish_entry(event);
}

void Server::progress(const std::string&, const std::string& text) {
  const std::vector<std::shared_ptr<Connection>> all(connections_.begin(), connections_.end());
  const std::string event = proto::write_event("progress", text);
  for (const auto& connection : all) connection->publish_progress(event);
}

}  // namespace maslin::rpc
