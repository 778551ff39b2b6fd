// One client: lines in, calls answered, events out. Private to rpc/.
#pragma once

#include <array>
#include <asio/local/stream_protocol.hpp>
#include <asio/steady_timer.hpp>
#include <memory>
#include <string>

#include "daemon/rpc/methods.hpp"
#include "daemon/rpc/outbox.hpp"

namespace maslin::rpc {

class Server;

class Connection final : public std::enable_shared_from_this<Connection> {
 public:
  Connection(Server& server, asio::local::stream_protocol::socket socket);
  void start();
  // The whole line of an event, encoded once for all who listen.
  void publish_entry(const std::string& event);
  void publish_progress(const std::string& event);
  // Says why and closes once that is sent, or after a while if the client does not read.
  void farewell(const proto::Trouble& trouble);

 private:
  void read();
  void leave(bool orderly);
  void close_when_done();
  void take_line(std::string_view line);
  void call(const proto::RpcCall& call);
  void subscribe(const std::string& id);
  void answer(const std::string& id, const Answer& answer);
  void send(std::string line);
  void flush();
  void close();

  Server& server_;
  asio::local::stream_protocol::socket socket_;
  asio::steady_timer last_moment_;  // of a client that has been told farewell
  std::array<char, 16384> chunk_{};
  std::string partial_;  // a line that is not complete yet
  Outbox outbox_;
  std::string sending_;
  std::size_t open_calls_ = 0;  // not answered yet
  bool reading_ = false;
  bool may_act_ = false;
  bool greeted_ = false;
  bool subscribed_ = false;
  bool leaving_ = false;  // the client sends no more
  bool closing_ = false;  // nothing more is said to it
};

}  // namespace maslin::rpc
