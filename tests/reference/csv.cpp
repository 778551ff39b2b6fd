// A small reader for the quoted CSV of data/; see the header.
#include "tests/reference/csv.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <iomanip>
#include <iostream>
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

// What became of each row of each table over the run.
class Tally : public testing::EmptyTestEventListener {
 public:
  void met(const std::string& file, std::size_t rows) { rows_[file].resize(rows, State::untried); }
  void tried(const std::string& file, std::size_t index) {
    now_ = &rows_.at(file).at(index);
    if (*now_ == State::untried) *now_ = State::held;
  }

 private:
  enum class State { untried, held, failed };

  void OnTestStart(const testing::TestInfo&) override { now_ = nullptr; }
  void OnTestPartResult(const testing::TestPartResult& result) override {
    if (result.failed() && now_ != nullptr) *now_ = State::failed;
  }
  void OnTestProgramEnd(const testing::UnitTest&) override {
    std::size_t all_rows = 0;
    std::size_t all_tried = 0;
    std::size_t all_held = 0;
    std::cout << "  rows  tried   held  table\n";
    for (const auto& [file, rows] : rows_) {
      const auto held = std::count(rows.begin(), rows.end(), State::held);
      const auto untried = std::count(rows.begin(), rows.end(), State::untried);
      const auto tried = static_cast<std::ptrdiff_t>(rows.size()) - untried;
      std::cout << std::setw(6) << rows.size() << std::setw(7) << tried << std::setw(7) << held
                << "  " << file << '\n';
      all_rows += rows.size();
      all_tried += static_cast<std::size_t>(tried);
      all_held += static_cast<std::size_t>(held);
    }
    std::cout << std::setw(6) << all_rows << std::setw(7) << all_tried << std::setw(7) << all_held
              << "  all " << rows_.size() << " tables of this run\n";
  }

  std::map<std::string, std::vector<State>> rows_;
  State* now_ = nullptr;
};

// Owned by the test program, which ends after everything that is static here.
Tally& tally = []() -> Tally& {
  auto* const listener = new Tally;
  testing::UnitTest::GetInstance()->listeners().Append(listener);
  return *listener;
}();

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

Table::Table(std::string_view file) : file_(file) {
  std::ifstream in(std::string(MASLIN_SOURCE_DIR "/tests/reference/data/") + std::string(file));
  std::string line;
  std::vector<std::string> header;
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
    rows_.emplace_back(std::move(named));
  }
  if (rows_.empty()) throw std::runtime_error("no rows in " + file_);
  tally.met(file_, rows_.size());
}

const Row& Table::operator[](std::size_t index) const {
  tally.tried(file_, index);
  return rows_.at(index);
}

}  // namespace maslin::reference
