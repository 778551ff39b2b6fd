// Loads that are set on an empty pan one after the other: trays, hooks with meat. Each is taken
// once it has rested for long enough, and is whole by its step from the empty pan, whatever the
// zero is. One per scale and weigh-in, fed with every reading that its Pan has taken; causal, no
// clock.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "daemon/weighing/pan.hpp"

namespace maslin::weighing {

struct Load {
  std::int64_t gross_ug = 0;
  double repeatability_ug = 0;
};

// What one reading changed.
struct LoadChange {
  bool taken = false;     // the load on the pan has rested: it counts, and may be lifted off
  bool lifted = false;    // the pan is empty again, or another load stands on it
  bool too_soon = false;  // with `lifted`: it had not rested for long enough, and does not count
  bool warm = false;      // it slides: it does not count, or does not count any more
  std::int64_t removed_ug = 0;  // so much was taken away from a load that had been taken
};

// A load is taken after six seconds at one level (common practice, no source): long enough for a
// hand to be gone, and for the slide of one that is still warm to show on a fine scale.
class Loads {
 public:
  // Forgets what was taken; what is on the pan now is not taken again before it was lifted.
  void begin();
  // The last one was no load.
  void drop();
  // Nobody watched: lost and back, restarted. What was taken stays; what lies on the pan is not
  // known to be the same.
  void unwatched();
  LoadChange feed(std::int64_t at_ms, const Pan& pan, const PanChange& change);

  const std::vector<Load>& taken() const { return taken_; }
  bool on() const { return on_; }  // something is on the pan, or moves
  std::int64_t sum_ug() const;

 private:
  void rest(std::int64_t at_ms, std::int64_t level_ug, std::int64_t same_ug, LoadChange& found);
  void come(std::int64_t at_ms);
  void give_up(LoadChange& found);
  void leave(LoadChange& found);
  void creep(std::int64_t level_ug, LoadChange& found);

  std::vector<Load> taken_;
  std::optional<std::int64_t> zero_ug_;   // what the empty pan shows
  std::optional<std::int64_t> level_ug_;  // of the last rest
  std::int64_t least_ug_ = 0;             // since it was left
  bool watched_ = true;
  bool on_ = false;
  bool is_taken_ = false;  // what is on the pan is the last of taken_
  bool spent_ = false;     // what is on the pan is not taken any more
  std::int64_t on_since_ms_ = 0;
  int creeps_ = 0;  // in one direction, up positive
  std::int64_t crept_from_ug_ = 0;
};

}  // namespace maslin::weighing
