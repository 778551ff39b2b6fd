// The hash chain of one batch.
#include "daemon/record/chain.hpp"

#include "daemon/record/canonical.hpp"

namespace maslin::record {
namespace {

constexpr std::size_t kBuffered = 128 * kCanonicalSize;

void put_u64(std::string& bytes, std::uint64_t value) {
  for (int shift = 0; shift < 64; shift += 8) bytes += static_cast<char>((value >> shift) & 0xFFU);
}

}  // namespace

Chain::Chain() : last_(kChainStart) {
  waiting_.reserve(kBuffered + kCanonicalSize);
  begin();
}

void Chain::begin() {
  readings_ = 0;
  hash_.take(last_);
}

void Chain::take(const proto::Reading& reading) {
  append_canonical(waiting_, reading);
  ++readings_;
  if (waiting_.size() >= kBuffered) {
    hash_.take(waiting_);
    waiting_.clear();
  }
}

const std::string& Chain::add(std::string_view entry_text) {
  hash_.take(waiting_);
  waiting_.clear();
  hash_.take(entry_text);
  std::string counts;
  put_u64(counts, readings_);
  put_u64(counts, entry_text.size());
  hash_.take(counts);
  last_ = hash_.finish();
  begin();
  return last_;
}

}  // namespace maslin::record
