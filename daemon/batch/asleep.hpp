// When a scale falls asleep, learned from when it did so twice alike, and the word before it does
// so with a vessel on. Owned by the engine, fed with every reading of a scale and with its silence.
#pragma once

#include <cstdint>
#include <map>

#include "daemon/batch/desk.hpp"

namespace maslin::batch {

class Asleep {
 public:
  // used: by the step that runs; of another scale nothing is said.
  void take(Desk& desk, const ScaleDesk& scale, const weighing::PanChange& change, bool used);
  // It says nothing any more, though it is there.
  void silent(Desk& desk, const ScaleDesk& scale) const;

 private:
  struct Seen {
    std::int64_t moved_ms = 0;  // when its load last changed
    std::int64_t shown_ms = 0;  // its newest reading
    bool warned = false;
  };
  std::map<std::uint16_t, Seen> seen_;  // by device
};

}  // namespace maslin::batch
