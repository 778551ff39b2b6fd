// The names; see the header.
#include "proto/jar_names.hpp"

#include <array>
#include <cctype>
#include <string>
#include <utility>

namespace maslin::proto {

std::string_view named_jar(std::string_view text) {
  std::string word;
  for (const char c : text.substr(0, 40)) {
    word += c == '-' ? ' ' : static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  }
  if (word.starts_with("a ")) word.erase(0, 2);
  for (const std::string_view end : {" jars", " jar", "s"}) {
    if (word.ends_with(end)) word.resize(word.size() - end.size());
  }
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 5> names = {
      {{"quarter pint", "1/4 pint"},
       {"half pint", "1/2 pint"},
       {"pint", "1 pint"},
       {"quart", "2 pint"},
       {"half gallon", "4 pint"}}};
  for (const auto& [name, amount] : names) {
    if (word == name) return amount;
  }
  return {};
}

}  // namespace maslin::proto
