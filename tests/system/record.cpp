// The record on disk, over the store.
#include "tests/system/record.hpp"

#include "daemon/store/store.hpp"
#include "tests/system/house.hpp"

namespace maslin::house {

proto::Result<store::BatchRecord> record_on_disk(const fs::path& state, const std::string& batch) {
  const Directory here;
  fs::copy(state, here / "state", fs::copy_options::recursive);
  const auto store = store::Store::open(here / "state", [](std::function<void()>) {});
  if (!store) return tl::unexpected<proto::Trouble>(store.error());
  auto& reader = (*store)->reader();
  const auto row = reader.find(batch);
  if (!row) return tl::unexpected<proto::Trouble>(row.error());
  if (const auto intact = reader.check_intact(row->id); !intact) {
    return tl::unexpected<proto::Trouble>(intact.error());
  }
  return reader.load(row->id);
}

}  // namespace maslin::house
