// Plays a stored batch through the engine again and compares what it decides with what is recorded.
// Pure; used by `verify` and before an open batch goes on after a restart.
#pragma once

#include <string>

#include "daemon/store/rows.hpp"
#include "proto/methods.hpp"

namespace maslin::session {

struct Rerun {
  bool same = true;
  std::string first_difference;  // in words, with the number of the entry
  int recorded_revision = 0;     // of the engine that made the record
};
Rerun rerun(const store::BatchRecord& record);

// The answer of `maslin verify` for a record whose chain is intact.
proto::Verified verified(const store::BatchRecord& record, const Rerun& rerun);

}  // namespace maslin::session
