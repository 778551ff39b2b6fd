// The hash chain of one batch: each entry's hash covers the one before, the readings taken in
// between and the exact text of the entry, so that neither can be altered, moved or left out
// unseen. session/ runs one beside the engine; store/ runs one over what it has kept, to tell
// whether it is intact.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "daemon/record/hash.hpp"
#include "proto/reading.hpp"

namespace maslin::record {

// Stands in the place of the hash before the first entry and names the format of the chain.
inline constexpr std::string_view kChainStart = "maslin record chain 1: SHA-256";

// The hash of an entry is SHA-256 over: the hash before it as 64 hexadecimal digits (for the first
// entry: kChainStart); the canonical bytes of the readings taken since the entry before; the text;
// the number of those readings and the length of the text in bytes, each u64 little-endian.
class Chain {
 public:
  // A new record: feed every reading and every entry of it, in the order the engine took them.
  Chain();

  void take(const proto::Reading& reading);
  // The hash of this entry, from now on the previous one.
  const std::string& add(std::string_view entry_text);
  // The hash of the last entry; kChainStart before the first.
  const std::string& last() const { return last_; }

 private:
  void begin();

  Sha256 hash_;
  std::string last_;
  std::string waiting_;  // canonical bytes not yet hashed: OpenSSL is asked seldom, not per reading
  std::uint64_t readings_ = 0;
};

}  // namespace maslin::record
