// The JSON-RPC 2.0 envelope, one message a line of at most a mebibyte. rpc/ and the client use it;
// it knows no method.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "proto/trouble.hpp"

namespace maslin::proto {

inline constexpr std::size_t longest_message = 1 << 20;  // bytes, newline included

// Codes of the JSON-RPC 2.0 specification, section 5.1, and our one of its free range.
enum class RpcCode : int {
  parse_error = -32700,
  invalid_request = -32600,
  method_not_found = -32601,
  invalid_params = -32602,
  internal_error = -32603,
  refused = -32000,
};

struct RpcFault {
  RpcCode code = RpcCode::internal_error;
  Troubles troubles;  // at least one
};

struct RpcCall {
  std::string id;  // as JSON text; "" for a notification
  std::string method;
  std::string params;  // as JSON text; "{}" where absent
};

// A call as a server reads it. On error, `id` in the fault's answer is null unless it could be
// read.
struct BadCall {
  std::string id;
  RpcFault fault;
};
tl::expected<RpcCall, BadCall> read_call(std::string_view line);

// A line as a client reads it: the answer to a call, or an event (method set).
struct RpcMessage {
  std::optional<std::int64_t> id;
  std::string method;
  std::string content;  // result or params as JSON text
  std::optional<RpcFault> fault;
};
Result<RpcMessage> read_message(std::string_view line);

// Each gives one line with its newline. `params`, `result` are JSON text and are put in as they
// are.
std::string write_call(std::int64_t id, std::string_view method, std::string_view params);
std::string write_event(std::string_view method, std::string_view params);
std::string write_result(std::string_view id, std::string_view result);
std::string write_fault(std::string_view id, const RpcFault& fault);
// The error object alone, without a line end: code, message, and every trouble as data.
std::string fault_text(const RpcFault& fault);

}  // namespace maslin::proto
