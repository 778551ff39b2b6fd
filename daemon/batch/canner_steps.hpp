// The two steps of the canner beside the pan: it is put on the heat first, and the pan waits for
// it.
#pragma once

#include <cstdint>
#include <optional>

#include "daemon/batch/operation.hpp"

namespace maslin::batch {

// Put on the heat: by the cook's word, or by what its thermometer shows.
class LightCanner final : public Operation {
 public:
  using Operation::Operation;
  void begin(Desk& desk) override;
  void canner_changed(Desk& desk) override;
  void ok(Desk& desk) override;
  void say_again(Desk& desk) override;

 private:
  std::optional<std::int64_t> first_mk_;
};

// The pan waits until pan and filling take no less than the canner still does.
class WaitForCanner final : public Operation {
 public:
  using Operation::Operation;
  void begin(Desk& desk) override;
  void canner_changed(Desk& desk) override;
  void ok(Desk& desk) override;
  void time_passed(Desk& desk) override;
  std::optional<std::int64_t> deadline_ms() const override;
  void say_again(Desk& desk) override;
  void describe(const Desk& desk, proto::BatchStatus& status) const override;

 private:
  std::int64_t left_ms(const Desk& desk) const;
  void judge(Desk& desk);

  std::optional<std::int64_t> due_ms_;
  bool said_ = false;
  bool asked_ = false;
};

}  // namespace maslin::batch
