// Heating to an end point, and the dwell at the boil. Every condition is met by a reading or by the
// cook's word, and the record says which.
#pragma once

#include <cstdint>
#include <optional>

#include "daemon/batch/operation.hpp"

namespace maslin::batch {

// The pan's thermometer is far below a target, and the cook says that the pan is there: true where
// a second ok has confirmed it, or nothing contradicts. target_mk 0: nothing can.
bool confirmed_against_pan(Desk& desk, std::int64_t target_mk, const char* claim);

class Heat final : public Operation {
 public:
  using Operation::Operation;
  void begin(Desk& desk) override;
  void pan_changed(Desk& desk) override;
  void ok(Desk& desk) override;
  void say_again(Desk& desk) override;
  void describe(const Desk& desk, proto::BatchStatus& status) const override;

 private:
  void foam(Desk& desk);
  void met(Desk& desk, const char* what, const char* evidence);
  void doubt(Desk& desk, std::int64_t temperature_mk);
  bool near_said_ = false;
  bool foam_said_ = false;
  bool doubted_ = false;
  std::optional<std::int64_t> still_mk_;  // it has been there, give or take, since
  std::int64_t still_since_ms_ = 0;
  std::optional<std::int64_t> above_since_ms_;
};

// A time that must pass while the pan boils or stays at a temperature. It counts only what was
// watched or vouched for by the cook. A thermometer that fell silent, or left the boil sooner than
// a pot can cool, is no evidence of either: a few seconds are let pass, then the eye is asked, and
// without an answer the time stands still from where the doubt began. Where the thermometer had
// shown the boil and shows it no more, the cook's word holds for a while only, and is asked for
// again, as it is where the thermometer comes to stand far below; what it does not cover at the end
// does not count.
class Dwell final : public Operation {
 public:
  using Operation::Operation;
  void begin(Desk& desk) override;
  void pan_changed(Desk& desk) override;
  std::optional<proto::Trouble> refuses_ok(const Desk& desk) const override;
  void ok(Desk& desk) override;
  std::optional<proto::Trouble> refuses_no(const Desk& desk) const override;
  void no(Desk& desk) override;
  void time_passed(Desk& desk) override;
  void unwatched(Desk& desk) override;
  std::optional<std::int64_t> deadline_ms() const override;
  void say_again(Desk& desk) override;
  void describe(const Desk& desk, proto::BatchStatus& status) const override;

 private:
  // No evidence of the boil any more, and none of its loss.
  struct Doubt {
    std::int64_t since_ms;  // nothing after that counts until it is settled
    bool silent;            // else the thermometer shows something else
    std::int64_t ask_ms;
    // The silence was short and no reading since contradicts: the boil has only to be shown again.
    bool passing = false;
    bool put_off = false;  // the question, once: the thermometer is on its way back
  };
  void run(Desk& desk, const char* evidence);
  void pause(Desk& desk, const std::string& why, std::int64_t until_ms);
  void doubt(std::int64_t since_ms, bool silent, std::int64_t from_ms);
  void settle(Desk& desk);
  void boil_changed(Desk& desk, std::int64_t temperature_mk);
  void take_boil(Desk& desk, preserving::BoilChange change);
  void target_changed(Desk& desk, std::int64_t temperature_mk);
  void hold_against_readings(Desk& desk, std::int64_t temperature_mk);
  void open_question(Desk& desk);
  std::optional<std::int64_t> stands_against_word_mk(const Desk& desk) const;
  void silence_ends(Desk& desk);
  void ask(Desk& desk);
  void end_when_over(Desk& desk);
  void hold_against_altitude(Desk& desk);
  bool asked() const { return asked_ms_.has_value(); }
  // From when on the running span rests on nothing by now.
  std::int64_t covered_ms(std::int64_t now_ms) const;
  std::int64_t left_ms(std::int64_t now_ms) const;

  std::int64_t counted_ms_ = 0;  // before the running span
  std::optional<std::int64_t> runs_since_ms_;
  std::int64_t duration_ms_ = 0;
  std::int64_t longest_ms_ = 0;
  std::int64_t began_ms_ = 0;
  bool needs_boil_ = false;
  bool by_eye_ = false;         // the thermometer decides nothing
  bool restarts_ = false;       // a lost boil begins the time again
  std::int64_t target_mk_ = 0;  // 0: no temperature is asked for
  bool measured_ = false;       // the running span rests on readings, else on the cook's word
  bool was_there_ = false;      // the thermometer has shown the temperature that is asked for
  bool too_long_said_ = false;
  bool held_against_ = false;     // the altitude, or it need not be
  std::int64_t last_pan_ms_ = 0;  // when the thermometer was last heard
  std::optional<Doubt> doubt_;
  std::int64_t vouched_ms_ = 0;  // the cook's last word
  // What the thermometer showed then, or at the boil since; empty: it was silent.
  std::optional<std::int64_t> vouched_at_mk_;
  std::int64_t vouch_every_ms_ = 0;       // how long it holds; 0: as long as the step does
  std::optional<std::int64_t> asked_ms_;  // the question that is open
};

}  // namespace maslin::batch
