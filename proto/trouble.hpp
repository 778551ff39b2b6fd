// What went wrong, where, and what to do: the error value of everything that a user can cause.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

namespace maslin::proto {

struct Trouble {
  std::string what;   // the fault, one sentence without full stop
  std::string where;  // "file:line:column", a field, an option; may be empty
  std::string todo;   // what to write or do instead
  friend bool operator==(const Trouble&, const Trouble&) = default;
};
using Troubles = std::vector<Trouble>;

template <class T>
using Result = tl::expected<T, Trouble>;
template <class T>
using Results = tl::expected<T, Troubles>;  // every fault found, not the first

inline tl::unexpected<Trouble> trouble(std::string what, std::string where = {},
                                       std::string todo = {}) {
  return tl::unexpected<Trouble>(Trouble{std::move(what), std::move(where), std::move(todo)});
}
// "where: what; todo" with the empty parts left out.
std::string line(const Trouble& trouble);
// The text, or as much of its beginning as fits into so many bytes (at least 3) with "…" behind it;
// never half a character. For foreign text in a message that has a bound.
std::string excerpt(std::string_view text, std::size_t most_bytes);

}  // namespace maslin::proto
