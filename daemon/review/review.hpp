// What can be said of batches afterwards, from their records alone: the tolerance report, the
// variance over batches, the diary and the table for a spreadsheet. session/ calls these in its
// reader thread.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "proto/entry.hpp"
#include "proto/reading.hpp"
#include "proto/report.hpp"

namespace maslin::review {

// Entries by sequence, readings by number, the hash of the last entry (its beginning is printed). A
// record that is not finished, or even empty, gives a report that says so.
proto::Report report(std::span<const proto::Entry> entries,
                     std::span<const proto::Reading> readings, std::string_view last_hash);

// The safety record of a batch; last_hash whole.
proto::SafetyRecord safety_record(std::span<const proto::Entry> entries,
                                  std::span<const proto::Reading> readings,
                                  std::string_view last_hash);

// Over the ingredients that were weighed in batches of `formula` ("": of all); the order is that of
// their first appearance. Reports in the order in which the batches were made.
proto::Review review(std::span<const proto::Report> reports, std::string_view formula);

// One line for each entry that says something to a person, with the time since the start.
std::vector<std::string> diary(std::span<const proto::Entry> entries);

// Comma-separated values, RFC 4180 without the line ends: first the header, with units, then a line
// for each reading. A value that the device could not give is empty.
std::vector<std::string> table(std::span<const proto::Entry> entries,
                               std::span<const proto::Reading> readings);

}  // namespace maslin::review
