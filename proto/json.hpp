// JSON text of the facts, in both directions. Everybody calls these; only proto/*.cpp sees the JSON
// library. Names are the member names, snake_case with the unit in them.
#pragma once

#include <string>
#include <string_view>

#include "proto/entry.hpp"
#include "proto/trouble.hpp"

namespace maslin::proto {

// One line without newline. Text that is not UTF-8 is written with replacement characters.
template <class T>
std::string to_json(const T& value);

// Missing fields keep their defaults, unknown ones are passed over, a field of the wrong type is an
// error that names it. Instantiated for the structs of proto/ that travel; see the ends of
// json_*.cpp.
template <class T>
Result<T> from_json(std::string_view text);

// The inverse of entry_text; an entry of an unknown type is an error.
Result<Entry> read_entry(std::string_view text);

// `known` with the fields that `text` states in their place.
Result<Settings> merged(const Settings& known, std::string_view text);
Result<Facts> merged(const Facts& known, std::string_view text);

// Two texts that state the same: equal, or equal but for figures that agree within 1e-9.
bool same_facts(std::string_view a, std::string_view b);

// A text as a JSON string with its quotes.
std::string json_string(std::string_view text);

// [a,b,c] of texts that are JSON already.
std::string json_array(const std::vector<std::string>& texts);

}  // namespace maslin::proto
