// What is on one scale: its zero epochs, the vessel, and the net mass of the ingredient in
// progress, however the cook works. One per scale of a batch, fed by batch/ with every reading of
// that scale.
#pragma once

#include <algorithm>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/weighing/moves.hpp"
#include "daemon/weighing/settled.hpp"
#include "proto/reading.hpp"

namespace maslin::weighing {

struct Scale {
  std::int64_t interval_ug = 1'000'000;
  std::int64_t lag_ms = 500;
};

// How the ingredient came to be weighed; the words of the record.
enum class How : std::uint8_t { nothing_yet, poured, scooped, from_vessel, filled_off_scale };
std::string_view name(How how);

// What one reading changed, as far as the batch has to know.
struct PanChange {
  Settling settling = Settling::nothing;
  std::optional<Move> move;  // what happened, once it is over
  bool vessel_on = false;    // a vessel came onto the empty pan and is the tare from now on
  bool lifted = false;       // the pan is empty: the vessel was lifted off
  bool back = false;         // the vessel is back on the pan
  bool new_epoch = false;    // a new zero epoch began; why() says why
  bool resolved = false;     // after a new zero in mid-pour the net is known again
  bool under_zero = false;   // the scale sends no number because the pan is lighter than its zero
  bool over = false;         // over its range, for a second now
  bool fault = false;        // it has reported a fault for a second now
  // The vessel of the ingredient before, emptied elsewhere, is back with so much in it; 0: it is
  // not.
  std::int64_t stuck_ug = 0;
  bool slides = false;  // the indication slides by itself; the tare goes along with it
};

class Pan {
 public:
  explicit Pan(Scale scale);

  // A new zero epoch after a time that nobody watched: lost and back, host restarted, machine
  // asleep. What was put in meanwhile is not known, so a vessel with a tare must be lifted once.
  void begin_unwatched_epoch(std::string_view why);
  // The next ingredient: what is on the pan now is its tare. `planned_ug` helps to tell a filled
  // vessel from another one; 0 where the amount is open.
  void begin_ingredient(std::int64_t planned_ug);
  // So much of what lies in the vessel already belongs to the ingredient that has just begun.
  void came_before(std::int64_t net_ug);
  // The ingredient before goes on: what ended it was no food. False where its account is not known
  // any more.
  bool go_back();
  // The cook says that nothing lies on the pan now: settles a zero that nothing else could settle.
  void declare_empty();
  // mass_ug is only read where the reading is usable.
  PanChange feed(const proto::Reading& reading, std::int64_t mass_ug);

  // Net of the ingredient in progress at the last rest; empty without a tare, while the vessel is
  // away with nothing weighed yet, or after a new zero in mid-pour until the vessel has been lifted
  // once.
  std::optional<std::int64_t> net_ug() const;
  // How the load has changed since the tare, with its sign; empty as net_ug.
  std::optional<std::int64_t> change_ug() const;
  // The same as net_ug from the newest reading, for display and for the stop cue.
  std::optional<std::int64_t> live_net_ug() const;
  // All that lies on the pan at the last rest, vessel included.
  std::int64_t gross_ug() const { return plateau_ug_ ? gross_ug(*plateau_ug_) : 0; }
  std::int64_t shown_ug() const { return last_ug_; }  // the newest usable indication
  std::int64_t tare_ug() const { return base_gross_ug_.value_or(0); }  // of the vessel
  bool has_tare() const { return base_ug_.has_value(); }
  bool away() const { return away_; }
  // A new zero began in mid-pour and the net is not known until the vessel is lifted or put back.
  bool needs_lift() const { return needs_lift_; }
  // Content before this ingredient in the same vessel: taking some out is not clean any more.
  bool mixed() const { return mixed_; }
  How how() const;
  // So much slid while something of the ingredient was in, up positive. It is not in the net, and
  // only a lift tells whether it was food.
  std::int64_t slid_ug() const { return slid_ug_; }
  int rests() const { return rests_; }  // plateaus of this ingredient
  // The net at each rest of this ingredient that was left again.
  const std::vector<std::int64_t>& rests_ug() const { return rests_ug_; }
  // how() in full: "poured into the vessel, 3 times, some taken out again".
  std::string how_text() const;
  int indications() const { return indications_; }
  int epoch() const { return epoch_; }
  std::string_view why() const { return why_; }
  const RestDetector& detector() const { return detector_; }
  const Scale& scale() const { return scale_; }
  // The coarsest interval that the net is made of: another unit may have a coarser one.
  std::int64_t interval_ug() const { return std::max(interval_ug_, coarsest_ug_); }
  std::uint64_t tare_reading() const { return tare_reading_; }

