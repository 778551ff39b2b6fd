// Operations that nothing can sense, or only their end: preparing, filling, cooling, checking
// seals. They go on with the cook's one-bit answer, preparing also with the next thing sensed.
#pragma once

#include "daemon/batch/operation.hpp"

namespace maslin::batch {

class Step final : public Operation {
 public:
  using Operation::Operation;
  void begin(Desk& desk) override;
  void scale_changed(Desk& desk, ScaleDesk& scale, const weighing::PanChange& change) override;
  void ok(Desk& desk) override;
  void say_again(Desk& desk) override;
};

}  // namespace maslin::batch
