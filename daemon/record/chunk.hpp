// Readings of a batch that are done with, column by column and compressed: what 6,000 rows of the
// store become. The text of the format stands in README.md beside this file.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "proto/reading.hpp"
#include "proto/trouble.hpp"

namespace maslin::record {

inline constexpr std::size_t kLargestChunk = 65'536;  // readings; more is refused by decode

struct Chunk {
  std::uint64_t first = 0;  // number of its first reading
  std::uint64_t count = 0;
  std::string hash;   // content_hash of its readings: stays when a chunk is coded anew
  std::string bytes;  // as written by encode
};

// 1 to kLargestChunk readings with consecutive numbers (anything else is the caller's fault). Every
// value of every field survives, also where time goes back.
Chunk encode(std::span<const proto::Reading> readings);

// The readings again. Bytes that encode did not write give a Trouble, never a crash and never more
// than kLargestChunk readings; whether the content is the true one is for the hash to say.
proto::Result<std::vector<proto::Reading>> decode(std::string_view bytes);

}  // namespace maslin::record
