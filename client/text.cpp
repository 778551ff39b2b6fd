// Text for a terminal.
#include "client/text.hpp"

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <limits>
#include <numeric>
#include <set>

namespace maslin::client {
namespace {

struct Columns {
  std::size_t page = proto::kPageColumns;
  std::optional<std::size_t> table;
};
Columns& columns_now() {
  static Columns columns;
  return columns;
}

}  // namespace

void set_columns(std::optional<std::size_t> columns) {
  if (columns) columns = std::max(*columns, proto::kLeastColumns);
  columns_now() = {std::min(columns.value_or(proto::kPageColumns), proto::kPageColumns), columns};
}

Page& Page::line(std::string_view text, std::size_t indent, std::size_t hanging) {
  for (const std::string& part : wrapped(clean(text), columns_now().page - indent, hanging)) {
    text_ += std::string(indent, ' ') + part + "\n";
  }
  return *this;
}

Page& Page::gap() {
  text_ += "\n";
  return *this;
}

Page& Page::list(std::string_view title, const std::vector<std::string>& lines) {
  if (lines.empty()) return *this;
  gap().line(std::string(title) + ":");
  for (const std::string& text : lines) line(text, 2, 2);
  return *this;
}

Page& Page::raw(const std::string& lines) {
  text_ += lines;
  return *this;
}

std::string whole_line(std::string_view text, std::size_t hanging) {
  const auto most = columns_now().table;
  if (!most) return clean(text) + "\n";
  std::string out;
  for (const auto& part : wrapped(clean(text), *most, hanging)) out += part + "\n";
  return out;
}

Table::Table(std::vector<std::string> heads) {
  for (std::string& head : heads) {
    right_.push_back(head.starts_with('>'));
    heads_.push_back(right_.back() ? head.substr(1) : head);
  }
}

void Table::row(std::vector<std::string> cells) {
  cells.resize(heads_.size());
  for (std::string& cell : cells) cell = clean(cell);
  rows_.push_back(std::move(cells));
}

std::vector<std::size_t> Table::widths(std::size_t room) const {
  std::vector<std::size_t> widths;
  std::vector<std::size_t> least;  // of the longest piece that stays whole
  std::size_t total = 0;
  for (std::size_t column = 0; column < heads_.size(); ++column) {
    std::size_t widest = 0;
    std::size_t longest = 0;
    const auto measure = [&](const std::string& cell) {
      widest = std::max(widest, width(cell));
      longest = std::max(longest, longest_piece(cell));
    };
    measure(heads_[column]);
    for (const auto& row : rows_) measure(row[column]);
    widths.push_back(widest);
    least.push_back(longest);
    total += widest;
  }
  // Off the widest that can still be broken, one column after the other.
  while (total > room) {
    std::size_t widest = widths.size();
    for (std::size_t i = 0; i < widths.size(); ++i) {
      if (widths[i] <= least[i]) continue;
      if (widest == widths.size() || widths[i] > widths[widest]) widest = i;
    }
    if (widest == widths.size()) break;
    --widths[widest];
    --total;
  }
  return widths;
}

std::string Table::stacked(std::size_t indent, std::size_t columns) const {
  std::string out;
  for (const auto& row : rows_) {
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (i > 0 && row[i].empty()) continue;
      const std::size_t in = indent + (i > 0 ? 2 : 0);
      const std::string words = i > 0 && !heads_[i].empty() ? heads_[i] + ": " + row[i] : row[i];
      for (const auto& part : wrapped(words, columns - in, 2)) {
        out += std::string(in, ' ') + part + "\n";
      }
    }
  }
  return out;
}

std::string Table::text(std::size_t indent, bool sheet) const {
  constexpr std::size_t no_end = std::numeric_limits<std::size_t>::max();
  auto most = columns_now().table;
  if (!most && sheet) most = columns_now().page;
  std::vector<std::size_t> widths;
  std::size_t gap = 2;
  for (;; --gap) {
    if (gap == 0) return stacked(indent, *most);
    const std::size_t between = indent + gap * (heads_.size() - 1);
    const std::size_t room = most ? *most - std::min(*most, between) : no_end;
    widths = this->widths(room);
    if (std::accumulate(widths.begin(), widths.end(), std::size_t{0}) <= room) break;
  }
  constexpr std::size_t narrow = 16;  // columns; narrower and broken more than twice is no reading
  const auto whole = this->widths(no_end);
  for (std::size_t i = 0; i < widths.size(); ++i) {
    if (widths[i] < narrow && whole[i] > 3 * widths[i]) return stacked(indent, *most);
  }
  std::string out;
  const auto put = [&](const std::vector<std::string>& cells) {
    std::vector<std::vector<std::string>> pieces;
    std::size_t lines = 1;
    for (std::size_t column = 0; column < cells.size(); ++column) {
      pieces.push_back(wrapped(cells[column], std::max<std::size_t>(widths[column], 1)));
      lines = std::max(lines, pieces.back().size());
    }
    for (std::size_t i = 0; i < lines; ++i) {
      std::string line(indent, ' ');
      for (std::size_t column = 0; column < cells.size(); ++column) {
        const std::string piece = i < pieces[column].size() ? pieces[column][i] : "";
        const std::string space(widths[column] - width(piece), ' ');
        line += right_[column] ? space + piece : piece + space;
        line += std::string(gap, ' ');
      }
      line.erase(line.find_last_not_of(' ') + 1);
      out += line + "\n";
    }
  };
  put(heads_);
  for (const auto& row : rows_) put(row);
  return out;
}

