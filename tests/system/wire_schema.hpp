// A checker for the part of JSON Schema that proto/openrpc.json uses: $ref, type, enum, const,
// properties, required, items, oneOf, minimum, maximum. Stricter than the standard in one point:
// an object with `properties` may have no others, so that fields nobody described are found; and a
// keyword that it does not know is an error.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

namespace maslin::house {

// "" where `value` is as `schema` says, else where and how it is not. `document` resolves $ref.
std::string mismatch(const nlohmann::json& document, const nlohmann::json& schema,
                     const nlohmann::json& value, const std::string& where = "");

}  // namespace maslin::house
