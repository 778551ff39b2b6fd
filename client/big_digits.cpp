// The shapes of the large digits.
#include "client/big_digits.hpp"

#include <array>

namespace maslin::client {
namespace {

using Shape = std::array<std::string_view, kBigRows>;

// '#' is a block two columns wide, so that a digit is about as wide as it is high.
constexpr std::array<Shape, 10> kDigits{{
    {"###", "# #", "# #", "# #", "###"},  // 0
    {" # ", "## ", " # ", " # ", "###"},  // 1
    {"###", "  #", "###", "#  ", "###"},  // 2
    {"###", "  #", " ##", "  #", "###"},  // 3
    {"# #", "# #", "###", "  #", "  #"},  // 4
    {"###", "#  ", "###", "  #", "###"},  // 5
    {"###", "#  ", "###", "# #", "###"},  // 6
    {"###", "  #", " # ", " # ", " # "},  // 7
    {"###", "# #", "###", "# #", "###"},  // 8
    {"###", "# #", "###", "  #", "###"},  // 9
}};
constexpr Shape kPoint{" ", " ", " ", " ", "#"};
constexpr Shape kColon{" ", "#", " ", "#", " "};
constexpr Shape kMinus{"  ", "  ", "##", "  ", "  "};
constexpr Shape kSpace{" ", " ", " ", " ", " "};

const Shape* shape_of(char c) {
  if (c >= '0' && c <= '9') return &kDigits[static_cast<std::size_t>(c - '0')];
  if (c == '.') return &kPoint;
  if (c == ':') return &kColon;
  if (c == '-') return &kMinus;
  if (c == ' ') return &kSpace;
  return nullptr;
}

}  // namespace

std::vector<std::string> big(std::string_view text) {
  std::vector<std::string> rows(kBigRows);
  for (const char c : text) {
    const Shape* shape = shape_of(c);
    if (!shape) continue;
    for (std::size_t row = 0; row < kBigRows; ++row) {
      if (!rows[row].empty()) rows[row] += "  ";
      for (const char cell : (*shape)[row]) rows[row] += cell == '#' ? "██" : "  ";
    }
  }
  return rows;
}

}  // namespace maslin::client
