// Shared by proto/json_*.cpp alone: optional fields, and the two functions of json.hpp over
// nlohmann.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>

#include "proto/json.hpp"

namespace nlohmann {
// An empty optional is null; null and absent both read as empty.
template <class T>
struct adl_serializer<std::optional<T>> {
  static void to_json(json& j, const std::optional<T>& value) {
    if (value) {
      j = *value;
    } else {
      j = nullptr;
    }
  }
  static void from_json(const json& j, std::optional<T>& value) {
    if (j.is_null()) {
      value.reset();
    } else {
      value = j.template get<T>();
    }
  }
};
}  // namespace nlohmann

namespace maslin::proto {

inline std::string dump(const nlohmann::json& value) {
  return value.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

// Enums with a name travel by that name.
template <class Enum>
void name_to_json(nlohmann::json& j, Enum value) {
  j = std::string(name(value));
}
template <class Enum>
void name_from_json(const nlohmann::json& j, Enum& value) {
  const auto text = j.get<std::string>();
  if (!from_name(text, value))
    throw nlohmann::json::other_error::create(501, "unknown name '" + text + "'", &j);
}
inline void to_json(nlohmann::json& j, Quantity value) { name_to_json(j, value); }
inline void from_json(const nlohmann::json& j, Quantity& value) { name_from_json(j, value); }
inline void to_json(nlohmann::json& j, Unit value) { name_to_json(j, value); }
inline void from_json(const nlohmann::json& j, Unit& value) { name_from_json(j, value); }
inline void to_json(nlohmann::json& j, Role value) { name_to_json(j, value); }
inline void from_json(const nlohmann::json& j, Role& value) {
  if (j.is_string() && j.get_ref<const std::string&>().empty()) {
    value = Role::none;
  } else {
    name_from_json(j, value);
  }
}

// What the library throws becomes a Trouble; nothing leaves proto/ as an exception.
template <class T>
Result<T> read_value(const nlohmann::json& j) {
  try {
    return j.get<T>();
  } catch (const nlohmann::json::exception& fault) {
    return trouble(fault.what(), "", "compare the fields with proto/openrpc.json");
  }
}

NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(Trouble, what, where, todo)

Result<nlohmann::json> parse(std::string_view text);

// The library takes true for 1 and cuts 1.5 and 1e300 to some whole number. `taken` is what was
// made of `given`: every figure must be there as it was given.
Result<void> figures_as_given(const nlohmann::json& given, const nlohmann::json& taken,
                              const std::string& where = {});

template <class T>
Result<T> read_checked(std::string_view text) {
  const auto given = parse(text);
  if (!given) return tl::unexpected<Trouble>(given.error());
  auto value = read_value<T>(*given);
  if (!value) return value;
  if (const auto same = figures_as_given(*given, nlohmann::json(*value)); !same) {
    return tl::unexpected<Trouble>(same.error());
  }
  return value;
}

}  // namespace maslin::proto

#define MASLIN_JSON(Type)                               \
  template <>                                           \
  std::string to_json<Type>(const Type& value) {        \
    return dump(nlohmann::json(value));                 \
  }                                                     \
  template <>                                           \
  Result<Type> from_json<Type>(std::string_view text) { \
    return read_checked<Type>(text);                    \
  }
