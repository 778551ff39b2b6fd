// SQLite as this folder uses it: a connection and a prepared statement that close themselves, and
// faults as Troubles in words. Private to store/; nobody else sees SQLite.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>

#include "proto/trouble.hpp"

struct sqlite3;
struct sqlite3_stmt;

namespace maslin::store {

// One connection, for one thread at a time.
class Database {
 public:
  // create: for reading and writing, made where there is none.
  enum class Mode { read_only, create };
  static proto::Result<std::unique_ptr<Database>> open(const std::filesystem::path& file,
                                                       Mode mode);
  ~Database();
  Database(const Database&) = delete;
  Database& operator=(const Database&) = delete;

  // One or more SQL statements without parameters or rows.
  proto::Result<void> run(std::string_view sql);
  // What the last call failed with.
  proto::Trouble last_trouble() const;
  // The single number that a query gives; 0 where it gives no row.
  proto::Result<std::int64_t> number(std::string_view sql);

  void roll_back();  // where a transaction is open
  // Pages that the write-ahead log held after the last commit.
  int log_pages() const { return log_pages_; }
  proto::Result<void> checkpoint();

  sqlite3* handle() const { return handle_; }

 private:
  Database(sqlite3* handle, std::string file) : handle_(handle), file_(std::move(file)) {}
  sqlite3* handle_;
  std::string file_;
  int log_pages_ = 0;
};

// A prepared statement. A fault in preparing or binding is kept and given by the next step().
class Statement {
 public:
  Statement(Database& database, std::string_view sql);
  ~Statement();
  Statement(const Statement&) = delete;
  Statement& operator=(const Statement&) = delete;

  // Parameters count from 1, columns from 0. Bound text must live until reset().
  Statement& bind(int place, std::int64_t value);
  Statement& bind(int place, std::string_view text);
  Statement& bind_blob(int place, std::string_view bytes);
  Statement& bind_null(int place);

  proto::Result<bool> step();  // true: a row is there
  proto::Result<void> run();   // steps to the end and resets
  void reset();

  std::int64_t integer(int column) const;
  std::string text(int column) const;
  std::string_view blob(int column) const;  // until the next step

 private:
  void keep(int code);
  Database& database_;
  sqlite3_stmt* handle_ = nullptr;
  int fault_ = 0;
};

}  // namespace maslin::store
