// Lays readings out as canonical bytes for the chain and the chunk hashes.
#include "daemon/record/canonical.hpp"

#include "daemon/record/hash.hpp"

namespace maslin::record {
namespace {

void put(std::string& bytes, std::uint64_t value, int size) {
  for (int i = 0; i < size; ++i) {
    bytes += static_cast<char>((value >> (8 * i)) & 0xFFU);
  }
}

}  // namespace

void append_canonical(std::string& bytes, const proto::Reading& reading) {
  put(bytes, reading.number, 8);
  put(bytes, static_cast<std::uint64_t>(reading.at_ms), 8);
  put(bytes, static_cast<std::uint64_t>(reading.digits), 8);
  put(bytes, reading.device, 2);
  put(bytes, reading.state, 2);
  put(bytes, static_cast<std::uint8_t>(reading.exponent), 1);
  put(bytes, static_cast<std::uint8_t>(reading.unit), 1);
  put(bytes, static_cast<std::uint8_t>(reading.quantity), 1);
}

std::string content_hash(std::span<const proto::Reading> readings) {
  std::string bytes;
  bytes.reserve(readings.size() * kCanonicalSize);
  for (const proto::Reading& reading : readings) append_canonical(bytes, reading);
  return sha256_hex(bytes);
}

}  // namespace maslin::record
