// The water bath: jars in, the vigorous boil, the published time in one piece, five minutes of
// rest. A boil that is lost starts the time again from zero. Its clock runs whatever else is held.
// The first hard boil is the cook's to see: no uncalibrated thermometer tells it from water that
// stands a degree below, nor does a calibrated one without the depth and the weather
// (tests/scenario/bath_truth_test). What the thermometer shows then is the level that it watches.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "daemon/batch/operation.hpp"
#include "daemon/preserving/boil_watch.hpp"

namespace maslin::batch {

class Bath final : public Operation {
 public:
  explicit Bath(int index) : Operation(index), watch_(preserving::canner_rule) {}
  void begin(Desk& desk) override;
  void canner_changed(Desk& desk) override;
  std::optional<proto::Trouble> refuses_ok(const Desk& desk) const override;
  void ok(Desk& desk) override;
  void time_passed(Desk& desk) override;
  void unwatched(Desk& desk) override;
  bool food_stands(const Desk&) const override { return stage_ != Stage::resting; }
  std::optional<std::int64_t> deadline_ms() const override;
  void say_again(Desk& desk) override;
  void describe(const Desk& desk, proto::BatchStatus& status) const override;

 private:
  // loading: the jars go in. coming: they are in, the hard boil is not there. timed: the time runs.
  // asking: nobody watched, and the cook is asked whether it boiled. resting: five minutes.
  enum class Stage { loading, coming, timed, asking, resting };

  bool expects_readings(const Desk& desk) const;
  bool can_measure(const Desk& desk) const;
  void begin_time(Desk& desk, const char* evidence);
  void lose(Desk& desk, const std::string& evidence, std::int64_t since_ms);
  void come_again(Desk& desk);
  void withdraw_question(Desk& desk);
  void ask_for_boil(Desk& desk, std::int64_t shows_mk);
  bool confirmed_against_canner(Desk& desk);
  void ask(Desk& desk, std::int64_t watched_until_ms);
  void give_up(Desk& desk);
  bool wavers(const Desk& desk) const;
  std::int64_t left_ms(std::int64_t now_ms) const;
  std::string minutes() const;

  Stage stage_ = Stage::loading;
  std::optional<std::int64_t> again_by_ms_;  // loading again: the day is over then
  preserving::BoilWatch watch_;
  std::int64_t duration_ms_ = 0;
  std::int64_t counted_ms_ =
      0;  // before the running span: all of it watched, none of it off the boil
  std::int64_t since_ms_ = 0;  // of the stage; of the running span while timed
  bool measured_ = false;      // the time rests on readings, else on the cook's word
  bool wavering_ = false;      // the time is up, and it stands a little under its boil
  bool stalled_said_ = false;
  bool asked_with_boil_ = false;  // loading: the ok was asked for jars and boil in one
  bool asked_for_boil_ = false;   // coming: it stands, and the cook is asked whether it boils
  bool level_known_ = false;      // the cook has seen it boil while the thermometer was there
  bool canner_there_ = false;
  bool contradicted_ = false;                   // its boil and the altitude; said once
  std::optional<std::int64_t> blind_since_ms_;  // the thermometer it rests on is silent
  std::int64_t last_canner_ms_ = 0;
};

}  // namespace maslin::batch
