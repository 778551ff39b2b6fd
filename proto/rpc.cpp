// The envelope of proto/rpc.hpp over the JSON library.
#include "proto/rpc.hpp"

#include "proto/json_detail.hpp"

namespace maslin::proto {

namespace {

BadCall bad(std::string id, RpcCode code, std::string what, std::string todo) {
  return {std::move(id), {code, {Trouble{std::move(what), "", std::move(todo)}}}};
}

// Foreign text in a fault is cut, and of very many troubles the first are told: what is answered
// stays far below the longest message.
constexpr std::size_t longest_foreign_text = 500;  // bytes
constexpr std::size_t most_troubles = 100;
constexpr std::size_t longest_id = 200;  // bytes

// The id of a request as JSON text; "null" where it is missing or of a type that no id may have.
std::string id_text(const nlohmann::json& j) {
  const auto it = j.find("id");
  if (it == j.end() || !(it->is_string() || it->is_number_integer())) return "null";
  std::string text = dump(*it);
  return text.size() > longest_id ? "null" : text;
}

}  // namespace

tl::expected<RpcCall, BadCall> read_call(std::string_view line) {
  const auto j = parse(line);
  if (!j) {
    return tl::unexpected<BadCall>(bad("null", RpcCode::parse_error,
                                       "the line is not JSON: " + j.error().what,
                                       "send one JSON-RPC 2.0 object a line, in UTF-8"));
  }
  if (!j->is_object()) {
    return tl::unexpected<BadCall>(
        bad("null", RpcCode::invalid_request, "the line is not one JSON object",
            "send one JSON-RPC 2.0 object a line; batches are not taken"));
  }
  const std::string id = id_text(*j);
  const auto version = j->find("jsonrpc");
  const auto method = j->find("method");
  if (version == j->end() || *version != "2.0" || method == j->end() || !method->is_string()) {
    return tl::unexpected<BadCall>(bad(id, RpcCode::invalid_request, "not a JSON-RPC 2.0 call",
                                       "give \"jsonrpc\":\"2.0\", an \"id\" and a \"method\""));
  }
  if (j->contains("id") && id == "null") {
    return tl::unexpected<BadCall>(bad(id, RpcCode::invalid_request,
                                       "the id is neither a whole number nor a short text",
                                       "number your calls"));
  }
  const auto params = j->find("params");
  if (params != j->end() && !params->is_object()) {
    return tl::unexpected<BadCall>(
        bad(id, RpcCode::invalid_params, "params is not an object", "name each parameter"));
  }
  return RpcCall{j->contains("id") ? id : "", method->get<std::string>(),
                 params == j->end() ? "{}" : dump(*params)};
}

Result<RpcMessage> read_message(std::string_view line) {
  const auto j = parse(line);
  if (!j) return tl::unexpected<Trouble>(j.error());
  RpcMessage message;
  if (const auto id = j->find("id"); id != j->end() && id->is_number_integer()) {
    message.id = id->get<std::int64_t>();
  }
  if (const auto method = j->find("method"); method != j->end() && method->is_string()) {
    message.method = method->get<std::string>();
    message.content = j->contains("params") ? dump((*j)["params"]) : "{}";
  } else if (const auto error = j->find("error"); error != j->end() && error->is_object()) {
    RpcFault fault;
    if (const auto code = error->find("code"); code != error->end() && code->is_number_integer()) {
      fault.code = static_cast<RpcCode>(code->get<int>());
    }
    const auto data = error->find("data");
    if (data != error->end()) {
      if (auto troubles = read_value<Troubles>(*data)) fault.troubles = std::move(*troubles);
    }
    if (fault.troubles.empty()) {
      const auto message_text = error->find("message");
      const bool has_text = message_text != error->end() && message_text->is_string();
      fault.troubles.push_back(
          {has_text ? message_text->get<std::string>() : "no reason given", "", ""});
    }
    message.fault = std::move(fault);
  } else if (const auto result = j->find("result"); result != j->end()) {
    message.content = dump(*result);
  } else {
    return trouble("a message without method, result or error");
  }
  return message;
}

std::string write_call(std::int64_t id, std::string_view method, std::string_view params) {
  return std::string("{\"jsonrpc\":\"2.0\",\"id\":") + std::to_string(id) + ",\"method\":\"" +
         std::string(method) + "\",\"params\":" + std::string(params) + "}\n";
}

std::string write_event(std::string_view method, std::string_view params) {
  return std::string("{\"jsonrpc\":\"2.0\",\"method\":\"") + std::string(method) +
         "\",\"params\":" + std::string(params) + "}\n";
}

std::string write_result(std::string_view id, std::string_view result) {
  return std::string("{\"jsonrpc\":\"2.0\",\"id\":") + std::string(id) +
         ",\"result\":" + std::string(result) + "}\n";
}

std::string fault_text(const RpcFault& fault) {
  Troubles told;
  for (const auto& one : fault.troubles) {
    if (told.size() == most_troubles) break;
    told.push_back({excerpt(one.what, longest_foreign_text),
                    excerpt(one.where, longest_foreign_text),
                    excerpt(one.todo, longest_foreign_text)});
  }
  return dump(
      {{"code", static_cast<int>(fault.code)}, {"message", line(told.front())}, {"data", told}});
}

std::string write_fault(std::string_view id, const RpcFault& fault) {
  return std::string("{\"jsonrpc\":\"2.0\",\"id\":") + (id.empty() ? "null" : std::string(id)) +
         ",\"error\":" + fault_text(fault) + "}\n";
}

}  // namespace maslin::proto
