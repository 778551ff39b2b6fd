// What the file looks like, whether a file is ours, and how an older one is brought up to date.
// Called by Store::open before anything else is done with the file.
#pragma once

#include <filesystem>
#include <memory>
#include <span>
#include <string_view>

#include "daemon/store/database.hpp"
#include "proto/trouble.hpp"

namespace maslin::store {

// In the header of the file (PRAGMA application_id): "mslN".
inline constexpr std::int64_t kApplicationId = 0x6d736c4e;

// The SQL that leads from version i to i + 1, for i = 0, 1, 2 ... An entry that has been released
// is never changed; new ones are added at the end.
std::span<const std::string_view> migrations();

// Opens the file for writing, made new where there is none, migrated where it is older. Before an
// older file is touched it is copied beside itself as NAME.vVERSION. Troubles as Store::open.
proto::Result<std::unique_ptr<Database>> open_current(const std::filesystem::path& file,
                                                      std::span<const std::string_view> steps);

}  // namespace maslin::store
