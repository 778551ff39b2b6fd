// The text of a formula as a plain tree with positions: what the TOML parser found, without its
// types. Internal to formula/.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "proto/trouble.hpp"

namespace maslin::formula {

struct Position {
  std::int64_t line = 0;    // from 1
  std::int64_t column = 0;  // from 1, in characters
};

enum class NodeKind : std::uint8_t { table, array, string, integer, real, boolean, other };
std::string_view name(NodeKind kind);  // "a text in quotes" ...

struct Node {
  NodeKind kind = NodeKind::other;
  std::string key;  // its name within a table; empty within an array
  Position key_at;
  Position at;
  std::string text;            // string
  double number = 0;           // integer and real
  bool yes = false;            // boolean
  std::vector<Node> children;  // table: in the order of the text; array
};

// The tree, or the one fault that stopped the parser: too long, not UTF-8, nested too deeply, no
// TOML.
proto::Result<Node> parse_document(std::string_view text, std::string_view file);

std::string place(std::string_view file, const Position& at);  // "file:line:column"

}  // namespace maslin::formula
