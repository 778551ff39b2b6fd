// What happened on a pan between two rests: a vessel came or left, something was added or taken
// out, only a hand leaned on it. One per scale, fed by Pan with every usable reading; causal, no
// clock of its own, knows no plan.
#pragma once

#include <cstdint>
#include <deque>
#include <optional>
#include <string_view>

#include "daemon/weighing/settled.hpp"

namespace maslin::weighing {

enum class Moved : std::uint8_t {
  on,         // onto the empty pan
  off,        // the pan is empty now
  added,      // more lies in what was on it
  taken,      // less lies in it, and it never left the pan
  lifted,     // was away and is back as it was
  lighter,    // was away and is back lighter
  heavier,    // was away and is back heavier
  disturbed,  // pressed, stirred, bumped: the level is as before
  drifted,    // slid down slowly
  new_zero,   // the same load under another zero
};
std::string_view name(Moved what);

struct Move {
  Moved what = Moved::disturbed;
  std::int64_t from_ug = 0;  // rest before and after, as the scale showed them
  std::int64_t to_ug = 0;
  std::int64_t began_ms = 0;  // the first reading off the rest before
  std::int64_t ended_ms = 0;  // the rest after began
  int mends = 0;  // so many of the moves told just before turned out to be part of this one
};

// A rest is RestDetector's, on scales finer than half a gram as if they were of half a gram: a
// hand's breath is no move. A move is over after 3 s of quiet, and after 1.2 s of rest where the
// level is as before or the vessel was away. What passes near the empty pan was lifted; a step to
// exactly zero with no reading between is a new zero, until the next move shows that it was a lift.
class MoveTracker {
 public:
  // interval_ug > 0; lag_ms is the display lag.
  MoveTracker(std::int64_t interval_ug, std::int64_t lag_ms);

  std::optional<Move> feed(std::int64_t at_ms, std::int64_t level_ug, bool vetoed);
  // Nobody watched, or the unit changed: what comes next is taken for the same load until it moves.
  void begin_epoch(std::int64_t at_ms);
  // The same, and another unit with another interval.
  void begin_epoch(std::int64_t at_ms, std::int64_t interval_ug);
  // The scale sends no number because the pan is lighter than its zero.
  void under_zero(std::int64_t at_ms);

  // The load moves, or has come to rest so lately that the move is not over.
  bool moving() const { return moving_; }
  // The load went to this level in one go, as a vessel does that is set down or lifted; a pour of
  // as much takes longer. Of the move under way, or of the last one.
  bool in_one_go(std::int64_t to_ug) const;
  // The newest reading stepped to exactly zero with none between: the next one tells whether that
  // was a new zero, and then zeroed() is true for it.
  bool suspects_zero() const { return suspected_; }
  bool zeroed() const { return zeroed_; }

 private:
  struct Told {
    Move move;
    std::int64_t gross_before_ug;
  };
  bool jumped_to_zero(std::int64_t level_ug) const;
  std::optional<Move> see(std::int64_t at_ms);
  void depart(std::int64_t at_ms, std::int64_t level_ug);
  std::optional<Move> close(std::int64_t at_ms);
  std::optional<Move> split(std::int64_t level_ug);
  std::optional<Move> creep(Settling settling, std::int64_t at_ms);
  Move classify(std::int64_t to_ug, std::int64_t rested_ms, std::int64_t least_ug);
  Move tell(Move move, std::int64_t gross_before);
  std::int64_t gross_ug(std::int64_t level_ug) const { return level_ug - empty_ug_; }
  bool is_empty(std::int64_t level_ug) const { return gross_ug(level_ug) <= same_ug_; }

  std::int64_t hand_ms_;    // that is how long a hand takes to set down, seen through the display
  std::int64_t coarse_ug_;  // at least half a gram
  std::int64_t same_ug_;    // levels no further apart are one
  RestDetector detector_;
  RestDetector rough_;        // sees a rest before the display's tail is over
  bool seen_ = false;         // a rest in this epoch
  bool known_ = false;        // a rest ever
  std::int64_t last_ug_ = 0;  // newest indication
  std::int64_t last_but_one_ug_ = 0;
  std::int64_t rest_ug_ = 0;  // before the move, or since the last one
  std::int64_t now_ug_ = 0;   // level of the rest by now
  std::int64_t empty_ug_ = 0;
  std::int64_t steady_since_ms_ = 0;  // the level has not crept on since
  std::int64_t steady_ug_ = 0;
  std::int64_t crept_since_ms_ = -1;  // -1: it has not
  bool moving_ = false;
  std::int64_t began_ms_ = 0;
  struct Pause {
    std::int64_t level_ug;
    std::int64_t began_ms;
    std::int64_t left_ms;
    std::int64_t least_ug;  // until it began
  };
  std::optional<Pause> pause_;            // the last rest within the move, too short to end it
  std::int64_t least_ug_ = 0;             // while it moved
  std::optional<std::int64_t> early_ug_;  // where it had come to by when a hand is done
  std::int64_t new_epoch_ms_ = 0;
  bool suspected_ = false;
  bool zeroed_ = false;
  std::int64_t suspect_ms_ = 0;
  std::int64_t suspect_ug_ = 0;
  std::optional<Move> before_epoch_;  // what was under way when it began
  std::deque<Told> told_;             // the last two
};

}  // namespace maslin::weighing
