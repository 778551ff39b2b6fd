// Reads the tables in data/ for the reference tests: a first line with the source, a header line,
// rows.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace maslin::reference {

class Row {
 public:
  explicit Row(std::map<std::string, std::string, std::less<>> cells) : cells_(std::move(cells)) {}
  const std::string& text(
      std::string_view column) const;  // fails the run where there is no such column
  bool empty(std::string_view column) const { return text(column).empty(); }
  double number(std::string_view column) const;  // throws where it is none
  std::string shown() const;                     // for SCOPED_TRACE

 private:
  std::map<std::string, std::string, std::less<>> cells_;
};

// All rows of tests/reference/data/<file>; throws where the file is missing or has no row.
std::vector<Row> table(std::string_view file);

}  // namespace maslin::reference
