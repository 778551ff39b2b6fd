// What the operations of one batch share: the plan, the scales and thermometers, what has been
// weighed, and the way out for outcomes. Owned by Engine, handed to the running operation.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/batch/boil_limit.hpp"
#include "daemon/batch/canner.hpp"
#include "daemon/batch/jars.hpp"
#include "daemon/batch/solids.hpp"
#include "daemon/batch/standing.hpp"
#include "daemon/batch/to_weight.hpp"
#include "daemon/batch/voice.hpp"
#include "daemon/formula/formula.hpp"
#include "daemon/plan/enlarge.hpp"
#include "daemon/plan/ratios.hpp"
#include "daemon/preserving/boil_watch.hpp"
#include "daemon/weighing/pan.hpp"
#include "daemon/weighing/press.hpp"
#include "proto/entry.hpp"

namespace maslin::batch {

struct ScaleDesk {
  std::uint16_t device = 0;
  proto::Role role = proto::Role::bench;
  std::int64_t interval_ug = 0;
  std::int64_t capacity_ug = 0;
  bool lost = false;
  bool faulty = false;
  std::int64_t at_ms = 0;  // of the newest reading
  weighing::Pan pan;
  weighing::PressDetector press;
  std::optional<proto::ScaleCalibration> calibration{};
};

struct Thermometer {
  std::uint16_t device = 0;
  proto::Role role = proto::Role::pan;
  bool lost = false;
  std::optional<std::int64_t> temperature_mk;  // empty while lost or faulty
  std::int64_t at_ms = 0;
  std::optional<proto::ProbeCalibration> calibration{};
};

// An ingredient that is done with, as it counts in the ratios.
struct Done {
  plan::WeighedMass mass;
  std::string verdict;
  bool told = false;  // its mass is what the cook has told later, no scale's
};

class Desk {
 public:
  std::int64_t now_ms = 0;
  std::int64_t watched_ms = 0;  // the moment before the present input: until then all was watched
  std::uint64_t reading = 0;    // number of the newest
  proto::Start start;
  proto::Plan plan;
  formula::Formula formula;
  std::vector<ScaleDesk> scales;
  std::vector<Thermometer> thermometers;
  preserving::BoilWatch boil;
  Jars jars;
  Canner canner;
  BoilLimit boil_limit;
  Solids solids;
  bool pan_contradicted = false;  // its thermometer or the altitude, by its boil: told once
  bool pan_on_heat = false;       // something stands over the heat, or has just left it
  std::string pan_advice;         // what to do with it in a hold
  std::int64_t pan_good_for_s = 0;
  Standing standing;
  // A ferment stands and ends by its pH: the newest that was told, whether it is low enough, and
  // whether it is over what counts as acid at all, or too near to tell.
  struct Ferment {
    bool waits = false;
    bool reached = false;
    bool not_sour = false;
    bool by_meter = false;  // the last reading
    std::optional<double> ph;
  };
  Ferment ferment;
  std::optional<ToWeight> to_weight;                // what dries, from its first weigh-in on
  std::optional<std::int64_t> bath_ended_ms;        // the last one
  std::optional<std::int64_t> first_bath_ended_ms;  // of this round: the day begins there
  std::optional<std::int64_t> process_again_by_ms;  // set where jars go through the bath again
  std::optional<double> told_yield_ml;              // the cook measured it
  std::int64_t local_less_ms = 0;                   // as Start's
  struct Begun {
    int operation;
    std::int64_t at_ms;
  };
  std::vector<Begun> begun;  // operations, in the order in which they began
  Voice voice;
  std::vector<Done> done;
  // By ingredient the newest weighing of a scale, or what was taken by measure; amendments compare
  // with it.
  std::map<std::string, proto::Weighing> booked;
  // Acids that were weaker than the formula means: so many millionths of their mass count.
  std::map<std::string, std::int64_t> strength_ppm;
  std::vector<std::string> advice;       // what follows from the cook's last word
  std::vector<std::string> left_limits;  // critical limits that were left and not kept again
  // Critical ratios that do not hold, as far as the cook knows, by what they are about: by how much
  // (below zero: beyond the limit), and whether that was accepted.
  struct KnownShort {
    std::int64_t margin_ug = 0;
    bool accepted = false;
  };
  std::map<std::string, KnownShort> known_short;
  std::vector<plan::TopUp> more;  // a step before is gone back to, to weigh so much more
  int more_for = 0;               // and this one comes after it
  bool larger = false;  // the plan was made anew around what is in: its size is no lead's any more
  std::optional<std::string> gives_up;  // the cook ends the batch here, and why
  std::vector<proto::Learned> learned;  // as Facts', and what this batch adds to it
  std::string last_cue;
  bool paused =
      false;  // held for a reason that stops the step: nothing is judged, nothing advances

