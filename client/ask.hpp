// One call to the daemon and its screen, for all files of commands.
#pragma once

#include <cstdio>
#include <functional>
#include <string>
#include <string_view>

#include "client/commands.hpp"
#include "client/show.hpp"
#include "client/wire.hpp"
#include "proto/json.hpp"

namespace maslin::client {

inline int refuse(const Order& order, const proto::RpcFault& fault, int code = kRefused) {
  std::fputs(show(fault, order.json).c_str(), stderr);
  return code;
}

// What this program refuses itself looks as if the daemon had.
inline int refuse(const Order& order, const proto::Trouble& trouble, int code = kRefused) {
  return refuse(order, proto::RpcFault{proto::RpcCode::refused, {trouble}}, code);
}

inline int print_json(const std::string& text) {
  std::printf("%s\n", text.c_str());
  return kDone;
}

// Calls `method`; prints the raw result with --json, else what `screen` makes of it. `code` gives
// the exit code where an answer is not good news by itself.
template <class Result>
int ask(
    Wire& wire, const Order& order, std::string_view method, const std::string& params,
    const std::function<int(const Result&)>& code = nullptr,
    const std::function<std::string(const Result&)>& screen = [](const auto& it) {
      return show(it);
    }) {
  const auto answer = wire.call(method, params);
  if (!answer) return refuse(order, answer.error());
  const auto result = proto::from_json<Result>(*answer);
  if (!result) return refuse(order, result.error());
  if (order.json) {
    print_json(*answer);
  } else {
    std::fputs(screen(*result).c_str(), stdout);
  }
  return code ? code(*result) : kDone;
}

}  // namespace maslin::client
