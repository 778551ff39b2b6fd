// A HID report descriptor (its length in the first two bytes) and a report behind it.
#include <algorithm>
#include <span>

#include "plugins/hid-scale/layout.hpp"
#include "tests/fuzz/promise.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace maslin;
  if (size < 2) return 0;
  const std::span<const std::uint8_t> bytes(data + 2, size - 2);
  const std::size_t length = std::min<std::size_t>(data[0] * 256U + data[1], bytes.size());
  const auto layout = hid::Layout::of(bytes.first(length));
  if (!layout) {
    fuzz::promise(!layout.error().empty());
    return 0;
  }
  const auto report = bytes.subspan(length);
  const auto readings = layout->decode(report);
  fuzz::promise(readings.has_value() || !readings.error().empty());
  (void)layout->limit(report);
  (void)layout->step(report);
  return 0;
}
