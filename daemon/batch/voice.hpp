// How the batch talks to one person with full hands: one question at a time, the urgent first; what
// nobody answers is said again with more weight, then stands on the screen; in quiet hours only by
// light and text. Part of the desk: every cue passes through it.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "proto/cues.hpp"
#include "proto/entry.hpp"

namespace maslin::batch {

class Voice {
 public:
  void begin(const proto::Settings& settings, std::int64_t local_less_ms);
  // Local time of day less the batch's, from here on.
  void local_time(std::int64_t local_less_ms) { local_less_ms_ = local_less_ms; }

  // The cue as it is said now, or empty where it must wait for the answer to a more urgent one.
  std::optional<proto::Cue> say(proto::Cue cue, const proto::CueKind& kind, std::int64_t now_ms);
  // The cook has done something: whatever was asked is not unanswered any more.
  void acted();
  // Another step has begun: what was asked in the one before is stale.
  void new_step();
  // This cue is answered by what has happened.
  void answered(std::string_view id);

  // Something urgent is repeated until the cook does anything; an ok is one, whatever else it does.
  bool insists() const { return insisting_.has_value(); }
  // A question that waited for another one, if its turn has come.
  std::optional<proto::Cue> next_in_turn(std::int64_t now_ms);
  // What is to be said again by now. `answerable`: the step takes an answer now; what it does not
  // is not asked again.
  std::vector<proto::Cue> time_passed(std::int64_t now_ms, bool answerable);
  std::optional<std::int64_t> deadline_ms() const;

 private:
  struct Open {
    proto::Cue cue;
    int urgency = 1;  // as it was first said; repeated it weighs more and is as urgent as before
    int again_s = 0;
    std::int64_t since_ms = 0;
    std::int64_t next_ms = 0;  // when it is said again
    int repeats = 0;
    bool stands = false;  // said often enough
  };

  bool quiet(std::int64_t now_ms) const;
  proto::Cue quietened(proto::Cue cue, std::int64_t now_ms) const;

  bool always_quiet_ = false;
  std::int64_t quiet_from_min_ = 0;
  std::int64_t quiet_to_min_ = 0;
  std::int64_t local_less_ms_ = 0;
  std::optional<Open> question_;
  std::optional<Open> waiting_;
  std::optional<Open> insisting_;
};

}  // namespace maslin::batch
