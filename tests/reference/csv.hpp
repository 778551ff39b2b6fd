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

// All rows of tests/reference/data/<file>. A row counts as tried when it is asked for, and as held
// while nothing fails until the next one is: the end of the run prints both, table by table.
class Table {
 public:
  explicit Table(std::string_view file);  // throws where the file is missing or has no row

  std::size_t size() const { return rows_.size(); }
  const Row& operator[](std::size_t index) const;

  class Iterator {
   public:
    Iterator(const Table& table, std::size_t index) : table_(&table), index_(index) {}
    const Row& operator*() const { return (*table_)[index_]; }
    Iterator& operator++() { return ++index_, *this; }
    bool operator==(const Iterator& other) const { return index_ == other.index_; }

   private:
    const Table* table_;
    std::size_t index_;
  };
  Iterator begin() const { return {*this, 0}; }
  Iterator end() const { return {*this, size()}; }

 private:
  std::string file_;
  std::vector<Row> rows_;
};

inline Table table(std::string_view file) { return Table(file); }

}  // namespace maslin::reference
