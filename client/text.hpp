// Text for a terminal: pages, tables, amounts and times. Used by every screen.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "proto/screen_text.hpp"
#include "proto/trouble.hpp"

namespace maslin::client {

using proto::clean;
using proto::cut;
using proto::first_bad_byte;
using proto::longest_piece;
using proto::width;
using proto::wrapped;

// How many columns there are: those of the terminal, else $COLUMNS, else a page of 96 on which
// tables run as wide as they are. Set once, before anything is printed.
void set_columns(std::optional<std::size_t> columns);

// Lines of a screen.
class Page {
 public:
  // A line of cleaned words, `indent` columns from the left; what is wrapped stands `hanging`
  // further in.
  Page& line(std::string_view text, std::size_t indent = 0, std::size_t hanging = 0);
  Page& gap();
  // "Title:" and the lines beneath it, nothing where there are none.
  Page& list(std::string_view title, const std::vector<std::string>& lines);
  Page& raw(const std::string& lines);  // made of cleaned text already
  const std::string& text() const { return text_; }

 private:
  std::string text_;
};

// A line with its line end, whole unless the terminal is narrower: what is piped stays in one
// piece.
std::string whole_line(std::string_view text, std::size_t hanging);

// Cells in columns, two spaces between them. All cells are cleaned; where there are fewer columns
// than the table takes, the widest cells are broken at their spaces, then there is one space
// between them, and where that is not enough, or a sentence would run down a narrow column, each
// row stands as lines of its own: its first cell, and beneath it the others with their heads.
class Table {
 public:
  // A column that begins with '>' stands to the right.
  explicit Table(std::vector<std::string> heads);
  void row(std::vector<std::string> cells);
  bool empty() const { return rows_.empty(); }
  // sheet: to be put on paper, so no wider than a page where there is no terminal either.
  std::string text(std::size_t indent = 0, bool sheet = false) const;

 private:
  std::vector<std::size_t> widths(std::size_t room) const;
  std::string stacked(std::size_t indent, std::size_t columns) const;
  std::vector<std::string> heads_;
  std::vector<bool> right_;
  std::vector<std::vector<std::string>> rows_;
};

// Exactly `decimals`.
std::string fixed(double value, int decimals);
// At most `decimals`, without zeros at the end: 240.50 -> "240.5".
std::string number(double value, int decimals);
// With a sign, "+3.5" or "-2"; "0" for nothing.
std::string with_sign(double value, int decimals);
std::string grams(double value_g);  // "240 g", "6.5 g", "0.25 g"
std::string grams_of_ug(std::int64_t micrograms);
std::string celsius(double value_c);                                 // "99.6 °C"
std::string numbers_text(const std::vector<std::int64_t>& numbers);  // "1-3, 5"
// The inverse, of numbers from 1 to 999 in any order; each comes once, in order.
proto::Result<std::vector<std::int64_t>> numbers_of(std::string_view text);
proto::Result<double> percent_of(std::string_view text);  // "4 %", "4"
std::string moment_text(std::string_view iso_utc);        // "2026-11-25 09:30", by the local clock
std::string date_text(std::int64_t utc_ms);               // "2026-11-25"
std::string clock_text(std::int64_t ms);                  // since the start, "0:03:12"
std::string span_text(std::int64_t ms);                   // "7 s", "4 min 20 s", "1 h 5 min"

}  // namespace maslin::client
