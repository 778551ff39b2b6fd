// Tables with known keys; see the header.
#include "daemon/formula/fields.hpp"
#include "proto/nearest.hpp"

#include <algorithm>
#include <tuple>

namespace maslin::formula {

void Faults::add(const Position& at, std::string what, std::string todo) {
  found_.push_back({at, {std::move(what), place(file_, at), std::move(todo)}});
}

void Faults::add(const Position& at, proto::Trouble trouble) {
  trouble.where = place(file_, at);
  found_.push_back({at, std::move(trouble)});
}

proto::Troubles Faults::sorted() const {
  // The parts are read one kind after the other; the cook corrects from top to bottom.
  std::vector<Fault> all = found_;
  std::stable_sort(all.begin(), all.end(), [](const Fault& a, const Fault& b) {
    return std::tie(a.at.line, a.at.column) < std::tie(b.at.line, b.at.column);
  });
  proto::Troubles troubles;
  for (Fault& fault : all) troubles.push_back(std::move(fault.trouble));
  return troubles;
}

Fields::Fields(const Node& table, std::string_view what,
               std::initializer_list<std::string_view> known, Faults& faults)
    : table_(table), what_(what), faults_(faults) {
  // Unknown keys first: a mistyped key is then named even where its value would be a fault of its
  // own.
  const std::vector<std::string> names(known.begin(), known.end());
  for (const Node& child : table.children) {
    if (std::find(names.begin(), names.end(), child.key) != names.end()) continue;
    const std::string near = proto::nearest(child.key, names);
    faults.add(child.key_at, what_ + " has no key \"" + child.key.substr(0, 60) + "\"",
               near.empty() ? "known here: " + proto::listed(names) : "write \"" + near + "\"");
  }
}

const Node* Fields::find(std::string_view key) const {
  for (const Node& child : table_.children) {
    if (child.key == key) return &child;
  }
  return nullptr;
}

const Node* Fields::of_kind(std::string_view key, std::initializer_list<NodeKind> kinds) const {
  const Node* node = find(key);
  if (node == nullptr) return nullptr;
  if (std::find(kinds.begin(), kinds.end(), node->kind) != kinds.end()) return node;
  faults_.add(node->at, "\"" + std::string(key) + "\" is " + std::string(name(node->kind)),
              "write " + std::string(name(*kinds.begin())));
  return nullptr;
}

// Texts of a formula end up on terminals: a control character in one could rewrite what the cook
// sees.
bool Fields::sound(std::string_view key, const Node& node) const {
  const bool plain = std::none_of(node.text.begin(), node.text.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return (byte < 0x20 && c != '\n' && c != '\t') || byte == 0x7F;
  });
  if (!plain) {
    faults_.add(node.at, "\"" + std::string(key) + "\" holds a control character",
                "write plain text, without \\u escapes");
  }
  return plain;
}

const Node* Fields::text(std::string_view key) const {
  const Node* node = of_kind(key, {NodeKind::string});
  if (node == nullptr || !sound(key, *node)) return nullptr;
  if (node->text.find_first_not_of(" \t\r\n") == std::string::npos) {
    faults_.add(node->at, "\"" + std::string(key) + "\" is empty",
                "write its value or remove the line");
    return nullptr;
  }
  return node;
}

const Node* Fields::number(std::string_view key) const {
  return of_kind(key, {NodeKind::real, NodeKind::integer});
}

const Node* Fields::text_or_number(std::string_view key) const {
  return of_kind(key, {NodeKind::string, NodeKind::integer, NodeKind::real});
}

const Node* Fields::tables(std::string_view key) const {
  const Node* node = of_kind(key, {NodeKind::array});
  if (node == nullptr) return nullptr;
  for (const Node& child : node->children) {
    // ingredient = ["onion"] is TOML as well, but it lists names, not ingredients.
    if (child.kind == NodeKind::table) continue;
    faults_.add(child.at, "\"" + std::string(key) + "\" holds " + std::string(name(child.kind)),
                "begin each with a line [[" + std::string(key) + "]]");
    return nullptr;
  }
  return node;
}

bool Fields::yes(std::string_view key) const {
  const Node* node = of_kind(key, {NodeKind::boolean});
  return node != nullptr && node->yes;
}

std::vector<const Node*> Fields::texts(std::string_view key) const {
  std::vector<const Node*> found;
  const Node* node = of_kind(key, {NodeKind::string, NodeKind::array});
  if (node == nullptr) return found;
  if (node->kind == NodeKind::string) {
    if (sound(key, *node)) found.push_back(node);
    return found;
  }
  for (const Node& child : node->children) {
    if (child.kind == NodeKind::string) {
      if (sound(key, child)) found.push_back(&child);
    } else {
      faults_.add(child.at, "\"" + std::string(key) + "\" lists " + std::string(name(child.kind)),
                  "list texts in quotes");
    }
  }
  return found;
}

const Node* Fields::needed_text(std::string_view key, std::string todo) const {
  // A key of the wrong kind is there: text() reports it, and once is enough.
  if (!has(key)) {
    faults_.add(table_.at, what_ + " has no \"" + std::string(key) + "\"", std::move(todo));
    return nullptr;
  }
  return text(key);
}

Position Fields::at(std::string_view key) const {
  const Node* node = find(key);
  return node == nullptr ? table_.at : node->at;
}

std::string no_such_word(std::string_view text, const std::vector<std::string>& words,
                         std::string& todo) {
  const std::string near = proto::nearest(text, words);
  todo = near.empty() ? "write " + proto::listed(words)
                      : "write \"" + near + "\"; known are " + proto::listed(words);
  return "\"" + std::string(text.substr(0, 60)) + "\" is not known here";
}

}  // namespace maslin::formula
