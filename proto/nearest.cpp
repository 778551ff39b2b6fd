// Edit distance; see the header.
#include "proto/nearest.hpp"

#include <algorithm>
#include <cctype>

namespace maslin::proto {
namespace {

std::string lower(std::string_view text) {
  std::string result(text.substr(0, 64));  // names are short; a flood must not cost its square
  for (char& c : result) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return result;
}

std::size_t distance(const std::string& a, const std::string& b) {
  std::vector<std::vector<std::size_t>> cost(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) {
    for (std::size_t j = 0; j <= b.size(); ++j) {
      if (i == 0 || j == 0) {
        cost[i][j] = i + j;
        continue;
      }
      const std::size_t replaced = cost[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      cost[i][j] = std::min({cost[i - 1][j] + 1, cost[i][j - 1] + 1, replaced});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        cost[i][j] = std::min(cost[i][j], cost[i - 2][j - 2] + 1);
      }
    }
  }
  return cost[a.size()][b.size()];
}

}  // namespace

std::string nearest(std::string_view name, const std::vector<std::string>& candidates) {
  const std::string wanted = lower(name);
  std::string best;
  std::size_t least = std::max<std::size_t>(2, wanted.size() / 2) + 1;
  for (const std::string& candidate : candidates) {
    const std::string known = lower(candidate);
    // The beginning of a name is a name cut short, however long the rest.
    const bool cut_short = wanted.size() >= 3 && known.starts_with(wanted);
    const std::size_t found = cut_short ? 0 : distance(wanted, known);
    if (found < least) {
      least = found;
      best = candidate;
    }
  }
  return best;
}

std::string listed(const std::vector<std::string>& names) {
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (i > 0) text += i + 1 == names.size() ? " or " : ", ";
    text += "\"" + names[i] + "\"";
  }
  return text;
}

}  // namespace maslin::proto
