// The jars of a batch: how many there are and where each one is. Part of the desk; operations and
// the cook's words change it, and every change is an outcome.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "proto/entry.hpp"
#include "proto/trouble.hpp"

namespace maslin::batch {

class Desk;

class Jars {
 public:
  // Jars are numbered from 1; a part-filled one is the last.
  void fill(Desk& desk, const proto::Filled& filled);
  bool filled() const { return !where_.empty(); }
  std::int64_t count() const { return static_cast<std::int64_t>(where_.size()); }
  bool part_filled() const { return part_filled_; }
  const std::string& where(std::int64_t jar) const {
    return where_[static_cast<std::size_t>(jar - 1)];
  }
  // The numbers of those that are there now, in order.
  std::vector<std::int64_t> in(std::string_view where) const;
  void put(Desk& desk, proto::JarsAre jars);

  // "now": the cook says where jars are, also months after the batch.
  std::optional<proto::Trouble> refuses(const proto::JarWord& word) const;
  void take(Desk& desk, const proto::JarWord& word);

 private:
  std::vector<std::int64_t> named(const proto::JarWord& word) const;

  std::vector<std::string> where_;
  bool part_filled_ = false;
};

}  // namespace maslin::batch