std::string fixed(double value, int decimals) {
  char text[64];
  std::snprintf(text, sizeof text, "%.*f", decimals, value);
  return text;
}

std::string number(double value, int decimals) {
  std::string out = fixed(value, decimals);
  if (out.find('.') != std::string::npos) {
    out.erase(out.find_last_not_of('0') + 1);
    if (out.back() == '.') out.pop_back();
  }
  return out == "-0" ? "0" : out;
}

std::string with_sign(double value, int decimals) {
  const std::string text = number(value, decimals);
  return value > 0 && text != "0" ? "+" + text : text;
}

std::string grams(double value_g) {
  const double size = std::abs(value_g);
  return number(value_g, size >= 100 ? 1 : 2) + " g";
}

std::string grams_of_ug(std::int64_t micrograms) {
  return grams(static_cast<double>(micrograms) / 1e6);
}

std::string celsius(double value_c) {
  char text[32];
  std::snprintf(text, sizeof text, "%.1f °C", value_c);
  return text;
}

std::string numbers_text(const std::vector<std::int64_t>& numbers) {
  std::string text;
  for (std::size_t i = 0; i < numbers.size();) {
    std::size_t last = i;
    while (last + 1 < numbers.size() && numbers[last + 1] == numbers[last] + 1) ++last;
    text += (text.empty() ? "" : ", ") + std::to_string(numbers[i]);
    if (last > i) text += (last == i + 1 ? ", " : "-") + std::to_string(numbers[last]);
    i = last + 1;
  }
  return text;
}

proto::Result<std::vector<std::int64_t>> numbers_of(std::string_view text) {
  constexpr std::int64_t most = 999;
  std::set<std::int64_t> found;
  const char* at = text.data();
  const char* const end = at + text.size();
  const auto space = [&] {
    while (at != end && *at == ' ') ++at;
  };
  const auto number = [&](std::int64_t& value) {
    space();
    const auto [next, fault] = std::from_chars(at, end, value);
    at = next;
    space();
    return fault == std::errc() && value >= 1 && value <= most;
  };
  for (bool more = true; more;) {
    std::int64_t first = 0;
    bool good = number(first);
    std::int64_t last = first;
    if (good && at != end && *at == '-') {
      ++at;
      good = number(last) && last >= first;
    }
    more = good && at != end && *at == ',';
    if (!good || (at != end && !more)) {
      return proto::trouble("'" + proto::excerpt(text, 60) + "' are no numbers of jars", "",
                            "write them like 1-3,5");
    }
    if (more) ++at;
    for (; first <= last; ++first) found.insert(first);
  }
  return std::vector<std::int64_t>(found.begin(), found.end());
}

proto::Result<double> percent_of(std::string_view text) {
  double value = 0;
  while (text.starts_with(' ')) text.remove_prefix(1);
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  std::string_view unit(end, static_cast<std::size_t>(text.data() + text.size() - end));
  while (unit.starts_with(' ')) unit.remove_prefix(1);
  if (fault == std::errc() && std::isfinite(value) && (unit.empty() || unit == "%")) return value;
  return proto::trouble("'" + proto::excerpt(text, 60) + "' is no percentage", "",
                        "write it like \"4 %\"");
}

std::string moment_text(std::string_view iso_utc) {
  if (iso_utc.size() != 20 || iso_utc[10] != 'T' || !iso_utc.ends_with('Z')) {
    return std::string(iso_utc);
  }
  std::tm utc{};
  const std::string whole(iso_utc);
  if (strptime(whole.c_str(), "%Y-%m-%dT%H:%M:%SZ", &utc) == nullptr) return whole;
  const std::time_t moment = timegm(&utc);
  std::tm local{};
  if (localtime_r(&moment, &local) == nullptr) return whole;
  char text[32];
  std::strftime(text, sizeof text, "%Y-%m-%d %H:%M", &local);
  return text;
}

std::string date_text(std::int64_t utc_ms) {
  const std::chrono::sys_time<std::chrono::milliseconds> at{std::chrono::milliseconds(utc_ms)};
  const std::chrono::year_month_day day{std::chrono::floor<std::chrono::days>(at)};
  char text[32];
  std::snprintf(text, sizeof text, "%04d-%02u-%02u", static_cast<int>(day.year()),
                static_cast<unsigned>(day.month()), static_cast<unsigned>(day.day()));
  return text;
}

std::string clock_text(std::int64_t ms) {
  const std::int64_t seconds = std::max<std::int64_t>(ms, 0) / 1000;
  char text[48];
  std::snprintf(text, sizeof text, "%lld:%02lld:%02lld", static_cast<long long>(seconds / 3600),
                static_cast<long long>(seconds / 60 % 60), static_cast<long long>(seconds % 60));
  return text;
}

std::string span_text(std::int64_t ms) {
  const std::int64_t seconds = (ms + 500) / 1000;
  if (seconds < 60) return std::to_string(seconds) + " s";
  const std::int64_t minutes = seconds / 60;
  if (minutes < 60) {
    const std::int64_t rest = seconds % 60;
    return std::to_string(minutes) + " min" + (rest != 0 ? " " + std::to_string(rest) + " s" : "");
  }
  constexpr std::int64_t in_days = 72 * 60;
  if (minutes >= in_days) {
    const std::int64_t over = minutes / 60 % 24;
    return std::to_string(minutes / 60 / 24) + " days" +
           (over != 0 ? " " + std::to_string(over) + " h" : "");
  }
  const std::int64_t rest = minutes % 60;
  return std::to_string(minutes / 60) + " h" +
         (rest != 0 ? " " + std::to_string(rest) + " min" : "");
}

}  // namespace maslin::client
