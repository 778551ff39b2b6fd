// The checker of wire_schema.hpp.
#include "tests/system/wire_schema.hpp"

#include <algorithm>
#include <array>

namespace maslin::house {
namespace {

using Json = nlohmann::json;

constexpr std::array known = {"$ref",  "type",  "enum",    "const",   "properties", "required",
                              "items", "oneOf", "minimum", "maximum", "description"};

// Where a $ref points to, after its #.
Json::json_pointer pointer(const Json& schema) {
  return Json::json_pointer(schema["$ref"].get<std::string>().substr(1));
}

bool is_of(const Json& value, const std::string& type) {
  if (type == "object") return value.is_object();
  if (type == "array") return value.is_array();
  if (type == "string") return value.is_string();
  if (type == "integer") return value.is_number_integer();
  if (type == "number") return value.is_number();
  if (type == "boolean") return value.is_boolean();
  return type == "null" && value.is_null();
}

bool is_of_any(const Json& value, const Json& types) {
  if (types.is_string()) return is_of(value, types);
  return std::any_of(types.begin(), types.end(),
                     [&](const Json& type) { return is_of(value, type); });
}

std::string object_mismatch(const Json& document, const Json& schema, const Json& value,
                            const std::string& where) {
  for (const auto& name : schema.value("required", Json::array())) {
    if (!value.contains(name.get<std::string>())) {
      return where + ": " + name.get<std::string>() + " is missing";
    }
  }
  const Json& properties = schema["properties"];
  for (const auto& [name, field] : value.items()) {
    if (!properties.contains(name)) return where + ": " + name + " is not described";
    auto found = mismatch(document, properties[name], field, where + "/" + name);
    if (!found.empty()) return found;
  }
  return "";
}

// Whether the fields that have one value only, such as the type of an entry, have that value.
bool is_meant(const Json& document, const Json& schema, const Json& value) {
  if (schema.contains("$ref")) {
    return is_meant(document, document.at(pointer(schema)), value);
  }
  if (!schema.contains("properties")) return true;
  for (const auto& [name, field] : schema["properties"].items()) {
    if (field.contains("const") && value.value(name, Json()) != field["const"]) return false;
  }
  return true;
}

std::string one_of_mismatch(const Json& document, const Json& schemas, const Json& value,
                            const std::string& where) {
  int fits = 0;
  std::string why = where + ": fits no alternative";
  for (const auto& schema : schemas) {
    if (value.is_object() && !is_meant(document, schema, value)) continue;
    const auto found = mismatch(document, schema, value, where);
    if (found.empty()) {
      ++fits;
    } else if (value.is_object()) {
      why = found;
    }
  }
  if (fits == 1) return "";
  return fits == 0 ? why : where + ": fits " + std::to_string(fits) + " alternatives";
}

}  // namespace

std::string mismatch(const Json& document, const Json& schema, const Json& value,
                     const std::string& where) {
  for (const auto& [keyword, unused] : schema.items()) {
    if (std::find(known.begin(), known.end(), keyword) == known.end()) {
      return where + ": the checker does not know " + keyword;
    }
  }
  if (schema.contains("$ref")) {
    return mismatch(document, document.at(pointer(schema)), value, where);
  }
  if (schema.contains("type") && !is_of_any(value, schema["type"])) {
    return where + ": " + value.dump() + " is not of type " + schema["type"].dump();
  }
  if (schema.contains("const") && value != schema["const"]) {
    return where + ": " + value.dump() + " is not " + schema["const"].dump();
  }
  if (schema.contains("enum")) {
    const Json& values = schema["enum"];
    if (std::find(values.begin(), values.end(), value) == values.end()) {
      return where + ": " + value.dump() + " is not in " + values.dump();
    }
  }
  if (schema.contains("minimum") && value < schema["minimum"]) return where + ": is too small";
  if (schema.contains("maximum") && value > schema["maximum"]) return where + ": is too great";
  if (schema.contains("oneOf")) {
    return one_of_mismatch(document, schema["oneOf"], value, where);
  }
  if (schema.contains("properties")) return object_mismatch(document, schema, value, where);
  if (schema.contains("items")) {
    for (std::size_t i = 0; i < value.size(); ++i) {
      auto found = mismatch(document, schema["items"], value[i], where + "/" + std::to_string(i));
      if (!found.empty()) return found;
    }
  }
  return "";
}

}  // namespace maslin::house
