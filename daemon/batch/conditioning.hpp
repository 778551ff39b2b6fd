// Conditioning: what was dried stands some days in a closed jar, shaken every day, so that pieces
// that are still moist share their water with the others. Asked once a day in waking hours, with
// one bit: drops or mist on the glass send it back to the drier. Days that nobody answered for do
// not count.
#pragma once

#include <cstdint>
#include <optional>

#include "daemon/batch/operation.hpp"

namespace maslin::batch {

class Conditioning final : public Operation {
 public:
  using Operation::Operation;
  void begin(Desk& desk) override;
  std::optional<proto::Trouble> refuses_ok(const Desk& desk) const override;
  void ok(Desk& desk) override;  // no drops
  std::optional<proto::Trouble> refuses_no(const Desk& desk) const override;
  void no(Desk& desk) override;  // drops
  void time_passed(Desk& desk) override;
  std::optional<std::int64_t> deadline_ms() const override;
  void say_again(Desk& desk) override;
  bool takes_days() const override { return true; }
  void describe(const Desk& desk, proto::BatchStatus& status) const override;
  std::optional<int> goes_back(const Desk& desk) const override;

 private:
  std::int64_t days(const Desk& desk) const;

  std::int64_t dry_days_ = 0;  // with an answer, and no drops
  std::int64_t next_ms_ = 0;   // asked again
  bool asked_ = false;
  bool drops_ = false;
};

}  // namespace maslin::batch
