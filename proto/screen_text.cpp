// Text broken into the lines of a screen; see the header.
#include "proto/screen_text.hpp"

#include <algorithm>
#include <charconv>
#include <cstdint>

namespace maslin::proto {
namespace {

struct Character {
  char32_t code = 0;
  std::size_t size = 1;
  bool valid = false;
};

// The character at the front of `text`, by the table of well-formed UTF-8 (Unicode Standard, table
// 3-7).
Character next_character(std::string_view text) {
  const auto byte = [&](std::size_t i) -> std::uint32_t {
    return i < text.size() ? static_cast<unsigned char>(text[i]) : 0U;
  };
  const std::uint32_t lead = byte(0);
  if (lead < 0x80) return {lead, 1, true};
  std::size_t size = 0;
  std::uint32_t code = 0;
  if (lead >= 0xC2 && lead <= 0xDF) {
    size = 2;
    code = lead & 0x1FU;
  } else if (lead >= 0xE0 && lead <= 0xEF) {
    size = 3;
    code = lead & 0x0FU;
  } else if (lead >= 0xF0 && lead <= 0xF4) {
    size = 4;
    code = lead & 0x07U;
  } else {
    return {};
  }
  for (std::size_t i = 1; i < size; ++i) {
    if ((byte(i) & 0xC0U) != 0x80U) return {};
    code = code << 6U | (byte(i) & 0x3FU);
  }
  const bool overlong = (size == 3 && code < 0x800) || (size == 4 && code < 0x10000);
  const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
  if (overlong || surrogate || code > 0x10FFFF) return {};
  return {code, size, true};
}

// Control characters, marks of direction and of no width: what could move the cursor, hide words or
// turn them round.
bool harmful(char32_t code) {
  return code < 0x20 || (code >= 0x7F && code <= 0x9F) || code == 0x061C ||
         (code >= 0x200B && code <= 0x200F) || (code >= 0x2028 && code <= 0x202E) ||
         (code >= 0x2060 && code <= 0x206F) || code == 0xFEFF;
}

bool combining(char32_t code) { return code >= 0x0300 && code <= 0x036F; }

// The space stands between a figure and its short unit, "20 g": a line must not end there.
bool parts_an_amount(std::string_view text, std::size_t space) {
  const auto is_digit = [&](std::size_t i) { return text[i] >= '0' && text[i] <= '9'; };
  if (!is_digit(space - 1) || space + 1 >= text.size() || is_digit(space + 1)) return false;
  const std::size_t end = text.find(' ', space + 1);
  return width(text.substr(space + 1, end - space - 1)) <= 3;
}

// Where the last character that fits into `columns` ends.
std::size_t end_of(std::string_view text, std::size_t columns) {
  std::size_t at = 0;
  std::size_t used = 0;
  while (at < text.size()) {
    const Character c = next_character(text.substr(at));
    if (!combining(c.code) && ++used > columns) break;
    at += c.size;
  }
  return at;
}

}  // namespace

std::optional<std::size_t> columns_of(std::string_view text) {
  std::size_t columns = 0;
  const char* const end = text.data() + text.size();
  const auto read = std::from_chars(text.data(), end, columns);
  if (read.ec != std::errc() || read.ptr != end) return std::nullopt;
  return columns;
}

std::string clean(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  while (!text.empty()) {
    const Character c = next_character(text);
    if (!c.valid || harmful(c.code)) {
      out += '?';
    } else {
      out.append(text.substr(0, c.size));
    }
    text.remove_prefix(c.size);
  }
  return out;
}

std::optional<std::size_t> first_bad_byte(std::string_view text) {
  for (std::size_t at = 0; at < text.size();) {
    const Character c = next_character(text.substr(at));
    if (!c.valid) return at;
    at += c.size;
  }
  return std::nullopt;
}

std::size_t width(std::string_view text) {
  std::size_t columns = 0;
  while (!text.empty()) {
    const Character c = next_character(text);
    if (!combining(c.code)) ++columns;
    text.remove_prefix(c.size);
  }
  return columns;
}

std::string cut(std::string_view text, std::size_t columns) {
  if (width(text) <= columns) return std::string(text);
  if (columns == 0) return "";
  return std::string(text.substr(0, end_of(text, columns - 1))) + "…";
}

std::vector<std::string> wrapped(std::string_view text, std::size_t columns, std::size_t hanging) {
  std::vector<std::string> lines;
  std::string indent;
  while (width(text) > columns - indent.size() && columns > 0) {
    const std::size_t fits = end_of(text, columns - indent.size());
    std::size_t at = text.rfind(' ', fits);
    while (at != std::string_view::npos && at > 0 && parts_an_amount(text, at)) {
      at = text.rfind(' ', at - 1);
    }
    if (at == std::string_view::npos || at == 0) at = fits;
    lines.push_back(indent + std::string(text.substr(0, at)));
    text.remove_prefix(at);
    while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
    indent.assign(hanging, ' ');
  }
  lines.push_back(indent + std::string(text));
  return lines;
}

std::size_t longest_piece(std::string_view text) {
  std::size_t longest = 0;
  std::size_t begin = 0;
  for (std::size_t at = 0; at <= text.size(); ++at) {
    const bool end = at == text.size();
    if (!end && (text[at] != ' ' || at == 0 || parts_an_amount(text, at))) continue;
    longest = std::max(longest, width(text.substr(begin, at - begin)));
    begin = at + 1;
  }
  return longest;
}

}  // namespace maslin::proto
