// One batch as a pure fold: inputs and readings in, outcomes out. No clock, no socket, no database;
// the same inputs give the same outcomes on every machine. session/ feeds it and takes its outcomes
// on.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>

#include "daemon/batch/asleep.hpp"
#include "daemon/batch/desk.hpp"
#include "daemon/batch/doubts.hpp"
#include "daemon/batch/operation.hpp"
#include "daemon/batch/vessel_check.hpp"
#include "proto/entry.hpp"
#include "proto/methods.hpp"
#include "proto/trouble.hpp"

namespace maslin::batch {

// Raised by hand whenever a stored batch folds differently than before.
inline constexpr int engine_revision = 5;

class Engine {
 public:
  Engine();
  ~Engine();
  Engine(const Engine&) = delete;
  Engine& operator=(const Engine&) = delete;

  // Why a command would be refused now, or empty. A refused command is no input and is not
  // recorded.
  std::optional<proto::Trouble> refuses(const proto::Command& command, std::int64_t at_ms) const;
  std::optional<proto::Trouble> refuses(const proto::Rating& rating) const;
  std::optional<proto::Trouble> refuses(const proto::JarWord& word) const;
  std::optional<proto::Trouble> refuses(const proto::Amendment& amendment) const;
  std::optional<proto::Trouble> refuses(const proto::Measured& measured, std::int64_t at_ms) const;
  // The same of any of the cook's words; what is no word of the cook is not refused.
  std::optional<proto::Trouble> refuses(const proto::Input& input, std::int64_t at_ms) const;

  // at_ms never goes back; a smaller one is taken as the last. The first input must be Start. The
  // outcomes are valid until the next call.
  std::span<const proto::Outcome> input(std::int64_t at_ms, const proto::Input& input);
  // reading.number must be the next; reading.device an index into Start::devices. Masses and
  // temperatures outside what their integers can hold, unusable states and unknown devices are
  // passed over.
  std::span<const proto::Outcome> reading(const proto::Reading& reading);

  // When the engine wants a Timer input next, or empty.
  std::optional<std::int64_t> deadline_ms() const;
  std::int64_t now_ms() const { return desk_.now_ms; }

  // True for a reading that would change nothing and is not worth a place in a record of weeks: the
  // caller drops it before it gets a number. Its own number is not looked at.
  bool passes_over(const proto::Reading& reading) const;

  // A device of the batch that was lost and has not been back; `device` indexes Start::devices.
  bool lost(std::uint16_t device) const;

  // How long the canner took from cold to the boil, once it is known.
  std::optional<std::int64_t> canner_took_ms() const { return desk_.canner.took_ms(); }

  // What pours and scales have taught by now.
  const std::vector<proto::Learned>& learned() const { return desk_.learned; }

  // What was filled took so many jars and, for the shelf, so many new lids; empty before.
  struct Used {
    std::int64_t jars = 0;
    std::int64_t lids = 0;
  };
  std::optional<Used> used() const;

  // complete, stopped and aborted end a batch; it takes notes after that, and a complete one
  // ratings.
  bool ended() const { return ended_; }
  proto::BatchStatus status() const;
  // As it will stand at that time if nothing happens until then: clocks run between inputs too.
  proto::BatchStatus status_at(std::int64_t at_ms);

 private:
  void take(const proto::Start& start);
  void take(const proto::Command& command);
  void take(const proto::DeviceEvent& event);
  void take(const proto::Suspend& suspend);
  void take(const proto::ClockStep& step);
  void take(const proto::Restart& restart);
  void take(const proto::Timer& timer);
  void take(const proto::StoreEvent& event);
  void take(const proto::Rating& rating);
  void take(const proto::JarWord& word);
  void take(const proto::Amendment& amendment);
  void take(const proto::Measured& measured);
  void take_mass(ScaleDesk& scale, const proto::Reading& reading);
  void take_temperature(Thermometer& thermometer, const proto::Reading& reading);
  void take_press(const proto::Reading& reading);
  void take_press(const weighing::Press& press);
  void answer_ok(const char* by = nullptr);
  bool only_just_asked(std::int64_t at_ms) const;
  void say_done();
  std::string may_be_called() const;
  void advance();
  void unwatched(const char* why, std::int64_t gap_ms);
  void end(const char* state, std::string why);

  enum class Sensor : std::uint8_t { other, scale, thermometer, pedal };
  struct Place {
    Sensor sensor = Sensor::other;
    std::size_t index = 0;
  };

  Desk desk_;
  VesselCheck vessels_;
  Asleep asleep_;
  Doubts doubts_;
  std::vector<Place> places_;  // by Reading::device
  std::unique_ptr<Operation> operation_;
  std::unique_ptr<Operation> before_;  // the weighing operation before, for late spoonfuls
  int next_operation_ = 0;
  bool started_ = false;
  bool ended_ = false;
  const char* end_state_ = "";
  std::int64_t ended_ms_ = 0;
  std::optional<std::int64_t> lost_deadline_ms_;
  std::optional<std::uint16_t> lost_device_;
};

}  // namespace maslin::batch
