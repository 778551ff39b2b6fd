// Unknown commands; see the header.
#include "client/known.hpp"

#include <algorithm>
#include <numeric>

namespace maslin::client {
namespace {

// Letters to put in, leave out or change until the one is the other (Levenshtein's distance).
std::size_t changes(const std::string& one, const std::string& other) {
  std::vector<std::size_t> row(other.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 1; i <= one.size(); ++i) {
    std::size_t before = row[0]++;
    for (std::size_t j = 1; j <= other.size(); ++j) {
      const std::size_t changed = before + (one[i - 1] == other[j - 1] ? 0 : 1);
      before = row[j];
      row[j] = std::min({changed, row[j] + 1, row[j - 1] + 1});
    }
  }
  return row.back();
}

}  // namespace

std::optional<proto::Trouble> unknown_command(const std::vector<std::string>& words,
                                              const std::vector<std::string>& names) {
  std::size_t at = 0;
  while (at < words.size() && words[at].starts_with('-')) at += words[at] == "--socket" ? 2 : 1;
  if (at >= words.size()) return std::nullopt;
  const std::string& word = words[at];
  if (std::find(names.begin(), names.end(), word) != names.end()) return std::nullopt;
  std::string all;
  for (const auto& name : names) all += (all.empty() ? "" : ", ") + name;
  // Up to a third of the word may be wrong, or it would be nearest to nothing.
  std::string nearest;
  std::size_t least = word.size() / 3 + 1;
  for (const auto& name : names) {
    const bool begun = word.size() > 1 && name.starts_with(word);
    const std::size_t far = begun ? 0 : changes(word, name);
    if (far >= least) continue;
    least = far;
    nearest = name;
  }
  return proto::Trouble{"there is no such command", proto::excerpt(word, 60),
                        (nearest.empty() ? "" : "did you mean maslin " + nearest + "? ") +
                            "the commands are: " + all + "; maslin --help says what each does"};
}

}  // namespace maslin::client
