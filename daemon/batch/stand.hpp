// Something stands for days or weeks: in brine, in its cure, in a jar. How warm the place is comes
// from its thermometer, else from the cook, who is asked once a day; what the place was while
// nobody measured counts against it. Says little, and only in waking hours.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/batch/operation.hpp"
#include "daemon/preserving/place_watch.hpp"

namespace maslin::batch {

class Stand final : public Operation {
 public:
  using Operation::Operation;
  void begin(Desk& desk) override;
  void room_changed(Desk& desk) override;
  std::optional<proto::Trouble> refuses_ok(const Desk& desk) const override;
  void ok(Desk& desk) override;
  std::optional<proto::Trouble> refuses_no(const Desk& desk) const override;
  void no(Desk& desk) override;
  std::optional<proto::Trouble> refuses_accept(const Desk& desk) const override;
  void accept(Desk& desk, const std::string& reason) override;
  void amended(Desk& desk) override;
  void time_passed(Desk& desk) override;
  void unwatched(Desk& desk) override;
  std::optional<std::int64_t> deadline_ms() const override;
  void say_again(Desk& desk) override;
  void describe(const Desk& desk, proto::BatchStatus& status) const override;

 private:
  // One line a day, in the morning; one that was said so shortly before stands in for it (common
  // practice, no source).
  static constexpr std::int64_t line_after_ms = 12 * 3'600'000;
  enum class How : std::uint8_t { measured, seen, by_clock };
  // What the cook is asked; a later one is the more urgent. look: is the place as it should be.
  // undecided: is it so by another thermometer, where this one is too near to its bound. gap: was
  // it so while nothing measured. mixture: an amendment has broken a critical limit. broken:
  // outside for too long.
  enum class Ask : std::uint8_t { nothing, look, undecided, gap, mixture, broken };

  bool looks_like_fahrenheit(Desk& desk, std::int64_t mk);
  void judge_outside(Desk& desk);
  void judge_undecided(Desk& desk);
  void ask(Desk& desk, Ask what, std::int64_t due_ms);
  void ask_rest(Desk& desk);
  std::vector<std::string> unsettled(const Desk& desk) const;
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
  void end_when_over(Desk& desk);
  void say_line(Desk& desk);
  void tell(Desk& desk, bool over);
  std::string bounds(const Desk& desk) const;
  std::string what() const;
  std::string ends_when(const Desk& desk) const;
  std::string to_go(const Desk& desk) const;
  std::string outside_text(const Desk& desk) const;
  std::int64_t outside_ms(std::int64_t now_ms) const;
  std::int64_t left_ms(std::int64_t now_ms) const;
  const char* about() const { return cold_chain_ ? "cold chain" : "temperature while it stands"; }
  const char* undecided_about() const { return "cold chain, not decided by this thermometer"; }
  // They are left and kept apart: a word for the gap says nothing of a break.
  const char* gap_about() const {
    return cold_chain_ ? "cold chain while nothing measured" : "temperature while nothing measured";
  }
  const char* evidence() const;

  How how_ = How::by_clock;
  preserving::PlaceWatch watch_;
  std::int64_t duration_ms_ = 0;
  std::int64_t may_be_outside_ms_ = 0;  // altogether; more once the cook has taken it so far
  std::int64_t outside_before_ms_ = 0;  // when the place was left the last time
  bool cold_chain_ = false;
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
  std::int64_t line_ms_ = 0;             // of the next daily line
  std::int64_t look_ms_ = 0;             // a silent thermometer is asked about then
  std::optional<std::int64_t> over_ms_;  // the time is over, and the cook awake from then on
  std::string question_;                 // the one that is open, in full
};

}  // namespace maslin::batch
