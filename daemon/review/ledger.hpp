// Where the jars of one batch are and how long they are good there, from its record alone. Private
// to review/: the list of jars and the report read it.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "proto/entry.hpp"
#include "proto/report.hpp"

namespace maslin::review {

// Until when a jar is good where it is. Empty where there is no date.
struct Good {
  std::optional<std::int64_t> until_utc_ms;
  std::string means;  // best before, use by, decide by
  std::string basis;  // published, or common practice without a source
};

struct JarNow {
  std::int64_t number = 0;  // from 1
  bool part_filled = false;
  std::string where;  // as JarsAre says
  std::int64_t since_utc_ms = 0;
  Good good;
  std::string todo;
  std::int64_t barred_utc_ms = 0;  // since when it is not safe to keep; 0: it is
  bool lasting = false;            // todo does not only belong to the day on which it came there
  std::string whom;                // given: to whom, as the cook said it
  std::string why;                 // why it came where it is
};

struct Ledger {
  const proto::Start* start = nullptr;  // in the entries that were read
  proto::Plan plan;                     // the final one, where there is one
  std::string state;
  std::int64_t filled_utc_ms = 0;
  std::int64_t cooling_utc_ms = 0;  // the jars stand and cool since; 0: they do not yet
  std::int64_t complete_utc_ms = 0;
  std::vector<std::int64_t> rated_after_ms;  // since it was complete
  std::vector<proto::Lot> lots;
  std::string unit = "jar";  // of what is counted: jar, piece, container
  std::vector<JarNow> jars;
};

Ledger ledger(std::span<const proto::Entry> entries);

// The jars of a batch by number, in groups that stand alike, as far as its record tells; nothing
// here depends on the day on which it is asked.
std::vector<proto::JarGroup> jars_of(std::span<const proto::Entry> entries);

}  // namespace maslin::review
