// Unknown commands; see the header.
#include "client/known.hpp"

#include <algorithm>

#include "proto/nearest.hpp"

namespace maslin::client {

std::optional<proto::Trouble> unknown_command(const std::vector<std::string>& words,
                                              const std::vector<std::string>& names) {
  std::size_t at = 0;
  while (at < words.size() && words[at].starts_with('-')) at += words[at] == "--socket" ? 2 : 1;
  if (at >= words.size()) return std::nullopt;
  const std::string& word = words[at];
  if (std::find(names.begin(), names.end(), word) != names.end()) return std::nullopt;
  std::string all;
  for (const auto& name : names) all += (all.empty() ? "" : ", ") + name;
  const std::string nearest = proto::nearest(word, names);
  return proto::Trouble{"there is no such command", proto::excerpt(word, 60),
                        (nearest.empty() ? "" : "did you mean maslin " + nearest + "? ") +
                            "the commands are: " + all + "; maslin --help says what each does"};
}

}  // namespace maslin::client
