// The text of an entry, as a record holds it. What is read and written again states the same.
#include "proto/json.hpp"
#include "tests/fuzz/promise.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace maslin;
  const auto entry = proto::read_entry(fuzz::text(data, size));
  if (!entry) return 0;
  const auto written = proto::entry_text(*entry);
  const auto again = proto::read_entry(written);
  fuzz::promise(again.has_value() && proto::entry_text(*again) == written);
  fuzz::promise(proto::same_facts(written, written));
  return 0;
}
