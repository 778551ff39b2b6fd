#include "daemon/devices/registry.hpp"

#include <algorithm>
#include <array>
#include <cassert>

#include "daemon/devices/window.hpp"
#include "daemon/quantity/readings.hpp"

namespace maslin::devices {

using proto::DeviceDescription;
using proto::Role;

namespace {

constexpr std::int64_t ns_per_ms = 1'000'000;
constexpr std::int64_t least_silence_ms = 3'000;
constexpr int periods_of_silence = 3;
constexpr std::int64_t longest_period_ms = 86'400'000;
// Beyond these no scale or thermometer speaks; they keep all later arithmetic within 64 bits.
constexpr std::int64_t most_digits = 1'000'000'000'000'000;
constexpr int most_exponent = 12;
constexpr std::size_t most_numbers = UINT16_MAX;  // what a reading can carry
constexpr std::array all_roles = {Role::bench,  Role::fine, Role::pan,
                                  Role::canner, Role::room, Role::pedal};

// What the only device of a quantity is used for unless somebody says otherwise.
Role usual_role(proto::Quantity quantity) {
  switch (quantity) {
    case proto::Quantity::mass:
      return Role::bench;
    case proto::Quantity::temperature:
      return Role::pan;
    case proto::Quantity::press:
      return Role::pedal;
    default:
      return Role::none;
  }
}

// True where the label is the name of a role that is not this one.
bool names_another_role(const std::string& label, Role role) {
  return std::ranges::any_of(
      all_roles, [&](Role other) { return other != role && label == proto::name(other); });
}

// Text of a device that people will see and type: one line, nothing that moves a cursor.
std::string printable(std::string text) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if (byte < 0x20 || byte == 0x7F) text[i] = '?';
    // U+0080 to U+009F are controls too, in two bytes.
    if (byte == 0xC2 && i + 1 < text.size() && static_cast<unsigned char>(text[i + 1]) < 0xA0) {
      text[i] = text[i + 1] = '?';
    }
  }
  return text;
}

std::string identity(const proto::link::Arrived& what, std::string_view plugin) {
  const auto vendor = what.vendor.empty() ? std::string(plugin) : what.vendor;
  const auto last = what.serial.empty() ? "@" + what.port : ":" + what.serial;
  return printable(vendor + ":" + what.product + last);
}

DeviceDescription describe(const proto::link::Arrived& what, std::string_view plugin) {
  DeviceDescription out;
  out.plugin = plugin;
  out.label = printable(what.label);
  out.serial = printable(what.serial);
  out.port = printable(what.port);
  out.quantity = what.quantity;
  const auto micrograms = [&](std::int64_t digits, int exponent) {
    if (what.quantity != proto::Quantity::mass || digits <= 0) return std::int64_t{0};
    return quantity::micrograms(digits, exponent, what.unit).value_or(0);
  };
  out.interval_ug = micrograms(what.interval_digits, what.interval_exponent);
  out.capacity_ug = micrograms(what.capacity_digits, what.capacity_exponent);
  // Rounded up: a period below a millisecond is still a period.
  if (what.period_ns > 0) {
    out.period_ms = std::min((what.period_ns - 1) / ns_per_ms + 1, longest_period_ms);
  }
  return out;
}

}  // namespace

const Registry::Known& Registry::known(Number device) const {
  assert(device >= 1 && device <= known_.size());
  return known_[device - 1];
}
Registry::Known& Registry::known(Number device) {
  assert(device >= 1 && device <= known_.size());
  return known_[device - 1];
}

// The number that this identity has, 0 for one never seen. A device with a serial is recognised at
// another port, unless it could be either of two.
Number Registry::find(const std::string& base, const std::string& port) const {
  const bool twins = had_twins(base);
  Number elsewhere = 0;
  int lost = 0;
  for (Number i = 0; i < known_.size(); ++i) {
    const auto& one = known_[i];
    if (one.base != base) continue;
    if (one.description.port == port) return i + 1;
    if (!one.present) {
      ++lost;
      elsewhere = i + 1;
    }
  }
  return lost == 1 && !twins ? elsewhere : 0;
}

// That there were two stays true when one of them is gone: the other could be either. A role that
// was given by port tells of it from before the daemon's start.
bool Registry::had_twins(const std::string& base) const {
  if (twins_.contains(base)) return true;
  return std::ranges::any_of(
      roles_, [&](const auto& entry) { return entry.second.starts_with(base + "@"); });
}

// Devices with one serial are told apart by their port, and none of them is known for sure.
void Registry::mark_twins(const std::string& base) {
  const auto count = std::count_if(known_.begin(), known_.end(), [&](const Known& one) {
    return one.present && one.base == base;
  });
  if (count < 2 && !had_twins(base)) return;
  twins_.insert(base);
  for (auto& one : known_) {
    if (!one.present || one.base != base) continue;
    one.description.ambiguous = true;
    one.description.id = base + "@" + one.description.port;
  }
}

