// Shared by proto/json_*.cpp alone: optional fields, and the two functions of json.hpp over
// nlohmann.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <type_traits>
#include <utility>

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

// A field that does not hold what is asked for. Thrown and caught in here.
struct WrongField {
  std::string name;  // "devices.role"
  std::string what;
};

// The library takes true for 1 and cuts 1.5, 1e300 and 70000 to whatever an integer holds; here a
// figure is what is asked for, or wrong.
template <class T>
void read_field(const nlohmann::json& j, T& out) {
  if constexpr (std::is_same_v<T, bool>) {
    if (!j.is_boolean()) throw WrongField{"", dump(j) + " is neither true nor false"};
    out = j.get<bool>();
  } else if constexpr (std::is_integral_v<T>) {
    const bool fits = j.is_number_unsigned()
                          ? std::in_range<T>(j.get<std::uint64_t>())
                          : j.is_number_integer() && std::in_range<T>(j.get<std::int64_t>());
    if (!fits) throw WrongField{"", dump(j) + " is no whole number in range"};
    out = j.get<T>();
  } else if constexpr (std::is_floating_point_v<T>) {
    if (!j.is_number()) throw WrongField{"", dump(j) + " is no number"};
    out = j.get<T>();
  } else {
    j.get_to(out);
  }
}
template <class T>
void read_field(const nlohmann::json& j, std::optional<T>& out) {
  if (j.is_null()) {
    out.reset();
  } else {
    read_field(j, out.emplace());
  }
}

// Reads j[name] into `out`; where it is missing, `out` stays as it is.
template <class T>
void read_field(const nlohmann::json& j, const char* name, T& out) {
  if (!j.is_object()) throw WrongField{"", "an object is asked for"};
  const auto it = j.find(name);
  if (it == j.end()) return;
  try {
    read_field(*it, out);
  } catch (const WrongField& wrong) {
    throw WrongField{wrong.name.empty() ? name : name + ("." + wrong.name), wrong.what};
  } catch (const nlohmann::json::exception&) {
    throw WrongField{name, std::string("not this type of value: ") + it->type_name()};
  }
}

// What goes wrong becomes a Trouble; nothing leaves proto/ as an exception.
template <class T>
Result<T> read_value(const nlohmann::json& j) {
  constexpr auto todo = "compare the fields with proto/openrpc.json";
  try {
    return j.get<T>();
  } catch (const WrongField& wrong) {
    return trouble(wrong.what, wrong.name, todo);
  } catch (const nlohmann::json::exception& fault) {
    return trouble(fault.what(), "", todo);
  }
}

}  // namespace maslin::proto

// The fields of a struct by the names of its members; those that a text does not have keep their
// defaults.
#define MASLIN_READ_FIELD(member) \
  maslin::proto::read_field(nlohmann_json_j, #member, nlohmann_json_t.member);
#define MASLIN_FIELDS(Type, ...)                                                        \
  inline void to_json(nlohmann::json& nlohmann_json_j, const Type& nlohmann_json_t) {   \
    NLOHMANN_JSON_EXPAND(NLOHMANN_JSON_PASTE(NLOHMANN_JSON_TO, __VA_ARGS__))            \
  }                                                                                     \
  inline void from_json(const nlohmann::json& nlohmann_json_j, Type& nlohmann_json_t) { \
    NLOHMANN_JSON_EXPAND(NLOHMANN_JSON_PASTE(MASLIN_READ_FIELD, __VA_ARGS__))           \
  }

namespace maslin::proto {

MASLIN_FIELDS(Trouble, what, where, todo)

Result<nlohmann::json> parse(std::string_view text);

}  // namespace maslin::proto

#define MASLIN_JSON(Type)                               \
  template <>                                           \
  std::string to_json<Type>(const Type& value) {        \
    return dump(nlohmann::json(value));                 \
  }                                                     \
  template <>                                           \
  Result<Type> from_json<Type>(std::string_view text) { \
    const auto j = parse(text);                         \
    if (!j) return tl::unexpected<Trouble>(j.error());  \
    return read_value<Type>(*j);                        \
  }
