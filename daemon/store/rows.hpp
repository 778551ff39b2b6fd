// What goes into the store and comes out of it, as plain values.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "proto/entry.hpp"
#include "proto/reading.hpp"

namespace maslin::store {

struct EntryRow {
  proto::Stamp stamp;
  bool input = false;
  std::string type;  // as proto::type_of
  std::string text;  // as proto::entry_text; the bytes that are hashed and published
  std::string hash;  // as record::Chain
  // `stamp` is what the columns say; the same figures stand in the text.
};

// An input and all that it caused, with the readings taken since the step before: one item for the
// store, never split between two transactions. Entries and readings are numbered on from the last
// step.
struct Step {
  std::int64_t batch = 0;
  std::vector<proto::Reading> readings;
  std::vector<EntryRow> entries;
  std::optional<std::string> state;  // the batch's new state, where it changed
  bool closes = false;               // the batch is over: it counts as open no longer
};

struct BatchRow {
  std::int64_t id = 0;
  std::string name;
  std::string formula;
  std::string state;
  std::int64_t started_utc_ms = 0;
  bool open = true;
  std::int64_t entries = 0;  // how many the record has
  std::string last_hash;     // of the last entry; empty before the first
};

struct BatchRecord {
  BatchRow row;
  std::vector<EntryRow> entries;         // by sequence
  std::vector<proto::Reading> readings;  // by number
};

}  // namespace maslin::store
