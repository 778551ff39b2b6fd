// The jars of a batch: how many there are and where each one is. Part of the desk; operations and
// the cook's words change it, and every change is an outcome.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "proto/entry.hpp"
#include "proto/trouble.hpp"

namespace maslin::batch {

class Desk;

class Jars {
 public:
  // Jars are numbered from 1; a part-filled one is the last.
  void fill(Desk& desk, const proto::Filled& filled);
  bool filled() const { return !jars_.empty(); }
  std::int64_t count() const { return static_cast<std::int64_t>(jars_.size()); }
  bool part_filled() const { return part_filled_; }
  const std::string& where(std::int64_t jar) const { return at(jar).where; }
  // The numbers of those that are there now, in order.
  std::vector<std::int64_t> in(std::string_view where) const;
  void put(Desk& desk, proto::JarsAre jars);

  // The batch is complete: what still stands about goes where it is kept.
  void settle(Desk& desk);

  // Whether the word names jars that are there; of "now", with which the cook says where jars are,
  // also months after the batch, all that speaks against it.
  std::optional<proto::Trouble> refuses(const proto::JarWord& word) const;
  void take(Desk& desk, const proto::JarWord& word);

 private:
  struct Jar {
    std::string where;
    bool sealed = false;  // it stood sealed on the shelf, and nothing has broken that since
  };
  const Jar& at(std::int64_t jar) const { return jars_[static_cast<std::size_t>(jar - 1)]; }
  std::vector<std::int64_t> named(const proto::JarWord& word) const;
  std::optional<proto::Trouble> refuses(const proto::JarWord& word, std::int64_t jar) const;
  std::string todo(std::string_view where, std::int64_t at_ms, bool unsealed) const;

  std::vector<Jar> jars_;
  bool part_filled_ = false;
  std::int64_t filled_ms_ = 0;
};

}  // namespace maslin::batch
