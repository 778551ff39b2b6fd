// Varints, compressed columns and predictors for chunk.cpp.
#include "daemon/record/columns.hpp"

#include <zstd.h>

#include <cassert>

namespace maslin::record {
namespace {

constexpr int kLevel = 19;  // a chunk is made once in seven minutes; a few ms more are nothing
constexpr std::int64_t kLongestPeriod = std::int64_t{1} << 40;
// A miss beyond this is a gap (sleep, unplugged), not jitter: the grid starts anew.
constexpr std::int64_t kGapMs = 1 << 20;

}  // namespace

void put_varint(std::string& bytes, std::uint64_t value) {
  while (value >= 0x80U) {
    bytes += static_cast<char>((value & 0x7FU) | 0x80U);
    value >>= 7U;
  }
  bytes += static_cast<char>(value);
}

std::uint8_t Cursor::byte() {
  if (rest_.empty()) {
    failed_ = true;
    return 0;
  }
  const auto value = static_cast<std::uint8_t>(rest_.front());
  rest_.remove_prefix(1);
  return value;
}

std::uint64_t Cursor::varint() {
  std::uint64_t value = 0;
  for (unsigned shift = 0; shift < 64; shift += 7) {
    const std::uint8_t group = byte();
    value |= static_cast<std::uint64_t>(group & 0x7FU) << shift;
    if (group < 0x80U) return failed_ ? 0 : value;
  }
  failed_ = true;
  return 0;
}

std::string_view Cursor::take(std::uint64_t size) {
  if (failed_ || size > rest_.size()) {
    failed_ = true;
    rest_ = {};
    return {};
  }
  const std::string_view taken = rest_.substr(0, static_cast<std::size_t>(size));
  rest_.remove_prefix(taken.size());
  return taken;
}

void put_column(std::string& bytes, std::string_view column) {
  std::string packed(ZSTD_compressBound(column.size()), '\0');
  const std::size_t size =
      ZSTD_compress(packed.data(), packed.size(), column.data(), column.size(), kLevel);
  assert(ZSTD_isError(size) == 0U);
  put_varint(bytes, size);
  bytes.append(packed, 0, size);
}

std::optional<std::string> take_column(Cursor& cursor, std::uint64_t most) {
  const std::string_view packed = cursor.take(cursor.varint());
  if (cursor.failed()) return std::nullopt;
  const unsigned long long size = ZSTD_getFrameContentSize(packed.data(), packed.size());
  // Also true for the two error values, which are the greatest numbers there are.
  if (size > most) return std::nullopt;
  std::string column(static_cast<std::size_t>(size), '\0');
  const std::size_t got =
      ZSTD_decompress(column.data(), column.size(), packed.data(), packed.size());
  if (ZSTD_isError(got) != 0U || got != column.size()) return std::nullopt;
  return column;
}

PaceGuess::PaceGuess(std::int64_t first_ms, std::int64_t period, int phase_shift, int period_shift)
    : last_(first_ms),
      period_(period < 0 || period > kLongestPeriod ? 0 : period),
      phase_shift_(phase_shift),
      period_shift_(period_shift) {}

std::int64_t PaceGuess::next() const { return wrapping_add(last_, (ahead_ + period_ + 128) >> 8); }

void PaceGuess::saw(std::int64_t at_ms) {
  const std::int64_t miss = wrapping_sub(at_ms, next());
  const std::int64_t went = wrapping_sub(at_ms, last_);
  last_ = at_ms;
  if (miss > kGapMs || miss < -kGapMs || went > kGapMs || went < -kGapMs) {
    ahead_ = 0;
    return;
  }
  const std::int64_t miss_fine = miss * 256;
  // A miss of half a period and more is a gap too, or the pace changed.
  if (2 * (miss_fine < 0 ? -miss_fine : miss_fine) > period_) {
    ahead_ = 0;
  } else {
    ahead_ += period_ + (miss_fine >> phase_shift_) - went * 256;
  }
  if (period_shift_ > 0) {
    period_ += miss_fine >> period_shift_;
    if (period_ < 0 || period_ > kLongestPeriod) period_ = 0;
  }
}

}  // namespace maslin::record
