// The methods of the wire over the session: names, marks, parameters in, results out. Used by
// Server; what each takes and gives is described in proto/methods.hpp.
#pragma once

#include <functional>
#include <span>
#include <string>
#include <string_view>

#include "daemon/session/session.hpp"
#include "daemon/store/store.hpp"
#include "proto/rpc.hpp"

namespace maslin::rpc {

// JSON text of the result, or why not.
using Answer = tl::expected<std::string, proto::RpcFault>;
using Reply = std::function<void(Answer)>;

struct House {
  session::Session& session;
  store::Store& store;
  std::string version;
};

struct Method {
  std::string_view name;
  bool acts = false;  // changes something: not for those who may only read
  // Calls `reply` once, now or later, on the loop thread.
  void (*call)(House& house, const std::string& params, Reply reply);
};

// All methods but `subscribe`, which belongs to a connection.
std::span<const Method> methods();
const Method* find_method(std::string_view name);

}  // namespace maslin::rpc
