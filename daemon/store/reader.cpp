// Reading the store: batches, whole records, and whether a record is intact.
#include "daemon/store/reader.hpp"

#include <algorithm>

#include "daemon/record/canonical.hpp"
#include "daemon/record/chain.hpp"
#include "daemon/record/chunk.hpp"
#include "daemon/store/database.hpp"
#include "daemon/store/reading_row.hpp"
#include "proto/json.hpp"

namespace maslin::store {
namespace {

using proto::Result;

constexpr std::string_view kBatchColumns =
    "SELECT id, name, formula, state, started_utc_ms, open, entries, last_hash FROM batch ";

BatchRow batch_row(const Statement& row) {
  return {row.integer(0), row.text(1),         row.text(2),    row.text(3),
          row.integer(4), row.integer(5) != 0, row.integer(6), row.text(7)};
}

// All that a method reads belongs to one moment: what the writer commits meanwhile is not seen.
class Snapshot {
 public:
  explicit Snapshot(Database& database) : database_(database) { began_ = database_.run("BEGIN"); }
  ~Snapshot() { database_.roll_back(); }
  Snapshot(const Snapshot&) = delete;
  Snapshot& operator=(const Snapshot&) = delete;
  const Result<void>& began() const { return began_; }

 private:
  Database& database_;
  Result<void> began_;
};

Result<BatchRow> row_of(Database& database, std::int64_t batch) {
  Statement rows(database, std::string(kBatchColumns) + "WHERE id = ?1");
  const auto row = rows.bind(1, batch).step();
  if (!row) return tl::unexpected(row.error());
  if (!*row) return proto::trouble("there is no batch number " + std::to_string(batch));
  return batch_row(rows);
}

Result<std::vector<EntryRow>> entries_of(Database& database, std::int64_t batch) {
  Statement rows(database,
                 "SELECT sequence, at_ms, utc_ms, after_reading, input, type, text, hash "
                 "FROM entry WHERE batch = ?1 ORDER BY sequence");
  rows.bind(1, batch);
  std::vector<EntryRow> entries;
  for (;;) {
    const auto row = rows.step();
    if (!row) return tl::unexpected(row.error());
    if (!*row) return entries;
    entries.push_back({{rows.integer(0), rows.integer(1), rows.integer(2),
                        static_cast<std::uint64_t>(rows.integer(3))},
                       rows.integer(4) != 0,
                       rows.text(5),
                       rows.text(6),
                       rows.text(7)});
  }
}

// Chunks first, then what still stands as rows. Trouble where a chunk cannot be read, is not what
// its hash says, or numbers are missing.
Result<std::vector<proto::Reading>> readings_of(Database& database, std::int64_t batch) {
  std::vector<proto::Reading> readings;
  const auto missing = [&readings](std::uint64_t next) {
    return proto::trouble("readings " + std::to_string(readings.size() + 1) + " to " +
                              std::to_string(next - 1) + " are missing",
                          {}, "put a backup in the place of the file");
  };
  Statement chunks(database,
                   "SELECT first, count, hash, bytes FROM chunk WHERE batch = ?1 ORDER BY first");
  chunks.bind(1, batch);
  for (;;) {
    const auto row = chunks.step();
    if (!row) return tl::unexpected(row.error());
    if (!*row) break;
    const auto first = static_cast<std::uint64_t>(chunks.integer(0));
    if (first > readings.size() + 1) return missing(first);
    const auto decoded = record::decode(chunks.blob(3));
    const std::string span =
        "readings " + std::to_string(first) + " to " +
        std::to_string(first + static_cast<std::uint64_t>(chunks.integer(1)) - 1);
    if (!decoded) {
      return proto::trouble(decoded.error().what, span, decoded.error().todo);
    }
    if (record::content_hash(*decoded) != chunks.text(2) || decoded->front().number != first ||
        first != readings.size() + 1 ||
        decoded->size() != static_cast<std::size_t>(chunks.integer(1))) {
      return proto::trouble(span + " are altered", {}, "put a backup in the place of the file");
    }
    readings.insert(readings.end(), decoded->begin(), decoded->end());
  }
  Statement rows(database, std::string(kSelectReadings) + "WHERE batch = ?1 ORDER BY number");
  rows.bind(1, batch);
  for (;;) {
    const auto row = rows.step();
    if (!row) return tl::unexpected(row.error());
    if (!*row) return readings;
    const proto::Reading reading = reading_row(rows);
    if (reading.number != readings.size() + 1) return missing(reading.number);
    readings.push_back(reading);
  }
}

Result<BatchRecord> record_of(Database& database, std::int64_t batch) {
  auto row = row_of(database, batch);
  if (!row) return tl::unexpected(row.error());
  auto entries = entries_of(database, batch);
  if (!entries) return tl::unexpected(entries.error());
  auto readings = readings_of(database, batch);
  if (!readings) return tl::unexpected(readings.error());
  return BatchRecord{std::move(*row), std::move(*entries), std::move(*readings)};
}

// The columns repeat what the text says; only the text is hashed, so they are held against it.
bool agrees_with_text(const EntryRow& row) {
  const auto entry = proto::read_entry(row.text);
  if (!entry) return true;  // of a kind that only a newer version knows
  return entry->stamp.sequence == row.stamp.sequence && entry->stamp.at_ms == row.stamp.at_ms &&
         entry->stamp.utc_ms == row.stamp.utc_ms &&
         entry->stamp.after_reading == row.stamp.after_reading && entry->is_input() == row.input;
}

Result<void> intact(const BatchRecord& record) {
  const std::string todo = "put a backup in the place of the file";
  record::Chain chain;
  std::size_t taken = 0;
  std::int64_t sequence = 0;
  for (const EntryRow& entry : record.entries) {
    ++sequence;
    if (entry.stamp.sequence != sequence) {
      return proto::trouble("entry " + std::to_string(sequence) + " is missing", record.row.name,
                            todo);
    }
    if (entry.stamp.after_reading < taken) {
      return proto::trouble("entry " + std::to_string(sequence) + " is altered", record.row.name,
                            todo);
    }
    if (entry.stamp.after_reading > record.readings.size()) {
      return proto::trouble(
          "the readings are cut off after " + std::to_string(record.readings.size()) + "; entry " +
              std::to_string(sequence) + " speaks of " + std::to_string(entry.stamp.after_reading),
          record.row.name, todo);
    }
    for (; taken < entry.stamp.after_reading; ++taken) chain.take(record.readings[taken]);
    if (chain.add(entry.text) != entry.hash || !agrees_with_text(entry)) {
      return proto::trouble("entry " + std::to_string(sequence) +
                                " or a reading since the entry before it is altered",
                            record.row.name, todo);
    }
  }
  if (sequence != record.row.entries || (sequence > 0 && chain.last() != record.row.last_hash)) {
    return proto::trouble("the record is cut off after entry " + std::to_string(sequence) + " of " +
                              std::to_string(record.row.entries),
                          record.row.name, todo);
  }
  return {};
}

}  // namespace

Reader::Reader(std::unique_ptr<Database> database) : database_(std::move(database)) {}
Reader::~Reader() = default;

Result<std::unique_ptr<Reader>> Reader::open(const std::filesystem::path& file) {
  auto database = Database::open(file, Database::Mode::read_only);
  if (!database) return tl::unexpected(database.error());
  return std::unique_ptr<Reader>(new Reader(std::move(*database)));
}

Result<std::vector<BatchRow>> Reader::batches() {
  Statement rows(*database_, std::string(kBatchColumns) + "ORDER BY id DESC");
  std::vector<BatchRow> batches;
  for (;;) {
    const auto row = rows.step();
    if (!row) return tl::unexpected(row.error());
    if (!*row) return batches;
    batches.push_back(batch_row(rows));
  }
}

Result<BatchRow> Reader::find(std::string_view name) {
  Statement rows(*database_, std::string(kBatchColumns) +
                                 "WHERE ?1 = '' OR name = ?1 ORDER BY id DESC LIMIT 1");
  const auto row = rows.bind(1, name).step();
  if (!row) return tl::unexpected(row.error());
  if (*row) return batch_row(rows);
  if (name.empty()) {
    return proto::trouble("there is no batch yet", {}, "start one: maslin start FORMULA");
  }
  Statement newest(*database_, "SELECT name FROM batch ORDER BY id DESC LIMIT 3");
  std::string names;
  for (auto found = newest.step(); found && *found; found = newest.step()) {
    names += (names.empty() ? "" : ", ") + newest.text(0);
  }
  return proto::trouble("there is no batch of this name", std::string(name),
                        names.empty() ? "no batch was started yet" : "the newest are " + names);
}

Result<BatchRecord> Reader::load(std::int64_t batch) {
  const Snapshot snapshot(*database_);
  if (!snapshot.began()) return tl::unexpected(snapshot.began().error());
  return record_of(*database_, batch);
}

Result<std::vector<EntryRow>> Reader::entries(std::int64_t batch) {
  return entries_of(*database_, batch);
}

Result<std::vector<Reader::Made>> Reader::made_of_others() {
  // The text is JSON with one way of writing it; most starts name no parent and are left unread.
  Statement rows(*database_,
                 "SELECT b.name, e.text FROM entry e JOIN batch b ON b.id = e.batch "
                 "WHERE e.sequence = 1 AND e.text LIKE '%\"parent\":\"_%' "
                 "AND e.text NOT LIKE '%\"parent\":\"\"%' ORDER BY b.id");
  std::vector<Made> found;
  for (;;) {
    const auto row = rows.step();
    if (!row) return tl::unexpected(row.error());
    if (!*row) return found;
    found.push_back({rows.text(0), rows.text(1)});
  }
}

Result<void> Reader::check_intact(std::int64_t batch) {
  const auto record = load(batch);
  if (!record) return tl::unexpected(record.error());
  return intact(*record);
}

}  // namespace maslin::store
