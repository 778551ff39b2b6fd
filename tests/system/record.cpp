// The record on disk, over the store.
#include "tests/system/record.hpp"

#include <sqlite3.h>

#include <cstdlib>

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

double chunk_bytes(const fs::path& database) {
  sqlite3* handle = nullptr;
  double bytes = 0;
  if (sqlite3_open_v2(database.c_str(), &handle, SQLITE_OPEN_READONLY, nullptr) == SQLITE_OK) {
    sqlite3_exec(
        handle, "SELECT total(length(bytes)) FROM chunk",
        [](void* out, int, char** values, char**) {
          *static_cast<double*>(out) = std::strtod(values[0], nullptr);
          return 0;
        },
        &bytes, nullptr);
  }
  sqlite3_close(handle);
  return bytes;
}

}  // namespace maslin::house
