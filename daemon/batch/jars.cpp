// The ledger of jars.hpp.
#include "daemon/batch/jars.hpp"

#include <algorithm>
#include <array>
#include <numeric>

#include "daemon/batch/desk.hpp"
#include "proto/trouble.hpp"

namespace maslin::batch {
namespace {

constexpr std::array places = {"shelf", "refrigerator", "freezer", "given", "opened", "discarded"};

}  // namespace

void Jars::fill(Desk& desk, const proto::Filled& filled) {
  where_.assign(static_cast<std::size_t>(filled.jars + filled.part_filled), "cooling");
  part_filled_ = filled.part_filled > 0;
  desk.emit(filled);
}

std::vector<std::int64_t> Jars::in(std::string_view where) const {
  std::vector<std::int64_t> found;
  for (std::size_t i = 0; i < where_.size(); ++i) {
    if (where_[i] == where) found.push_back(static_cast<std::int64_t>(i + 1));
  }
  return found;
}

void Jars::put(Desk& desk, proto::JarsAre jars) {
  for (const auto jar : jars.jars) where_[static_cast<std::size_t>(jar - 1)] = jars.where;
  desk.emit(std::move(jars));
}

std::vector<std::int64_t> Jars::named(const proto::JarWord& word) const {
  if (!word.jars.empty()) return word.jars;
  std::vector<std::int64_t> all(where_.size());
  std::iota(all.begin(), all.end(), 1);
  return all;
}

std::optional<proto::Trouble> Jars::refuses(const proto::JarWord& word) const {
  if (where_.empty()) {
    return proto::Trouble{"no jars are filled in this batch", "jars", "maslin jars lists all jars"};
  }
  for (const auto jar : word.jars) {
    if (jar >= 1 && jar <= count()) continue;
    return proto::Trouble{"there is no jar " + std::to_string(jar), "jars",
                          "the batch has jars 1 to " + std::to_string(count())};
  }
  if (word.what != "now") return std::nullopt;
  if (std::find(places.begin(), places.end(), word.where) == places.end()) {
    return proto::Trouble{"'" + proto::excerpt(word.where, 60) + "' is no place of a jar", "where",
                          "write one of: shelf, refrigerator, freezer, given, opened, discarded"};
  }
  for (const auto jar : named(word)) {
    if (word.where != "discarded" && where(jar) == "discarded") {
      return proto::Trouble{"jar " + std::to_string(jar) + " was discarded", "jars",
                            "what was discarded does not come back"};
    }
    if (word.where == "shelf" && where(jar) != "shelf" && where(jar) != "given") {
      return proto::Trouble{"jar " + std::to_string(jar) + " did not keep its seal for the shelf",
                            "where", "only a sealed jar of a batch for the shelf stands there"};
    }
  }
  return std::nullopt;
}

void Jars::take(Desk& desk, const proto::JarWord& word) {
  put(desk, {named(word), word.where, word.text.empty() ? "by the cook" : word.text,
             word.where == "opened" ? "Into the refrigerator." : ""});
}

}  // namespace maslin::batch
