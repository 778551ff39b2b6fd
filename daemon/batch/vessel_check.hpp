// One vessel on two scales: whether they agree shows before a weighing is spoilt by one that is
// off. Owned by the engine, fed with every change of a scale.
#pragma once

#include <cstdint>
#include <map>
#include <optional>

#include "daemon/batch/desk.hpp"

namespace maslin::batch {

class VesselCheck {
 public:
  void take(Desk& desk, const ScaleDesk& scale, const weighing::PanChange& change);

 private:
  struct Lifted {
    std::uint16_t device = 0;
    std::int64_t gross_ug = 0;
    std::int64_t at_ms = 0;
  };
  void compare(Desk& desk, const ScaleDesk& here, const ScaleDesk& there, std::int64_t there_ug);

  std::map<std::uint16_t, std::int64_t> gross_ug_;  // by device, of what last rested on it
  std::optional<Lifted> lifted_;
  bool said_ = false;
};

}  // namespace maslin::batch
