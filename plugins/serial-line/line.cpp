#include "plugins/serial-line/line.hpp"

#include <algorithm>
#include <utility>

namespace maslin::line {

namespace {
constexpr std::size_t longest_line = 80;
constexpr std::size_t header_size = 3;  // ST,
constexpr std::size_t value_size = 8;   // +00123.4
}  // namespace

std::optional<maslin_reading> read_line(std::string_view line) {
  if (line == "OL") return sdk::reading(MASLIN_MASS, MASLIN_G, {}, MASLIN_OVER);
  if (line == "-----") return sdk::reading(MASLIN_MASS, MASLIN_G, {}, MASLIN_UNDER);
  const bool settled = line.starts_with("ST,");
  if (!settled && !line.starts_with("US,")) return std::nullopt;
  if (line.size() < header_size + value_size) return std::nullopt;
  const auto number = line.substr(header_size, value_size);
  const auto unit = line.substr(header_size + value_size);
  // All of its places, or a byte was lost on the way and what is left is another weight.
  const bool all_there = (number.front() == '+' || number.front() == '-') &&
                         std::ranges::count(number, '.') == 1 && number.back() != '.';
  const auto value = sdk::parse_decimal(number);
  if (!all_there || !value) return std::nullopt;
  const int state = settled ? MASLIN_STEADY : MASLIN_MOVING;
  if (unit == " g") return sdk::reading(MASLIN_MASS, MASLIN_G, *value, state);
  if (unit == " oz") return sdk::reading(MASLIN_MASS, MASLIN_OZ, *value, state);
  return std::nullopt;  // never guessed, never converted
}

std::optional<std::string> Lines::take(char byte) {
  if (byte != '\n') {
    text_ += byte;
    if (text_.size() <= longest_line) return std::nullopt;
    whole_ = false;
    return std::exchange(text_, {});
  }
  auto line = std::exchange(text_, {});
  if (line.ends_with('\r')) line.pop_back();
  return std::exchange(whole_, true) ? std::optional(std::move(line)) : std::nullopt;
}

}  // namespace maslin::line
