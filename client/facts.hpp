// The facts of the kitchen as they are typed and shown: one table for the options of `maslin
// facts`, for what is forgotten and for the screen.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <tl/expected.hpp>

#include "proto/facts.hpp"

namespace maslin::client {

struct FactOption {
  const char* option;  // "--vinegar"
  const char* member;  // of proto::Facts
  const char* units;   // one that follows the number; "" a word, "#" a count
  const char* what;    // for --help and the screen
};
std::span<const FactOption> fact_options();

// What was typed as a JSON member of the wire, or what to write instead. "49 g", "1.75 oz", "5 %".
tl::expected<std::string, std::string> fact_member(const FactOption& option,
                                                   const std::string& text);
// A number with one of the units, in the first of them; else what to write. A number alone is in
// the first, but a length or a volume without its unit is refused.
tl::expected<double, std::string> typed_quantity(const std::string& text, std::string_view units);
// "cider vinegar=L1234" as an element of `lots`; without a lot it is forgotten.
tl::expected<std::string, std::string> lot_element(const std::string& text);
// The member that forgets a fact by its option, with or without dashes.
tl::expected<std::string, std::string> forgotten(const std::string& option);

}  // namespace maslin::client
