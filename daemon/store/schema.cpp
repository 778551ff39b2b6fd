// The schema of maslin.db, its versions and the checks before it is opened.
#include "daemon/store/schema.hpp"

#include <array>
#include <string>

namespace maslin::store {
namespace {

// Readings stand as rows while they are few and young; afterwards in chunks, see record/chunk.hpp.
// Masses, stamps and digits are integers as everywhere; `input` and `open` are 0 or 1. `reading`
// has no index: it holds a few thousand rows, a question may as well pass over them all, and an
// index would make every commit write twice as much.
constexpr std::string_view kVersion1 = R"sql(
CREATE TABLE batch (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE,
  formula TEXT NOT NULL,
  state TEXT NOT NULL,
  started_utc_ms INTEGER NOT NULL,
  open INTEGER NOT NULL,
  entries INTEGER NOT NULL,
  last_hash TEXT NOT NULL
);
CREATE TABLE entry (
  batch INTEGER NOT NULL REFERENCES batch (id),
  sequence INTEGER NOT NULL,
  at_ms INTEGER NOT NULL,
  utc_ms INTEGER NOT NULL,
  after_reading INTEGER NOT NULL,
  input INTEGER NOT NULL,
  type TEXT NOT NULL,
  text TEXT NOT NULL,
  hash TEXT NOT NULL,
  PRIMARY KEY (batch, sequence)
) WITHOUT ROWID;
CREATE TABLE reading (
  batch INTEGER NOT NULL REFERENCES batch (id),
  number INTEGER NOT NULL,
  at_ms INTEGER NOT NULL,
  digits INTEGER NOT NULL,
  device INTEGER NOT NULL,
  state INTEGER NOT NULL,
  exponent INTEGER NOT NULL,
  unit INTEGER NOT NULL,
  quantity INTEGER NOT NULL
);
CREATE TABLE chunk (
  batch INTEGER NOT NULL REFERENCES batch (id),
  first INTEGER NOT NULL,
  count INTEGER NOT NULL,
  hash TEXT NOT NULL,
  bytes BLOB NOT NULL,
  UNIQUE (batch, first)
);
CREATE TABLE kept (
  key TEXT PRIMARY KEY,
  value TEXT NOT NULL
) WITHOUT ROWID;
)sql";

constexpr std::array<std::string_view, 1> kMigrations{kVersion1};

struct Look {
  std::int64_t version = 0;
  bool is_new = false;  // nothing in it yet: also what a kill in the middle of creation leaves
};

// Looks without writing: a connection that may only read cannot even fold the log into the file.
proto::Result<Look> look(const std::filesystem::path& file, std::size_t newest) {
  auto opened = Database::open(file, Database::Mode::read_only);
  if (!opened) return tl::unexpected(opened.error());
  Database& database = **opened;
  const auto id = database.number("PRAGMA application_id");
  if (!id) return tl::unexpected(id.error());
  const auto version = database.number("PRAGMA user_version");
  if (!version) return tl::unexpected(version.error());
  const auto tables = database.number("SELECT count(*) FROM sqlite_schema");
  if (!tables) return tl::unexpected(tables.error());
  if (*id == 0 && *version == 0 && *tables == 0) return Look{0, true};
  if (*id != kApplicationId) {
    return proto::trouble("is a database of another program", file.string(),
                          "choose another state directory");
  }
  if (*version > static_cast<std::int64_t>(newest)) {
    return proto::trouble("was written by a newer version (" + std::to_string(*version) +
                              "; this one knows " + std::to_string(newest) + ")",
                          file.string(), "start that version, or choose another state directory");
  }
  Statement check(database, "PRAGMA quick_check(1)");
  const auto row = check.step();
  if (!row) return tl::unexpected(row.error());
  if (const std::string answer = check.text(0); answer != "ok") {
    return proto::trouble("is damaged (" + answer + ")", file.string(),
                          "move it away or put a backup in its place; nothing was changed");
  }
  return Look{*version, false};
}

proto::Result<void> migrate(Database& database, std::int64_t version,
                            std::span<const std::string_view> steps) {
  for (auto next = static_cast<std::size_t>(version); next < steps.size(); ++next) {
    const std::string sql = "BEGIN IMMEDIATE;" + std::string(steps[next]) +
                            ";PRAGMA application_id=" + std::to_string(kApplicationId) +
                            ";PRAGMA user_version=" + std::to_string(next + 1) + ";COMMIT;";
    if (const auto done = database.run(sql); !done) {
      database.roll_back();
      return done;
    }
  }
  return {};
}

}  // namespace

std::span<const std::string_view> migrations() { return kMigrations; }

proto::Result<std::unique_ptr<Database>> open_current(const std::filesystem::path& file,
                                                      std::span<const std::string_view> steps) {
  Look found{0, true};
  std::error_code ignored;
  if (std::filesystem::exists(file, ignored)) {
    const auto looked = look(file, steps.size());
    if (!looked) return tl::unexpected(looked.error());
    found = *looked;
  }
  auto opened = Database::open(file, Database::Mode::create);
  if (!opened) return opened;
  Database& database = **opened;
  if (!found.is_new && found.version < static_cast<std::int64_t>(steps.size())) {
    Statement copy(database, "VACUUM INTO ?1");
    const std::string name = file.string() + ".v" + std::to_string(found.version);
    if (const auto done = copy.bind(1, std::string_view(name)).run(); !done) {
      return proto::trouble("the copy before the change of version failed: " + done.error().what,
                            name, "make room, or move an older copy away");
    }
  }
  // A commit is on the disk when it returns; a restart after a power cut loses nothing published.
  for (const std::string_view pragma :
       {"PRAGMA journal_mode=WAL", "PRAGMA synchronous=FULL", "PRAGMA foreign_keys=ON",
        "PRAGMA journal_size_limit=8388608", "PRAGMA secure_delete=OFF"}) {
    if (const auto done = database.run(pragma); !done) return tl::unexpected(done.error());
  }
  if (const auto done = migrate(database, found.version, steps); !done) {
    return tl::unexpected(done.error());
  }
  // Shows now, not at the first pour, whether the file can be written.
  if (const auto done = database.run("BEGIN IMMEDIATE;COMMIT"); !done) {
    return tl::unexpected(done.error());
  }
  return opened;
}

}  // namespace maslin::store
