// The canonical bytes of a reading: what hashes are computed over, whatever way it is stored or
// sent. Used by the chain and by the chunks; never stored themselves.
#pragma once

#include <cstddef>
#include <span>
#include <string>

#include "proto/reading.hpp"

namespace maslin::record {

// number u64, at_ms i64, digits i64, device u16, state u16, exponent i8, unit u8, quantity u8; each
// little-endian, in this order, without padding.
inline constexpr std::size_t kCanonicalSize = 31;

void append_canonical(std::string& bytes, const proto::Reading& reading);

// SHA-256 over the canonical bytes of all of them, one after the other.
std::string content_hash(std::span<const proto::Reading> readings);

}  // namespace maslin::record
