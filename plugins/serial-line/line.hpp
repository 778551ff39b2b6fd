// From the bytes of a scale's serial line to readings. Pure; the plugin's run and its decoder both
// call it. This is the part to change for another scale.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "plugins/sdk/plugin.hpp"

namespace maslin::line {

// One line without its end: `ST,+00123.4 g` (settled) or `US,...` (moving), in g or oz, sign and
// seven places; `OL` above the capacity; `-----` below zero. Empty for anything else, be it one
// byte short: half a line is a smaller weight, and nothing on the line would tell.
std::optional<maslin_reading> read_line(std::string_view line);

// Cuts what comes into lines.
class Lines {
 public:
  // The line that this byte ends, without \r and \n. What came before the first line end is
  // dropped: whoever opens a line that is speaking hears the tail of a word. More than 80 bytes
  // without an end are given as they are, which read_line refuses.
  std::optional<std::string> take(char byte);

 private:
  std::string text_;
  bool whole_ = false;  // text_ began right behind a line end
};

}  // namespace maslin::line