  void emit(proto::Outcome outcome);
  // `id` must be in the catalogue, which gives the urgency. A question may have to wait for the
  // answer to a more urgent one. again_s: said again after so long; 0 as the catalogue says.
  // not_asked: the step goes on without an answer.
  static constexpr int not_asked = -1;
  void cue(std::string_view id, std::string text, std::string ingredient = {},
           std::int64_t amount_ug = 0, int again_s = 0);
  // Says what waited for its turn, and again what nobody has answered.
  void say_next();
  void say_again(bool answerable);
  // Opens or ends a hold. A hold is known by its reason; opening it twice is once.
  void hold(proto::Held held);
  void release(std::string_view reason, std::string_view by);
  bool held() const { return !holds_.empty(); }
  bool held_for(std::string_view reason) const;
  const std::vector<proto::Held>& holds() const { return holds_; }
  // Another answer is waited for from here on: an ok that comes at once was meant for what was
  // before, and a first doubtful one does not count for it.
  void ask_anew();
  std::int64_t asked_ms() const { return asked_ms_; }
  // A first ok is doubted, and a second one would confirm it.
  bool asks_again() const { return !doubted_.empty(); }
  // The critical limit of this ingredient is kept, or (not any more) left.
  void limit_kept(const std::string& about, bool kept);
  // What ends the open hold is another thing by now.
  void update_hold(std::string_view reason, std::string ends_when);
  // An ok that goes against what the instruments show needs a second one within a minute: true for
  // that, false for the first, after which the cook is told `why`.
  bool confirmed_twice(std::string_view about, std::string why);
  // The eye is as good as a thermometer, which may lie beside the pot; a slip of the finger is not.
  // True where the thermometer shows at least so much, or nothing, or a second ok has come. `pot`:
  // "pan" or "canner"; `claim`: what the cook says, "it boils".
  bool confirmed_against(const std::string& pot, std::optional<std::int64_t> shows_mk,
                         std::int64_t least_mk, const std::string& claim);

  // How long the operations from this one on take until the jars are full, as far as foreseen.
  std::int64_t ahead_of_bath_ms(int operation) const;

  const proto::PlannedIngredient* planned(std::string_view name) const;
  ScaleDesk* scale(proto::Role role);
  Thermometer* thermometer(proto::Role role);
  // The temperature of the pan or of the canner, or empty.
  std::optional<std::int64_t> pan_mk() const { return temperature_mk(proto::Role::pan); }
  std::optional<std::int64_t> canner_mk() const { return temperature_mk(proto::Role::canner); }
  std::optional<std::int64_t> room_mk() const { return temperature_mk(proto::Role::room); }
  // The next moment within the waking hours from at_ms on.
  std::int64_t waking(std::int64_t at_ms) const;
  // The next time from at_ms on that they begin.
  std::int64_t morning(std::int64_t at_ms) const;

  std::vector<proto::Outcome>& outcomes() { return outcomes_; }

 private:
  std::optional<std::int64_t> temperature_mk(proto::Role role) const;
  void said(proto::Cue cue);

  std::vector<proto::Outcome> outcomes_;
  std::vector<proto::Held> holds_;
  std::int64_t asked_ms_ = 0;
  std::string doubted_;
  std::int64_t doubted_ms_ = 0;
};

}  // namespace maslin::batch
