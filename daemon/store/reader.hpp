// Reading the store over a read-only connection: each question is one short transaction. One thread
// at a time may use a Reader.
#pragma once

#include <filesystem>
#include <memory>
#include <string_view>
#include <vector>

#include "daemon/store/rows.hpp"
#include "proto/trouble.hpp"

namespace maslin::store {

class Database;

class Reader {
 public:
  // `file` must exist and be of this version, as Store::open leaves it.
  static proto::Result<std::unique_ptr<Reader>> open(const std::filesystem::path& file);
  ~Reader();
  Reader(const Reader&) = delete;
  Reader& operator=(const Reader&) = delete;

  // All batches, the newest first.
  proto::Result<std::vector<BatchRow>> batches();
  // By name; an empty name means the newest batch. Trouble: no such batch, with the nearest names.
  proto::Result<BatchRow> find(std::string_view name);
  // Everything recorded. Trouble: no such batch, or a chunk that cannot be read.
  proto::Result<BatchRecord> load(std::int64_t batch);
  // The entries alone, by sequence: a batch has a hundred times as many readings.
  proto::Result<std::vector<EntryRow>> entries(std::int64_t batch);
  // The start entries of the batches that were made of another one, by id.
  struct Made {
    std::string batch;
    std::string start_text;
  };
  proto::Result<std::vector<Made>> made_of_others();
  // Computes the chain and all chunk hashes again. Trouble: what is altered, missing or cut off.
  proto::Result<void> check_intact(std::int64_t batch);

 private:
  explicit Reader(std::unique_ptr<Database> database);
  std::unique_ptr<Database> database_;
};

}  // namespace maslin::store
