// A chunk of stored readings. What is read and written again holds the same readings.
#include "daemon/record/chunk.hpp"
#include "tests/fuzz/promise.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace maslin;
  const auto readings = record::decode(fuzz::text(data, size));
  if (!readings) return 0;
  fuzz::promise(!readings->empty() && readings->size() <= record::kLargestChunk);
  const auto again = record::decode(record::encode(*readings).bytes);
  fuzz::promise(again.has_value() && *again == *readings);
  return 0;
}
