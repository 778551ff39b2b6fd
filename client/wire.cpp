// The connection to the daemon, over Asio.
#include "client/wire.hpp"

#include <pwd.h>
#include <sys/stat.h>

#include <asio/buffer.hpp>
#include <asio/read_until.hpp>
#include <asio/write.hpp>
#include <cerrno>

#include "proto/json.hpp"
#include "proto/methods.hpp"

namespace maslin::client {
namespace {

constexpr std::string_view kSystemSocket = "/run/maslin/socket";

// Whose door is closed: the owner of the socket, or of the nearest directory on the way to it that
// may be looked at.
std::string owner_of(std::filesystem::path path) {
  struct stat known {};
  while (stat(path.c_str(), &known) != 0 && path.has_relative_path()) path = path.parent_path();
  const passwd* user = getpwuid(known.st_uid);
  return user != nullptr ? user->pw_name : "#" + std::to_string(known.st_uid);
}

bool service_installed() {
  for (const char* folder : {"/etc", "/usr/local/lib", "/usr/lib", "/lib"}) {
    std::error_code fault;
    const auto unit = std::filesystem::path(folder) / "systemd/system/maslind.service";
    if (std::filesystem::exists(unit, fault)) return true;
  }
  return false;
}

proto::Trouble no_connection(const std::filesystem::path& socket, const std::error_code& fault) {
  const bool system = socket == kSystemSocket;
  // By number: Asio's category does not know all conditions of the standard library.
  if (fault.value() == EACCES) {
    return {"no permission on the daemon's socket", socket.string(),
            system ? "once, then log in again: sudo usermod -aG maslin $USER"
                   : "ask as its owner: sudo -u " + owner_of(socket) + " maslin ..."};
  }
  std::error_code unknown;
  if (std::filesystem::exists(socket, unknown) && !std::filesystem::is_socket(socket, unknown)) {
    return {"is no socket", socket.string(), "give the socket of a daemon, or leave --socket out"};
  }
  if (fault.value() == ENOENT || fault.value() == ECONNREFUSED) {
    if (!system) {
      return {"no daemon answers there", socket.string(),
              "start it: maslind --socket " + socket.string()};
    }
    return {"no daemon answers there", socket.string(),
            service_installed() ? "start it: sudo systemctl start maslind" : "start it: maslind"};
  }
  return {"the daemon cannot be reached: " + fault.message(), socket.string(), ""};
}

proto::Trouble gone() {
  return {"the daemon closed the connection", "", "look at its log, then try again"};
}

proto::RpcFault broken(proto::Trouble trouble) {
  return {proto::RpcCode::internal_error, {std::move(trouble)}};
}

}  // namespace

proto::Result<std::unique_ptr<Wire>> Wire::connect(const std::filesystem::path& socket) {
  std::unique_ptr<Wire> wire(new Wire);
  wire->path_ = socket;
  std::error_code fault;
  if (socket.native().size() >= 108) {
    return proto::trouble("the path of a socket has at most 107 bytes", socket.string(),
                          "choose a shorter one");
  }
  wire->socket_.connect(asio::local::stream_protocol::endpoint(socket.string()), fault);
  if (fault) return tl::unexpected<proto::Trouble>(no_connection(socket, fault));
  const auto answer = wire->call(
      "hello", proto::to_json(proto::Hello{"maslin", MASLIN_VERSION, proto::wire_version}));
  if (!answer) return tl::unexpected<proto::Trouble>(answer.error().troubles.front());
  const auto hello = proto::from_json<proto::Hello>(*answer);
  if (!hello) return tl::unexpected<proto::Trouble>(hello.error());
  if (hello->wire != proto::wire_version) {
    return proto::trouble("the daemon is version " + hello->version + ", this is " + MASLIN_VERSION,
                          socket.string(), "restart the daemon, or use its own maslin");
  }
  return wire;
}

std::int64_t Wire::send(std::string_view method, std::string_view params) {
  const std::int64_t id = ++last_id_;
  std::error_code fault;
  // A write that fails shows as the end of the connection when the answer is read.
  asio::write(socket_, asio::buffer(proto::write_call(id, method, params)), fault);
  return id;
}

proto::Result<proto::RpcMessage> Wire::next() {
  std::error_code fault;
  const std::size_t size =
      asio::read_until(socket_, asio::dynamic_buffer(buffer_, proto::longest_message), '\n', fault);
  if (fault) return tl::unexpected<proto::Trouble>(gone());
  const std::string line = buffer_.substr(0, size);
  buffer_.erase(0, size);
  return proto::read_message(line);
}

tl::expected<std::string, proto::RpcFault> Wire::call(std::string_view method,
                                                      std::string_view params) {
  const std::string text = proto::write_call(last_id_ + 1, method, params);
  if (text.size() > proto::longest_message) {
    return tl::unexpected<proto::RpcFault>(
        broken({"is too long to send", std::string(method), "shorten it"}));
  }
  const std::int64_t id = send(method, params);
  for (;;) {
    const auto message = next();
    if (!message) return tl::unexpected<proto::RpcFault>(broken(message.error()));
    if (message->id != id) continue;
    if (message->fault) return tl::unexpected<proto::RpcFault>(*message->fault);
    return message->content;
  }
}

void Wire::listen(std::function<void(const proto::RpcMessage&)> message,
                  std::function<void(const proto::Trouble&)> ended) {
  message_ = std::move(message);
  ended_ = std::move(ended);
  read_on();
}

void Wire::read_on() {
  asio::async_read_until(socket_, asio::dynamic_buffer(buffer_, proto::longest_message), '\n',
                         [this](const std::error_code& fault, std::size_t size) {
                           if (fault) {
                             ended_(gone());
                             return;
                           }
                           const std::string line = buffer_.substr(0, size);
                           buffer_.erase(0, size);
                           if (const auto message = proto::read_message(line)) {
                             message_(*message);
                           }
                           read_on();
                         });
}

}  // namespace maslin::client
