// Operations that nothing can sense, or only their end: preparing, cooling. They go on with the
// cook's one-bit answer, preparing also with the next thing sensed.
#pragma once

#include "daemon/batch/operation.hpp"

namespace maslin::batch {

class Step final : public Operation {
 public:
  using Operation::Operation;
  void begin(Desk& desk) override;
  void scale_changed(Desk& desk, ScaleDesk& scale, const weighing::PanChange& change) override;
  std::optional<proto::Trouble> refuses_ok(const Desk& desk) const override;
  std::optional<proto::Trouble> refuses(const Desk& desk,
                                        const proto::JarWord& word) const override;
  void take(Desk& desk, const proto::JarWord& word) override;
  void ok(Desk& desk) override;
  void say_again(Desk& desk) override;
  // Where a time is stated, the clock ends the step; it also runs while nobody watches.
  void time_passed(Desk& desk) override;
  std::optional<std::int64_t> deadline_ms() const override;
  void describe(const Desk& desk, proto::BatchStatus& status) const override;

 private:
  std::int64_t left_ms(const Desk& desk) const;

  std::int64_t began_ms_ = 0;
  std::int64_t duration_ms_ = 0;  // 0: until the cook says so
};

}  // namespace maslin::batch
