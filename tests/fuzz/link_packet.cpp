// A packet from a plugin's host. What is read and written again is the same packet.
#include <algorithm>
#include <cstddef>

#include "proto/link.hpp"
#include "tests/fuzz/promise.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace maslin;
  const auto packet = proto::link::decode({reinterpret_cast<const std::byte*>(data), size});
  if (!packet) return 0;
  const auto written = proto::link::encode(*packet);
  const auto again = proto::link::decode(written);
  fuzz::promise(again.has_value() && proto::link::encode(*again) == written);
  return 0;
}
