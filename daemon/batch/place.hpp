// The place in which food stands or dries for days: how warm it is comes from its thermometer, else
// from the cook, who is asked once a day; what it was while nobody measured counts against it. Part
// of Stand and of Dry, which say what the place is for and when that is over.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/batch/desk.hpp"
#include "daemon/preserving/place_watch.hpp"
#include "proto/methods.hpp"

namespace maslin::batch {

class Place {
 public:
  // What the food does there. What dries in a drier without a thermometer is not asked about, but
  // for meat: its row in the record says that nothing was measured.
  enum class For : std::uint8_t { standing, drying };

  // `duration_ms`: how long it must be there; 0: something else ends it.
  void begin(Desk& desk, int operation, For purpose, std::int64_t duration_ms);
  void changed(Desk& desk);  // the thermometer has a reading, was lost or found
  // A question is open; none is, and none waits for the morning.
  bool asks() const { return ask_ != Ask::nothing; }
  bool quiet() const { return ask_ == Ask::nothing && pending_ == Ask::nothing && !fahrenheit_; }
  // Of the question that is open.
  bool takes_no() const { return only_asks() || ask_ == Ask::gap; }
  bool takes_accept() const { return ask_ == Ask::broken || ask_ == Ask::mixture; }
  void ok(Desk& desk);
  void no(Desk& desk);
  void accept(Desk& desk, const std::string& reason);
  void amended(Desk& desk);
  // Opens what was put off until the cook is awake, and judges how long it has been outside by now.
  void open_due(Desk& desk);
  // Asks again what nobody has answered since yesterday, and how it is there where nothing tells.
  // at_end: its time is over, so it is asked at once.
  void ask_due(Desk& desk, bool at_end);
  void unwatched(const Desk& desk);
  // `daily`: there is a word for each day beside the questions.
  std::optional<std::int64_t> deadline_ms(bool daily) const;
  bool say_again(Desk& desk);  // the open question; false where there is none
  // The food leaves, and nothing else is asked: what was nobody knows since the last reading. Where
  // it may have been outside for too long, that is asked.
  void leave(Desk& desk);
  void tell(Desk& desk, bool over);  // as a Stood
  void describe(const Desk& desk, proto::BatchStatus& status) const;

  bool line_due(std::int64_t now_ms) const { return now_ms >= line_ms_; }
  void line_said(const Desk& desk);
  bool asks_daily() const { return how_ == How::seen; }
  bool time_is_over(std::int64_t now_ms) const;
  // Where nothing but a clock tells when its time is over.
  std::optional<std::int64_t> over_at_ms() const;
  std::int64_t left_ms(std::int64_t now_ms) const;
  std::string to_go(const Desk& desk) const;
  std::string bounds(const Desk& desk) const;
  std::string so_far(const Desk& desk) const;  // "1.8 °C to 4.1 °C so far."; "" nothing measured
  const char* evidence() const;

 private:
  enum class How : std::uint8_t { measured, seen, by_clock };
  // What the cook is asked; a later one is the more urgent. look: is the place as it should be.
  // undecided: is it so by another thermometer, where this one is too near to its bound. gap: was
  // it so while nothing measured. mixture: an amendment has broken a critical limit. broken:
  // outside for too long.
  enum class Ask : std::uint8_t { nothing, look, undecided, gap, mixture, broken };

  const proto::PlannedOperation& planned(const Desk& desk) const;
  bool looks_like_fahrenheit(Desk& desk, std::int64_t mk);
  void judge_outside(Desk& desk);
  void judge_undecided(Desk& desk);
  void ask(Desk& desk, Ask what, std::int64_t due_ms);
  void ask_rest(Desk& desk);
  std::vector<std::string> unsettled(const Desk& desk) const;
  void settle(Desk& desk, const std::string& limit);
  void open(Desk& desk);
  void say_look(Desk& desk);
  void close(Desk& desk, const char* by);
  void ask_about_gap(Desk& desk, std::int64_t allowed_ms);
  void settle_gap(Desk& desk);
  void settle_undecided(Desk& desk, bool cold);
  // Asked, and nothing is held meanwhile.
  bool only_asks() const { return ask_ == Ask::look || ask_ == Ask::undecided; }
  void leave_limit(Desk& desk);
  void discard(Desk& desk);
  std::string what() const;
  std::string ends_when(const Desk& desk) const;
  std::string outside_text(const Desk& desk) const;
  std::int64_t outside_ms(std::int64_t now_ms) const;
  bool stands() const { return purpose_ == For::standing; }
  const char* where() const { return stands() ? "where it stands" : "where it dries"; }
  const char* about() const {
    return cold_chain_ ? "cold chain"
           : stands()  ? "temperature while it stands"
                       : "temperature while it dries";
  }
  const char* undecided_about() const { return "cold chain, not decided by this thermometer"; }
  // They are left and kept apart: a word for the gap says nothing of a break.
  const char* gap_about() const {
    return cold_chain_ ? "cold chain while nothing measured" : "temperature while nothing measured";
  }

  int operation_ = 0;
  For purpose_ = For::standing;
  How how_ = How::by_clock;
  preserving::PlaceWatch watch_;
  std::int64_t duration_ms_ = 0;
  std::int64_t may_be_outside_ms_ = 0;  // altogether; more once the cook has taken it so far
  std::int64_t outside_before_ms_ = 0;  // when the place was left the last time
  bool cold_chain_ = false;
  bool looked_at_ = false;  // where nothing measures, the cook is asked
  bool leaves_ = false;     // the food: the end of its time here was judged
  bool warned_ = false;
  bool broken_ = false;  // and not answered yet
  bool gap_ = false;     // was too long, and not answered yet
  bool undecided_ = false;
  bool fahrenheit_ = false;
  bool taken_away_in_fahrenheit_ = false;
  std::vector<std::string> settled_;  // limits left by amendments that the cook has accepted
  Ask ask_ = Ask::nothing;
  Ask pending_ = Ask::nothing;  // asked at due_ms_, when the cook is awake
  std::int64_t due_ms_ = 0;
  std::int64_t line_ms_ = 0;  // of the next daily word
  std::int64_t look_ms_ = 0;  // a silent thermometer is asked about then
  std::string question_;      // the one that is open, in full
};

}  // namespace maslin::batch