 private:
  void begin_epoch(std::string_view why, bool watched);
  void note_change(std::int64_t change_ug);
  void note_move(const Move& move);
  void follow_slide(std::int64_t at_ms, PanChange& change);
  bool was_removed_instead(std::int64_t level_ug);
  void settle(std::int64_t level_ug, std::uint64_t reading, PanChange& change);
  void settle_unknown_epoch(std::int64_t level_ug, PanChange& change);
  void settle_from_empty(std::int64_t level_ug, std::uint64_t reading, PanChange& change);
  void take_tare(std::int64_t level_ug, std::uint64_t reading);
  std::int64_t tolerance_ug() const;
  void take_unusable(const proto::Reading& reading, PanChange& change);
  std::int64_t gross_ug(std::int64_t level_ug) const { return level_ug - empty_ug_.value_or(0); }

  Scale scale_;
  std::int64_t interval_ug_;      // in the unit that it shows
  std::int64_t coarsest_ug_ = 0;  // since the tare
  RestDetector detector_;
  MoveTracker moves_;
  int epoch_ = 0;
  std::string_view why_ = "begin";
  bool seen_ = false;         // any usable reading in this epoch
  std::int64_t last_ug_ = 0;  // newest usable indication
  std::int64_t last_ms_ = 0;
  proto::Unit unit_ = proto::Unit::none;
  std::int8_t exponent_ = 0;

  std::optional<std::int64_t> empty_ug_;       // indication of the empty pan in this epoch
  std::optional<std::int64_t> plateau_ug_;     // last rest in this epoch
  std::optional<std::int64_t> base_ug_;        // indication at the tare, in this epoch's terms
  std::optional<std::int64_t> base_gross_ug_;  // the same above the empty pan: true in every epoch
  std::optional<std::int64_t> on_ug_;          // a vessel that came and is not quite at rest yet
  std::vector<std::int64_t> rests_ug_;
  struct Account {
    int epoch;
    std::int64_t base_ug;
    std::optional<std::int64_t> base_gross_ug;
    std::int64_t planned_ug;
    std::uint64_t tare_reading;
    bool mixed;
    bool taking;
    How how;
    int rests;
    int portions;
    int scoops;
    std::int64_t slid_ug;
  };
  std::optional<Account> before_;              // of the ingredient before, while nothing has left
  std::optional<std::int64_t> held_net_ug_;    // net while the vessel is away
  std::int64_t gross_before_ug_ = 0;           // above the empty pan, when the vessel was lifted
  std::optional<std::int64_t> last_gross_ug_;  // of the vessel, when this epoch began
  std::optional<std::int64_t> jump_gross_ug_;  // gross before an indication jumped to zero
  std::int64_t planned_ug_ = 0;
  std::uint64_t tare_reading_ = 0;
  bool away_ = false;
  bool fresh_ = false;  // the vessel came for this ingredient
  bool mixed_ = false;
  bool content_ = false;  // something was booked into the vessel that is, or was last, on the pan
  bool needs_lift_ = false;
  bool lighter_than_zero_ = false;
  std::int64_t unusable_since_ms_ = -1;  // -1: the last reading had a value
  bool unusable_said_ = false;
  bool taking_ = false;  // the vessel grows lighter: used = tare - level
  How how_ = How::nothing_yet;
  int rests_ = 0;
  int portions_ = 0;  // additions that are over
  int scoops_ = 0;    // of them, those that came in one go
  int trips_ = 0;     // of a vessel that grows lighter
  bool taken_out_ = false;
  struct Slide {
    std::int64_t from_ug = 0;  // the level that has been taken along so far
    std::int64_t seen_ms = 0;
    int steps = 0;  // in one direction, up positive
  };
  Slide slide_;
  std::int64_t slid_ug_ = 0;
  std::int64_t quiet_ug_ = 0;               // last quiet level
  bool lain_on_ = false;                    // something lay on the pan for a while
  std::optional<std::int64_t> emptied_ug_;  // the vessel of the ingredient before, as it was empty
  int indications_ = 2;
};

}  // namespace maslin::weighing