bool Registry::full(std::string_view plugin) const {
  const auto count = std::ranges::count_if(
      known_, [&](const Known& one) { return one.description.plugin == plugin; });
  return static_cast<std::size_t>(count) >= most_of_one_plugin || known_.size() >= most_numbers;
}

Number Registry::arrived(std::string_view plugin, bool in_simulated_time,
                         const proto::link::Arrived& what, std::int64_t at_ms) {
  const auto base = identity(what, plugin);
  auto description = describe(what, plugin);
  auto number = find(base, description.port);
  if (number != 0 && known(number).present) return 0;
  if (number == 0) {
    if (full(plugin)) return 0;
    known_.emplace_back();
    number = static_cast<Number>(known_.size());
    description.id = base;
  } else {
    description.id = known(number).description.id;
  }
  auto& one = known(number);
  one.description = std::move(description);
  one.base = base;
  one.in_simulated_time = in_simulated_time;
  one.why_left.clear();
  one.present = true;
  one.since_ms = at_ms;
  one.last_ms = at_ms;
  one.last.reset();
  one.stamps_mended = 0;
  mark_twins(base);
  return number;
}

void Registry::left(Number device, std::string_view why, std::int64_t at_ms) {
  auto& one = known(device);
  one.present = false;
  one.why_left = printable(std::string(why));
  one.since_ms = at_ms;
  one.last.reset();
  mark_twins(one.base);
}

proto::Reading Registry::taken(Number device, const proto::link::Reading& raw,
                               std::int64_t now_ms) {
  auto& one = known(device);
  const auto earliest = std::max(one.last_ms, settled_ms_);
  const auto stamp = nearest_ms(raw.at_ns);
  proto::Reading reading;
  reading.at_ms = std::clamp(stamp, earliest, std::max(now_ms, earliest));
  if (std::max(stamp, reading.at_ms) - std::min(stamp, reading.at_ms) > 1) ++one.stamps_mended;
  reading.device = static_cast<std::uint16_t>(device);
  reading.digits = raw.digits;
  reading.exponent = raw.exponent;
  reading.unit = static_cast<proto::Unit>(raw.unit);
  reading.quantity = one.description.quantity;
  reading.state = raw.state;
  // Of two words that exclude each other the one that cannot pass a weight too early.
  if ((raw.state & proto::state::moving) != 0) {
    reading.state &= static_cast<std::uint16_t>(~(proto::state::steady | proto::state::zero));
  }
  if (raw.quantity != static_cast<std::uint8_t>(reading.quantity) ||
      !quantity::fits(reading.unit, reading.quantity)) {
    reading.state |= proto::state::fault;
    reading.unit = proto::Unit::none;
  }
  if (raw.digits > most_digits || raw.digits < -most_digits || raw.exponent > most_exponent ||
      raw.exponent < -most_exponent) {
    reading.state |= proto::state::fault_range;
  }
  if (!reading.usable()) {
    reading.digits = 0;
    reading.exponent = 0;
  }
  one.last_ms = reading.at_ms;
  one.last = reading;
  return reading;
}

const DeviceDescription& Registry::description(Number device) const {
  return known(device).description;
}

bool Registry::present(Number device) const { return known(device).present; }

bool Registry::eligible(const Known& one, Role role) const {
  return one.present && !one.description.ambiguous && (!paced_ || one.in_simulated_time) &&
         one.description.quantity == proto::quantity_of(role);
}

// With the port a twin is named for sure; without, the serial must be the only one of its kind.
bool Registry::assigned_to(const Known& one, const std::string& id) const {
  if (paced_ && !one.in_simulated_time) return false;
  return id == one.description.id || id == one.base + "@" + one.description.port ||
         (!one.description.ambiguous && id == one.base);
}

Role Registry::chosen_role(const Known& one) const {
  for (const auto& [role, id] : roles_) {
    if (assigned_to(one, id)) return role;
  }
  for (const auto role : all_roles) {
    if (roles_.contains(role) || one.description.label != proto::name(role)) continue;
    if (!eligible(one, role)) continue;
    const auto same = std::count_if(known_.begin(), known_.end(), [&](const Known& other) {
      return eligible(other, role) && other.description.label == one.description.label;
    });
    if (same == 1) return role;
  }
  return Role::none;
}

Role Registry::role(Number device) const {
  const auto& one = known(device);
  if (const auto chosen = chosen_role(one); chosen != Role::none) return chosen;
  const auto usual = usual_role(one.description.quantity);
  const auto fits = [&](const Known& any) {
    return any.description.quantity == one.description.quantity &&
           (!paced_ || any.in_simulated_time) && !names_another_role(any.description.label, usual);
  };
  if (usual == Role::none || roles_.contains(usual)) return Role::none;
  if (!eligible(one, usual) || !fits(one)) return Role::none;
  for (const auto& other : known_) {
    if (&other == &one || !other.present) continue;
    const auto theirs = chosen_role(other);
    if (theirs == usual) return Role::none;
    if (fits(other) && theirs == Role::none) return Role::none;
  }
  return usual;
}

