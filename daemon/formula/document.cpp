// The only file that includes the TOML parser; see the header.
#include "daemon/formula/document.hpp"

#include <toml++/toml.h>
#include <algorithm>

#include "daemon/formula/read.hpp"

namespace maslin::formula {
namespace {

// A formula nests three deep. The parser is recursive, and so is the end of what it builds.
constexpr int kDeepest = 8;
constexpr int kMostDots = 32;

Position position(const toml::source_region& region) {
  return {static_cast<std::int64_t>(region.begin.line),
          static_cast<std::int64_t>(region.begin.column)};
}

// Length of the UTF-8 character at the start of `text`; 0 where there is none. Overlong forms,
// surrogates and code points past U+10FFFF are none.
std::size_t character(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned first = byte(0);
  if (first < 0x80) return 1;
  const std::size_t length = first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : 2;
  if (first < 0xC2 || first > 0xF4 || text.size() < length) return 0;
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(i) & 0xC0) != 0x80) return 0;
  }
  if (first == 0xE0 && byte(1) < 0xA0) return 0;
  if (first == 0xED && byte(1) > 0x9F) return 0;
  if (first == 0xF0 && byte(1) < 0x90) return 0;
  if (first == 0xF4 && byte(1) > 0x8F) return 0;
  return length;
}

// What must not reach the parser: bytes that are no text, and keys of so many parts that the tree
// would be deeper than the stack. Spaces may stand around the dots of a key, so they do not end it.
proto::Result<bool> fit_to_parse(std::string_view text, std::string_view file) {
  Position at{1, 1};
  int dots = 0;
  while (!text.empty()) {
    const std::size_t length = character(text);
    if (length == 0) {
      return proto::trouble("the text is not UTF-8", place(file, at), "save the file as UTF-8");
    }
    const char c = text.front();
    if (c == '.' && ++dots > kMostDots) {
      return proto::trouble("a name has more than " + std::to_string(kMostDots) + " parts",
                            place(file, at), "write names without dots");
    }
    if (c == '=' || c == ',' || c == '\n' || c == '#') dots = 0;
    at.column++;
    if (c == '\n') at = {at.line + 1, 1};
    text.remove_prefix(length);
  }
  return true;
}

void by_position(std::vector<Node>& nodes) {
  std::stable_sort(nodes.begin(), nodes.end(), [](const Node& a, const Node& b) {
    return std::pair(a.key_at.line, a.key_at.column) < std::pair(b.key_at.line, b.key_at.column);
  });
}

// False where the tree is too deep.
bool convert(const toml::node& from, Node& to, int depth) {
  if (depth > kDeepest) return false;
  to.at = position(from.source());
  bool shallow = true;
  if (const auto* table = from.as_table()) {
    to.kind = NodeKind::table;
    for (const auto& [key, value] : *table) {
      Node child;
      child.key = std::string(key.str());
      child.key_at = position(key.source());
      shallow = convert(value, child, depth + 1) && shallow;
      to.children.push_back(std::move(child));
    }
    by_position(to.children);  // the parser keeps names sorted, people expect their own order
  } else if (const auto* array = from.as_array()) {
    to.kind = NodeKind::array;
    for (const auto& value : *array) {
      Node child;
      shallow = convert(value, child, depth + 1) && shallow;
      to.children.push_back(std::move(child));
    }
  } else if (const auto* string = from.as_string()) {
    to.kind = NodeKind::string;
    to.text = string->get();
  } else if (const auto* integer = from.as_integer()) {
    to.kind = NodeKind::integer;
    to.number = static_cast<double>(integer->get());
  } else if (const auto* real = from.as_floating_point()) {
    to.kind = NodeKind::real;
    to.number = real->get();
  } else if (const auto* boolean = from.as_boolean()) {
    to.kind = NodeKind::boolean;
    to.yes = boolean->get();
  }
  return shallow;
}

}  // namespace

std::string_view name(NodeKind kind) {
  switch (kind) {
    case NodeKind::table:
      return "a table";
    case NodeKind::array:
      return "a list";
    case NodeKind::string:
      return "a text in quotes";
    case NodeKind::integer:
      return "a whole number";
    case NodeKind::real:
      return "a number";
    case NodeKind::boolean:
      return "true or false";
    case NodeKind::other:
      break;
  }
  return "a date or time";
}

std::string place(std::string_view file, const Position& at) {
  return std::string(file) + ":" + std::to_string(at.line) + ":" + std::to_string(at.column);
}

proto::Result<Node> parse_document(std::string_view text, std::string_view file) {
  if (text.size() > kLongestText) {
    return proto::trouble("the text is " + std::to_string(text.size()) + " bytes long",
                          place(file, {1, 1}),
                          "a formula has at most " + std::to_string(kLongestText) + " bytes");
  }
  if (auto fit = fit_to_parse(text, file); !fit) return tl::unexpected(fit.error());
  try {
    const toml::table table = toml::parse(text);
    Node root;
    if (!convert(table, root, 0)) {
      return proto::trouble("the text nests deeper than a formula does", place(file, {1, 1}),
                            "write [[ingredient]], [[ratio]] and [[operation]] with plain values");
    }
    return root;
  } catch (const toml::parse_error& error) {
    return proto::trouble(std::string(error.description()), place(file, position(error.source())),
                          "write it as TOML: name = \"value\", text in quotes");
  }
}

}  // namespace maslin::formula
