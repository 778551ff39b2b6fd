// Something stands for days or weeks: in brine, in its cure, in a jar. Its place is watched all the
// time; a ferment ends by its pH as well where the formula says so. Says little, and only in waking
// hours.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "daemon/batch/operation.hpp"
#include "daemon/batch/place.hpp"

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
  bool takes_days() const override { return true; }
  void describe(const Desk& desk, proto::BatchStatus& status) const override;

 private:
  void end_when_over(Desk& desk);
  void say_line(Desk& desk);
  void ask_ph(Desk& desk);
  void go_without_ph(Desk& desk);
  void discard(Desk& desk);
  void mind_longest(Desk& desk);
  std::string last_ph(const Desk& desk) const;
  void end(Desk& desk);

  Place place_;
  std::optional<std::int64_t> over_ms_;  // the time is over, and the cook awake from then on
  bool ph_asked_ = false;
  std::int64_t began_ms_ = 0;
  std::optional<std::int64_t> late_ms_;  // it was not sour, and its longest time is over then
  bool late_ = false;                    // and is over
  std::optional<double> asked_with_ph_;
};

}  // namespace maslin::batch
