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
// watched or vouched for by the cook.
class Dwell final : public Operation {
 public:
  using Operation::Operation;
  void begin(Desk& desk) override;
  void pan_changed(Desk& desk) override;
  std::optional<proto::Trouble> refuses_ok(const Desk& desk) const override;
  void ok(Desk& desk) override;
  void time_passed(Desk& desk) override;
  void unwatched(Desk& desk) override;
  std::optional<std::int64_t> deadline_ms() const override;
  void say_again(Desk& desk) override;
  void describe(const Desk& desk, proto::BatchStatus& status) const override;

 private:
  void run(Desk& desk, const char* evidence);
  void pause(Desk& desk, const std::string& why, std::int64_t until_ms);
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
  bool too_long_said_ = false;
  std::int64_t last_pan_ms_ = 0;                // when the thermometer was last heard
  std::optional<std::int64_t> blind_since_ms_;  // the thermometer it rested on is silent
};

}  // namespace maslin::batch
