// A small reader for the quoted CSV of data/; see the header.
#include "tests/reference/csv.hpp"

#include <fstream>
#include <stdexcept>

namespace maslin::reference {
namespace {

std::vector<std::string> split(const std::string& line) {
  std::vector<std::string> cells(1);
  bool quoted = false;
  for (const char c : line) {
    if (c == '"') {
      quoted = !quoted;
    } else if (c == ',' && !quoted) {
      cells.emplace_back();
    } else if (c != '\r') {
      cells.back() += c;
    }
  }
  return cells;
}

}  // namespace

const std::string& Row::text(std::string_view column) const {
  const auto cell = cells_.find(column);
  if (cell == cells_.end()) throw std::out_of_range("no column " + std::string(column));
  return cell->second;
}

double Row::number(std::string_view column) const { return std::stod(text(column)); }

std::string Row::shown() const {
  std::string all;
  for (const auto& [column, cell] : cells_) all += column + "=" + cell + " ";
  return all;
}

std::vector<Row> table(std::string_view file) {
  std::ifstream in(std::string(MASLIN_SOURCE_DIR "/tests/reference/data/") + std::string(file));
  std::string line;
  std::vector<std::string> header;
  std::vector<Row> rows;
  while (std::getline(in, line)) {
    if (line.empty() || line.front() == '#') continue;
    const auto cells = split(line);
    if (header.empty()) {
      header = cells;
      continue;
    }
    std::map<std::string, std::string, std::less<>> named;
    for (std::size_t i = 0; i < header.size(); ++i) {
      named[header[i]] = i < cells.size() ? cells[i] : "";
    }
    rows.emplace_back(std::move(named));
  }
  if (rows.empty()) throw std::runtime_error("no rows in " + std::string(file));
  return rows;
}

}  // namespace maslin::reference