std::optional<Number> Registry::device_for(Role role) const {
  for (Number number = 1; number <= known_.size(); ++number) {
    if (known(number).present && this->role(number) == role) return number;
  }
  return std::nullopt;
}

std::int64_t Registry::silent_at_ms(Number device) const {
  const auto& one = known(device);
  if (!one.present || one.description.period_ms == 0) return INT64_MAX;
  return one.last_ms + std::max(least_silence_ms, periods_of_silence * one.description.period_ms) +
         1;
}

bool Registry::silent(Number device, std::int64_t now_ms) const {
  return now_ms >= silent_at_ms(device);
}

std::string Registry::condition(const Known& one, bool silent) const {
  if (!one.present) return one.why_left.empty() ? "lost" : "lost: " + one.why_left;
  if (paced_ && !one.in_simulated_time) return "not in simulated time";
  if (one.description.ambiguous && chosen_role(one) == Role::none)
    return "same serial as another: assign by its port";
  if (silent) return "silent";
  if (one.last && !one.last->usable()) return std::string(proto::status_word(one.last->state));
  if (one.stamps_mended > 0) {
    return "live, " + std::to_string(one.stamps_mended) + " readings with a wrong time";
  }
  return "live";
}

proto::DeviceState Registry::state(Number device, std::int64_t now_ms) const {
  const auto& one = known(device);
  const bool is_silent = silent(device, now_ms);
  proto::DeviceState out;
  out.description = one.description;
  out.role = role(device);
  out.condition = condition(one, is_silent);
  if (!is_silent) out.last = one.last;
  out.age_ms = std::max<std::int64_t>(now_ms - (one.present ? one.last_ms : one.since_ms), 0);
  return out;
}

std::vector<proto::DeviceState> Registry::list(std::int64_t now_ms) const {
  std::vector<proto::DeviceState> all;
  all.reserve(known_.size());
  for (Number number = 1; number <= known_.size(); ++number) all.push_back(state(number, now_ms));
  if (paced_) return all;
  // Whoever wonders why the only scale has no role must see who has it.
  for (const auto& [role, assigned] : roles_) {
    const auto& id = assigned;  // clang 14 lets no lambda see a structured binding
    if (std::ranges::any_of(known_, [&](const Known& one) { return assigned_to(one, id); })) {
      continue;
    }
    proto::DeviceState absent;
    absent.description.id = id;
    absent.description.quantity = proto::quantity_of(role);
    absent.role = role;
    absent.condition = "not there";
    all.push_back(absent);
  }
  return all;
}

std::vector<Number> Registry::labelled(std::string_view label) const {
  std::vector<Number> all;
  for (Number number = 1; number <= known_.size() && !label.empty(); ++number) {
    if (known(number).present && known(number).description.label == label) all.push_back(number);
  }
  return all;
}

proto::Result<Number> Registry::pick(std::string_view id) const {
  std::vector<Number> fitting;
  for (Number number = 1; number <= known_.size(); ++number) {
    const auto& theirs = known(number).description.id;
    if (theirs == id) return number;
    if (!id.empty() && theirs.starts_with(id)) fitting.push_back(number);
  }
  if (fitting.empty()) fitting = labelled(id);
  if (fitting.size() == 1) return fitting.front();
  std::string names;
  for (Number number = 1; number <= known_.size(); ++number) {
    const bool listed = fitting.empty() || std::ranges::find(fitting, number) != fitting.end();
    if (listed) names += (names.empty() ? "" : ", ") + known(number).description.id;
  }
  const auto todo =
      names.empty() ? "connect it; `maslin devices` lists what is there" : "write one of: " + names;
  return proto::trouble(fitting.empty() ? "no device '" + std::string(id) + "'"
                                        : "'" + std::string(id) + "' is more than one device",
                        "device", todo);
}

proto::Result<Number> Registry::assign(Role role, std::string_view id) {
  const auto picked = pick(id);
  if (!picked) return picked;
  const auto& one = known(*picked);
  if (role != Role::none) {
    const auto needed = proto::quantity_of(role);
    if (needed != one.description.quantity) {
      return proto::trouble(
          one.description.id + " measures " + std::string(proto::name(one.description.quantity)),
          "role",
          "the role " + std::string(proto::name(role)) + " needs a device for " +
              std::string(proto::name(needed)));
    }
    if (paced_ && !one.in_simulated_time) {
      return proto::trouble(one.description.id + " is a real device", "device",
                            "in simulated time only simulated devices take a role; start the "
                            "daemon without --pace");
    }
  }
  std::erase_if(roles_, [&](const auto& entry) { return assigned_to(one, entry.second); });
  if (role != Role::none) roles_[role] = one.description.id;
  return *picked;
}

}  // namespace maslin::devices
