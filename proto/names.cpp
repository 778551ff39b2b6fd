// The lists of names: quantities, units, roles, effects of outcomes, types of entries.
#include <array>
#include <utility>

#include "proto/device.hpp"
#include "proto/entry.hpp"
#include "proto/reading.hpp"
#include "proto/trouble.hpp"

namespace maslin::proto {
namespace {

template <class Enum>
using Named = std::pair<Enum, std::string_view>;

constexpr std::array quantities = {
    Named<Quantity>{Quantity::mass, "mass"}, Named<Quantity>{Quantity::temperature, "temperature"},
    Named<Quantity>{Quantity::pressure, "pressure"}, Named<Quantity>{Quantity::press, "press"}};

constexpr std::array units = {
    Named<Unit>{Unit::none, "none"},    Named<Unit>{Unit::mg, "mg"},
    Named<Unit>{Unit::g, "g"},          Named<Unit>{Unit::kg, "kg"},
    Named<Unit>{Unit::ct, "ct"},        Named<Unit>{Unit::tael, "tael"},
    Named<Unit>{Unit::gr, "gr"},        Named<Unit>{Unit::dwt, "dwt"},
    Named<Unit>{Unit::t, "t"},          Named<Unit>{Unit::ton, "ton"},
    Named<Unit>{Unit::ozt, "ozt"},      Named<Unit>{Unit::oz, "oz"},
    Named<Unit>{Unit::lb, "lb"},        Named<Unit>{Unit::kelvin, "K"},
    Named<Unit>{Unit::celsius, "degC"}, Named<Unit>{Unit::fahrenheit, "degF"},
    Named<Unit>{Unit::pascal, "Pa"},    Named<Unit>{Unit::hectopascal, "hPa"},
    Named<Unit>{Unit::count, "count"}};

constexpr std::array roles = {
    Named<Role>{Role::bench, "bench"}, Named<Role>{Role::fine, "fine"},
    Named<Role>{Role::pan, "pan"},     Named<Role>{Role::canner, "canner"},
    Named<Role>{Role::room, "room"},   Named<Role>{Role::pedal, "pedal"}};

template <class List, class Enum>
std::string_view find_name(const List& list, Enum value, std::string_view otherwise) {
  for (const auto& [key, text] : list) {
    if (key == value) return text;
  }
  return otherwise;
}

template <class List, class Enum>
bool find_value(const List& list, std::string_view text, Enum& out) {
  for (const auto& [key, known] : list) {
    if (known == text) {
      out = key;
      return true;
    }
  }
  return false;
}

// The weightiest first; the plain fault after those with a nearer name.
constexpr std::array status_words = {
    Named<std::uint16_t>{state::over, "over"},
    Named<std::uint16_t>{state::under, "under"},
    Named<std::uint16_t>{state::fault_open, "fault: wire open"},
    Named<std::uint16_t>{state::fault_short, "fault: short circuit"},
    Named<std::uint16_t>{state::fault_crc, "fault: damaged bytes"},
    Named<std::uint16_t>{state::fault_power_on, "fault: power-on value"},
    Named<std::uint16_t>{state::fault_range, "fault: out of range"},
    Named<std::uint16_t>{state::fault, "fault"},
    Named<std::uint16_t>{state::needs_calibration, "needs calibration"},
    Named<std::uint16_t>{state::needs_zero, "needs zero"},
    Named<std::uint16_t>{state::zero, "zero"},
    Named<std::uint16_t>{state::moving, "moving"},
    Named<std::uint16_t>{state::steady, "steady"}};

// In the order of the alternatives of Input and Outcome.
constexpr std::array<std::string_view, std::variant_size_v<Input>> input_types = {
    "start", "command",     "device event", "suspend",  "clock step", "restart",
    "timer", "store event", "rating",       "jar word", "amendment",  "measured"};
constexpr std::array<std::string_view, std::variant_size_v<Outcome>> outcome_types = {
    "batch state", "phase began", "weighing",  "verdict",   "plan final", "cue",      "held",
    "released",    "zero epoch",  "condition", "deviation", "noted",      "progress", "rated",
    "filled",      "jars are",    "amended",   "way out",   "finding",    "weigh in", "stood"};

}  // namespace

std::string_view name(Quantity quantity) { return find_name(quantities, quantity, "?"); }
std::string_view name(Unit unit) { return find_name(units, unit, "?"); }
std::string_view name(Role role) { return find_name(roles, role, ""); }
bool from_name(std::string_view text, Quantity& out) { return find_value(quantities, text, out); }
bool from_name(std::string_view text, Unit& out) { return find_value(units, text, out); }
bool from_name(std::string_view text, Role& out) { return find_value(roles, text, out); }

std::string_view status_word(std::uint16_t state) {
  for (const auto& [bit, word] : status_words) {
    if ((state & bit) != 0) return word;
  }
  return "";
}

Quantity quantity_of(Role role) {
  switch (role) {
    case Role::pan:
    case Role::canner:
    case Role::room:
      return Quantity::temperature;
    case Role::pedal:
      return Quantity::press;
    default:
      return Quantity::mass;
  }
}

std::string excerpt(std::string_view text, std::size_t most_bytes) {
  constexpr std::string_view more = "…";
  if (text.size() <= most_bytes) return std::string(text);
  std::size_t end = most_bytes - more.size();
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) --end;
  return std::string(text.substr(0, end)) + std::string(more);
}

std::string line(const Trouble& trouble) {
  std::string text = trouble.where.empty() ? trouble.what : trouble.where + ": " + trouble.what;
  if (!trouble.todo.empty()) text += "; " + trouble.todo;
  return text;
}

Effect effect_of(const Outcome& outcome) {
  if (std::holds_alternative<Progress>(outcome)) return Effect::live;
  if (const auto* cue = std::get_if<Cue>(&outcome); cue != nullptr && cue->urgency >= 4) {
    return Effect::urgent;
  }
  return Effect::settled;
}

std::string_view type_of(const Input& input) { return input_types[input.index()]; }
std::string_view type_of(const Outcome& outcome) { return outcome_types[outcome.index()]; }

}  // namespace maslin::proto
