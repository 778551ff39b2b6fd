// The longest time at the boil altogether that a formula allows: acid leaves with the steam. Part
// of the desk; runs from the first boil of the pan until it is off the heat to be filled.
#pragma once

#include <cstdint>
#include <optional>

namespace maslin::batch {

class Desk;

class BoilLimit {
 public:
  void boils(const Desk& desk);
  void off() { since_ms_.reset(); }
  void time_passed(Desk& desk);
  std::optional<std::int64_t> deadline_ms(const Desk& desk) const;

 private:
  std::optional<std::int64_t> since_ms_;
  bool left_ = false;
};

}  // namespace maslin::batch
