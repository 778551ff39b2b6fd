// Words on a terminal: made harmless, measured and broken into lines. For the client and for
// maslin-figure, which prints its answers itself.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace maslin::proto {

inline constexpr std::size_t kPageColumns = 96;   // no line of words is wider
inline constexpr std::size_t kLeastColumns = 30;  // below it every line would be torn

// As $COLUMNS has it, a whole number; nullopt where it is none.
std::optional<std::size_t> columns_of(std::string_view text);

// Control characters, terminal sequences' lead-ins, marks that turn the direction of text and bytes
// that are not UTF-8 become '?'. Line ends too: a line stays a line. Every word that came from a
// device, a formula or the cook goes through here before it is printed.
std::string clean(std::string_view text);

// Offset of the first byte that is not part of well-formed UTF-8.
std::optional<std::size_t> first_bad_byte(std::string_view text);

// Columns that `text` takes, one for each character; combining marks take none.
std::size_t width(std::string_view text);
// Cut to so many columns, with "…" where something is missing.
std::string cut(std::string_view text, std::size_t columns);
// Broken at spaces into lines of at most so many columns, all but the first `hanging` (fewer than
// columns) further in. An amount stays with its unit.
std::vector<std::string> wrapped(std::string_view text, std::size_t columns,
                                 std::size_t hanging = 0);
// Columns of the longest piece that wrapped() leaves whole.
std::size_t longest_piece(std::string_view text);

}  // namespace maslin::proto
