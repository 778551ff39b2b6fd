// A batch's record as it stands on disk, read from a copy of the state directory: the daemon's own
// files, and what a kill left in its log, stay as they are.
#pragma once

#include <filesystem>

#include "daemon/store/rows.hpp"
#include "proto/trouble.hpp"

namespace maslin::house {

// `batch` as store::Reader::find. The chain is checked. Trouble: what is wrong with the record.
proto::Result<store::BatchRecord> record_on_disk(const std::filesystem::path& state,
                                                 const std::string& batch);

// Bytes of all chunks of readings in the file.
double chunk_bytes(const std::filesystem::path& database);

}  // namespace maslin::house
