// Lines, calls and queues of one client.
#include "daemon/rpc/connection.hpp"

#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <asio/write.hpp>
#include <chrono>
#include <utility>
#include <vector>

#include "daemon/rpc/server.hpp"
#include "proto/json.hpp"

namespace maslin::rpc {
namespace {

// A client that sends more calls than it waits for, or takes the answers too slowly, is not read
// from until it has caught up.
constexpr std::size_t most_open_calls = 32;
constexpr std::size_t most_waiting_answers = 64 * 1024;  // bytes

constexpr auto farewell_time = std::chrono::seconds(30);  // for a client that has yet to read it

// All groups of the other side but the one it runs under.
std::vector<gid_t> further_groups(int socket) {
  socklen_t size = 0;
  (void)getsockopt(socket, SOL_SOCKET, SO_PEERGROUPS, nullptr, &size);  // only asks for the size
  std::vector<gid_t> groups(size / sizeof(gid_t));
  if (groups.empty()) return groups;
  if (getsockopt(socket, SOL_SOCKET, SO_PEERGROUPS, groups.data(), &size) != 0) return {};
  return groups;
}

// Whoever runs the daemon, root, and the socket's group may act; who else got in may read.
bool peer_may_act(int socket) {
  ucred peer{};
  socklen_t size = sizeof(peer);
  if (getsockopt(socket, SOL_SOCKET, SO_PEERCRED, &peer, &size) != 0) return false;
  if (peer.uid == 0 || peer.uid == geteuid() || peer.gid == getegid()) return true;
  const auto groups = further_groups(socket);
  return std::find(groups.begin(), groups.end(), getegid()) != groups.end();
}

}  // namespace

Connection::Connection(Server& server, asio::local::stream_protocol::socket socket)
    : server_(server),
      socket_(std::move(socket)),
      last_moment_(socket_.get_executor()),
      may_act_(peer_may_act(socket_.native_handle())) {}

void Connection::start() { read(); }

void Connection::read() {
  if (reading_ || closing_ || leaving_ || open_calls_ >= most_open_calls ||
      outbox_.bytes() > most_waiting_answers) {
    return;
  }
  reading_ = true;
  socket_.async_read_some(
      asio::buffer(chunk_),
      [self = shared_from_this()](const asio::error_code& fault, std::size_t size) {
        if (fault) {
          self->leave(fault == asio::error::eof);
          return;
        }
        std::string_view rest(self->chunk_.data(), size);
        while (!rest.empty() && !self->closing_) {
          const auto end = rest.find('\n');
          if (end == std::string_view::npos) {
            self->partial_ += rest;
            break;
          }
          self->partial_ += rest.substr(0, end);
          rest.remove_prefix(end + 1);
          const std::string line = std::exchange(self->partial_, {});
          self->take_line(line);
        }
        if (self->partial_.size() >= proto::longest_message) {
          self->partial_.clear();
          self->farewell({"a line is longer than a mebibyte", "", "send smaller messages"});
        }
        self->reading_ = false;
        self->read();
      });
}

// The client sends no more. Where it only stopped sending, it still gets the answers it asked for.
void Connection::leave(bool orderly) {
  if (!orderly) {
    close();
    return;
  }
  leaving_ = true;
  subscribed_ = false;
  close_when_done();
}

void Connection::close_when_done() {
  const bool last = closing_ || (leaving_ && open_calls_ == 0);
  if (last && sending_.empty() && outbox_.empty()) close();
}

void Connection::take_line(std::string_view line) {
  if (line.empty()) return;
  const auto call = proto::read_call(line);
  if (!call) {
    send(proto::write_fault(call.error().id, call.error().fault));
    return;
  }
  this->call(*call);
}

void Connection::call(const proto::RpcCall& call) {
  const auto refuse = [&](proto::RpcCode code, std::string what, std::string todo) {
    answer(call.id, tl::unexpected<proto::RpcFault>(
                        proto::RpcFault{code, {{std::move(what), "", std::move(todo)}}}));
  };
  if (!greeted_ && call.method != "hello") {
    refuse(proto::RpcCode::invalid_request, "hello must be the first call",
           "call hello with the version of the wire");
    return;
  }
  if (call.method == "subscribe") {
    subscribe(call.id);
    return;
  }
  const auto* method = find_method(call.method);
  if (method == nullptr) {
    refuse(proto::RpcCode::method_not_found, "there is no method '" + call.method + "'",
           "proto/openrpc.json lists them");
    return;
  }
  if (method->acts && !may_act_) {
    refuse(proto::RpcCode::refused, "this user may only look", "join the group of the socket");
    return;
  }
  const bool hello = call.method == "hello";
  ++open_calls_;
  method->call(server_.house_, call.params,
               [self = shared_from_this(), id = call.id, hello](const Answer& answer) {
                 --self->open_calls_;
                 if (hello && answer) self->greeted_ = true;
                 self->answer(id, answer);
                 self->read();
                 self->close_when_done();
               });
}

// The whole state first, then the marker, then changes in the same shape as they come.
void Connection::subscribe(const std::string& id) {
  const std::string state = proto::to_json(server_.house_.session.status());
  answer(id, state);
  send(proto::write_event("whole_state", state));
  send(proto::write_event("current", "{}"));
  subscribed_ = true;
}

void Connection::answer(const std::string& id, const Answer& answer) {
  if (id.empty()) return;  // a notification gets no answer
  if (!answer) {
    send(proto::write_fault(id, answer.error()));
    return;
  }
  std::string line = proto::write_result(id, *answer);
  if (line.size() > proto::longest_message) {
    line = proto::write_fault(
        id, {proto::RpcCode::internal_error,
             {{"the answer is longer than a mebibyte", "", "ask for a part of it"}}});
  }
  send(std::move(line));
}

void Connection::publish_entry(const std::string& event) {
  if (subscribed_) send(event);
}

void Connection::publish_progress(const std::string& event) {
  if (!subscribed_ || closing_) return;
  outbox_.add_live(event);
  flush();
}

void Connection::send(std::string line) {
  if (closing_) return;
  if (!outbox_.add(std::move(line))) {
    farewell({"you read too slowly: more than a mebibyte waits", "",
              "connect again for the whole state"});
    return;
  }
  flush();
}

void Connection::farewell(const proto::Trouble& trouble) {
  if (closing_) return;
  closing_ = true;
  const std::string line = proto::write_event("farewell", proto::to_json(trouble));
  if (!outbox_.add(line)) {
    // What waits is dropped: the client gets the whole state when it returns.
    outbox_ = {};
    [[maybe_unused]] const bool fits = outbox_.add(line);
  }
  last_moment_.expires_after(farewell_time);
  last_moment_.async_wait([self = shared_from_this()](const asio::error_code& fault) {
    if (!fault) self->close();
  });
  flush();
  close_when_done();
}

void Connection::flush() {
  if (!sending_.empty() || outbox_.empty()) return;
  sending_ = outbox_.take();
  asio::async_write(socket_, asio::buffer(sending_),
                    [self = shared_from_this()](const asio::error_code& fault, std::size_t) {
                      std::string().swap(self->sending_);  // with its memory
                      if (fault) {
                        self->close();
                        return;
                      }
                      self->flush();
                      self->read();
                      self->close_when_done();
                    });
}

void Connection::close() {
  if (!socket_.is_open()) return;
  closing_ = true;
  subscribed_ = false;
  last_moment_.cancel();
  asio::error_code ignored;
  socket_.close(ignored);
  server_.forget(shared_from_this());
}

}  // namespace maslin::rpc
