// One vessel on two scales, or one whose mass is known: whether a scale is off shows before a
// weighing is spoilt by it. Owned by the engine, fed with every change of a scale.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>

#include "daemon/batch/desk.hpp"

namespace maslin::batch {

class VesselCheck {
 public:
  // asks: a vessel that comes now is looked at; else only what rests where is kept.
  void take(Desk& desk, const ScaleDesk& scale, const weighing::PanChange& change, bool asks);

 private:
  struct Lifted {
    std::uint16_t device = 0;
    std::int64_t gross_ug = 0;
    std::int64_t at_ms = 0;
  };
  void check_known(Desk& desk, const ScaleDesk& scale);
  void compare(Desk& desk, const ScaleDesk& here, const ScaleDesk& there, std::int64_t there_ug);

  std::map<std::uint16_t, std::int64_t> gross_ug_;  // by device, of what last rested on it
  std::optional<Lifted> lifted_;
  bool said_ = false;
  std::set<std::uint16_t> checked_;  // scales, by the known vessel
};

}  // namespace maslin::batch
