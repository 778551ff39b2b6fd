// Connections and statements of SQLite.
#include "daemon/store/database.hpp"

#include <sqlite3.h>

namespace maslin::store {
namespace {

constexpr int kBusyMs = 5000;

// What SQLite reports, for someone who has never heard of it. The low byte is the kind of fault,
// the rest where in SQLite it arose.
proto::Trouble words(int code, const char* message, const std::string& file) {
  switch (code & 0xFF) {
    case SQLITE_FULL:
      return {"the disk is full", file, "make room on it"};
    case SQLITE_IOERR:
      return {"the disk reports an error (" + std::string(message) + ")", file,
              "look at the disk, then at the system's log"};
    case SQLITE_READONLY:
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
      return {"cannot be opened for writing", file,
              "give the user of the daemon the right to write there"};
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
      return {"is damaged or is no database", file,
              "move it away or put a backup in its place; nothing was changed"};
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return {"is in use by another program", file, "end that program"};
    default:
      return {message, file, ""};
  }
}

}  // namespace

proto::Result<std::unique_ptr<Database>> Database::open(const std::filesystem::path& file,
                                                        Mode mode) {
  const int access =
      mode == Mode::read_only ? SQLITE_OPEN_READONLY : SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE;
  // One connection belongs to one thread, so SQLite need not lock within it.
  const int flags = SQLITE_OPEN_NOMUTEX | access;
  sqlite3* handle = nullptr;
  const int code = sqlite3_open_v2(file.c_str(), &handle, flags, nullptr);
  std::unique_ptr<Database> database(new Database(handle, file.string()));
  if (code != SQLITE_OK) {
    return tl::unexpected(words(code, handle ? sqlite3_errmsg(handle) : "no memory", file));
  }
  sqlite3_extended_result_codes(handle, 1);
  sqlite3_busy_timeout(handle, kBusyMs);
  // Replaces SQLite's own checkpoints, which would run inside a commit.
  sqlite3_wal_hook(
      handle,
      [](void* self, sqlite3*, const char*, int pages) {
        static_cast<Database*>(self)->log_pages_ = pages;
        return SQLITE_OK;
      },
      database.get());
  return database;
}

Database::~Database() { sqlite3_close_v2(handle_); }

proto::Trouble Database::last_trouble() const {
  return words(sqlite3_extended_errcode(handle_), sqlite3_errmsg(handle_), file_);
}

proto::Result<void> Database::run(std::string_view sql) {
  const std::string text(sql);
  if (sqlite3_exec(handle_, text.c_str(), nullptr, nullptr, nullptr) != SQLITE_OK) {
    return tl::unexpected(last_trouble());
  }
  return {};
}

proto::Result<std::int64_t> Database::number(std::string_view sql) {
  Statement statement(*this, sql);
  const auto row = statement.step();
  if (!row) return tl::unexpected(row.error());
  return *row ? statement.integer(0) : 0;
}

// After some faults SQLite has rolled back by itself, and a second time would be a fault of its
// own.
void Database::roll_back() {
  if (sqlite3_get_autocommit(handle_) == 0) {
    sqlite3_exec(handle_, "ROLLBACK", nullptr, nullptr, nullptr);
  }
}

proto::Result<void> Database::checkpoint() {
  const int code =
      sqlite3_wal_checkpoint_v2(handle_, nullptr, SQLITE_CHECKPOINT_PASSIVE, nullptr, nullptr);
  log_pages_ = 0;
  if (code != SQLITE_OK) return tl::unexpected(last_trouble());
  return {};
}

Statement::Statement(Database& database, std::string_view sql) : database_(database) {
  keep(sqlite3_prepare_v2(database.handle(), sql.data(), static_cast<int>(sql.size()), &handle_,
                          nullptr));
}

Statement::~Statement() { sqlite3_finalize(handle_); }

// The first fault stands until step() or run(), so that binding needs no check at each place.
void Statement::keep(int code) {
  if (fault_ == SQLITE_OK) fault_ = code;
}

Statement& Statement::bind(int place, std::int64_t value) {
  keep(sqlite3_bind_int64(handle_, place, value));
  return *this;
}

Statement& Statement::bind(int place, std::string_view text) {
  keep(sqlite3_bind_text64(handle_, place, text.data() ? text.data() : "", text.size(),
                           SQLITE_STATIC, SQLITE_UTF8));
  return *this;
}

Statement& Statement::bind_blob(int place, std::string_view bytes) {
  keep(sqlite3_bind_blob64(handle_, place, bytes.data(), bytes.size(), SQLITE_STATIC));
  return *this;
}

Statement& Statement::bind_null(int place) {
  keep(sqlite3_bind_null(handle_, place));
  return *this;
}

proto::Result<bool> Statement::step() {
  if (fault_ != SQLITE_OK) return tl::unexpected(database_.last_trouble());
  switch (sqlite3_step(handle_)) {
    case SQLITE_ROW:
      return true;
    case SQLITE_DONE:
      return false;
    default:
      return tl::unexpected(database_.last_trouble());
  }
}

proto::Result<void> Statement::run() {
  for (;;) {
    const auto row = step();
    if (!row) {
      auto trouble = tl::unexpected(row.error());
      reset();
      return trouble;
    }
    if (!*row) break;
  }
  reset();
  return {};
}

void Statement::reset() { sqlite3_reset(handle_); }

std::int64_t Statement::integer(int column) const { return sqlite3_column_int64(handle_, column); }

std::string Statement::text(int column) const {
  const auto* bytes = reinterpret_cast<const char*>(sqlite3_column_text(handle_, column));
  const int size = sqlite3_column_bytes(handle_, column);
  return bytes ? std::string(bytes, static_cast<std::size_t>(size)) : std::string();
}

std::string_view Statement::blob(int column) const {
  const auto* bytes = static_cast<const char*>(sqlite3_column_blob(handle_, column));
  const int size = sqlite3_column_bytes(handle_, column);
  return bytes ? std::string_view(bytes, static_cast<std::size_t>(size)) : std::string_view();
}

}  // namespace maslin::store
