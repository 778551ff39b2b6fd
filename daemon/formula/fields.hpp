// One table of a formula's text with its known keys: takes values out with their kind checked and
// keeps every trouble with its place. Internal to formula/.
#pragma once

#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/formula/document.hpp"
#include "proto/trouble.hpp"

namespace maslin::formula {

// The faults found so far, in the order of the text once all is read.
class Faults {
 public:
  explicit Faults(std::string_view file) : file_(file) {}
  void add(const Position& at, std::string what, std::string todo);
  void add(const Position& at, proto::Trouble trouble);  // one that came without its place
  bool none() const { return found_.empty(); }
  proto::Troubles sorted() const;

 private:
  struct Fault {
    Position at;
    proto::Trouble trouble;
  };
  std::string file_;
  std::vector<Fault> found_;
};

class Fields {
 public:
  // Reports each key of the table that is not among `known`, with the nearest one that is.
  Fields(const Node& table, std::string_view what, std::initializer_list<std::string_view> known,
         Faults& faults);

  // nullptr where the key is not there, or is of another kind, which is reported.
  const Node* text(std::string_view key) const;
  const Node* number(std::string_view key) const;
  const Node* text_or_number(std::string_view key) const;
  const Node* tables(std::string_view key) const;  // [[key]]
  bool yes(std::string_view key) const;            // false where it is not there
  // One text or a list of them; empty where it is not there.
  std::vector<const Node*> texts(std::string_view key) const;
  bool has(std::string_view key) const { return find(key) != nullptr; }
  const Node* find(std::string_view key) const;

  // As text(), and reported with `todo` where the key is missing.
  const Node* needed_text(std::string_view key, std::string todo) const;
  // The place of a key, or of the table where the key is missing.
  Position at(std::string_view key) const;
  Faults& faults() const { return faults_; }
  const std::string& what() const { return what_; }

 private:
  const Node* of_kind(std::string_view key, std::initializer_list<NodeKind> kinds) const;
  bool sound(std::string_view key, const Node& node) const;
  const Node& table_;
  std::string what_;  // "an ingredient", for messages
  Faults& faults_;
};

// The value of one of a fixed list of words, by `named`; reported with the whole list where it is
// none.
template <class Enum, class Named>
std::optional<Enum> word(const Fields& fields, const Node* node, Named named,
                         const std::vector<std::string>& words);
std::string no_such_word(std::string_view text, const std::vector<std::string>& words,
                         std::string& todo);

template <class Enum, class Named>
std::optional<Enum> word(const Fields& fields, const Node* node, Named named,
                         const std::vector<std::string>& words) {
  if (node == nullptr) return std::nullopt;
  const std::optional<Enum> value = named(node->text);
  if (!value) {
    std::string todo;
    std::string what = no_such_word(node->text, words, todo);
    fields.faults().add(node->at, std::move(what), std::move(todo));
  }
  return value;
}

}  // namespace maslin::formula
