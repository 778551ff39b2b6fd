// The jars of a batch: how many there are and where each one is. What is cured or dried has none
// and is counted in pieces or containers all the same. Part of the desk; operations and the cook's
// words change it, and every change is an outcome.
#pragma once

#include <cstdint>
#include <functional>
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
  // What no jar is filled with is one piece or one container from here on, until the cook or the
  // scale counts more of them. Nothing happens where something was filled already.
  void begin_lot(Desk& desk);
  bool filled() const { return !jars_.empty(); }
  bool are_jars() const { return unit_ == "jar"; }
  const std::string& unit() const { return unit_; }  // as Filled's
  std::vector<std::int64_t> all() const;
  std::int64_t count() const { return static_cast<std::int64_t>(jars_.size()); }
  std::int64_t filled_ms() const { return filled_ms_; }
  bool part_filled() const { return part_number_ > 0; }
  const std::string& where(std::int64_t jar) const { return at(jar).where; }
  // The numbers of those that are there now, in order.
  std::vector<std::int64_t> in(std::string_view where) const;
  void put(Desk& desk, proto::JarsAre jars);

  // The day in which jars that did not seal can be saved is over.
  void day_over(Desk& desk, std::vector<std::int64_t> jars);
  // The cook's ok that all of it is discarded and the batch ends here: true once it was confirmed.
  bool discard(Desk& desk, const std::string& why);
  // The batch is complete: what still stands about goes where it is kept.
  void settle(Desk& desk);

  // Whether the word names jars that are there; of "now", with which the cook says where jars are,
  // also months after the batch, all that speaks against it.
  std::optional<proto::Trouble> refuses(const proto::JarWord& word) const;
  void take(Desk& desk, const proto::JarWord& word);

  // So many whole jars there are, as it turns out: the highest numbers were never there, or more
  // come behind the last. `jars` is not above 500.
  void recount(Desk& desk, std::int64_t jars, const char* by = "the cook");
  std::int64_t whole() const;
  // The batch has left a critical limit after its jars were filled, or keeps it after all: every
  // jar that is left is told what to do with it.
  void bar(Desk& desk, const std::string& why);
  // The same of what another reason says; it lasts.
  void tell(Desk& desk, const std::string& why, const std::string& todo);
  void unbar(Desk& desk);
  bool barred() const { return barred_; }

 private:
  struct Jar {
    std::string where;
    bool sealed = false;  // it stood sealed on the shelf, and nothing has broken that since
    std::int64_t warm_until_ms = 0;  // in the cold: since when; else it may be warm now
  };
  const Jar& at(std::int64_t jar) const { return jars_[static_cast<std::size_t>(jar - 1)]; }
  std::vector<std::int64_t> named(const proto::JarWord& word) const;
  std::vector<std::int64_t> waiting() const;
  bool told(std::int64_t jar) const;  // the cook has said where it went
  std::optional<proto::Trouble> refuses(const proto::JarWord& word, std::int64_t jar) const;
  // Out of the cold for more than a day since it was filled.
  bool stood_warm(const Jar& jar, std::int64_t at_ms) const;
  std::string barred_todo(const Desk& desk, const Jar& jar) const;
  void tell_all(Desk& desk, const std::string& why,
                const std::function<std::string(const Jar&)>& todo);
  std::string todo(std::string_view where, std::int64_t at_ms, bool unsealed) const;

  std::vector<Jar> jars_;
  std::string unit_ = "jar";
  std::int64_t part_number_ = 0;  // of the part-filled one; 0 none
  bool for_shelf_ = false;
  bool barred_ = false;
  std::int64_t filled_ms_ = 0;
};

}  // namespace maslin::batch
