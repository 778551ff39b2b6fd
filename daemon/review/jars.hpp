// The jars of all batches: where they are, what to use first, what is past its date, what is due,
// and which of them hold a lot. session/ calls it in its reader thread.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "proto/entry.hpp"
#include "proto/report.hpp"

namespace maslin::review {

struct JarQuestion {
  std::string batch;            // only its jars; "" all
  std::string lot;              // only those that hold it, wherever they are; "" all
  bool all = false;             // given and discarded ones too
  bool names = false;           // to whom they were given
  std::int64_t now_utc_ms = 0;  // Unix time
};

// Whether entries of this type say anything about jars; others may be left out of what jars() gets.
bool tells_of_jars(std::string_view entry_type);

// One vector of entries for each batch, by sequence.
proto::JarList jars(std::span<const std::vector<proto::Entry>> batches,
                    const JarQuestion& question);

}  // namespace maslin::review
