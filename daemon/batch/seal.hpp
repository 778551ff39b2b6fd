// Are the jars sealed: asked when they have stood for twelve hours, in waking hours, before a day
// is over; jar by jar with one bit, where silence counts as not sealed. What did not seal is put
// right within the day or goes to the refrigerator.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "daemon/batch/operation.hpp"

namespace maslin::batch {

class SealCheck final : public Operation {
 public:
  using Operation::Operation;
  void begin(Desk& desk) override;
  void ok(Desk& desk) override;
  std::optional<proto::Trouble> refuses_ok(const Desk& desk) const override;
  std::optional<proto::Trouble> refuses(const Desk& desk,
                                        const proto::JarWord& word) const override;
  void take(Desk& desk, const proto::JarWord& word) override;
  void jars_moved(Desk& desk) override;
  void time_passed(Desk& desk) override;
  void unwatched(Desk& desk) override;
  std::optional<std::int64_t> deadline_ms() const override;
  void say_again(Desk& desk) override;
  void describe(const Desk& desk, proto::BatchStatus& status) const override;
  std::optional<int> goes_back(const Desk& desk) const override;

 private:
  // waiting: for the hour. ready: the cook is asked to come. each: jar by jar. deciding: some did
  // not seal, and the day is not over.
  enum class Stage { waiting, ready, each, deciding };

  void stand_ready(const Desk& desk);
  void call(Desk& desk);
  void ask(Desk& desk);
  void judge(Desk& desk);
  void give_up(Desk& desk);
  void ask_or_judge(Desk& desk);
  std::int64_t left_ms(const Desk& desk) const;
  bool late(const Desk& desk) const;

  Stage stage_ = Stage::waiting;
  std::int64_t stood_ms_ = 0;  // twelve hours after the bath: from then on the cook may tell
  std::optional<std::int64_t> due_ms_;  // of the stage
  std::int64_t day_over_ms_ = 0;        // a day after the bath
  std::vector<std::int64_t> jars_;      // that are asked about
  std::vector<std::int64_t> open_;      // those that did not seal
  std::size_t next_ = 0;
  bool again_ = false;
};

}  // namespace maslin::batch
