// What a device says of itself and what it is used for.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "proto/reading.hpp"

namespace maslin::proto {

// The uses a device can be given. `pedal` is anything that sends a press as the cook's one-bit
// answer.
enum class Role : std::uint8_t { none, bench, fine, pan, canner, room, pedal };
std::string_view name(Role role);  // "bench" ...; "" for none
bool from_name(std::string_view text, Role& out);
Quantity quantity_of(Role role);  // what a device must measure to take the role

struct DeviceDescription {
  std::string id;      // vendor:product:serial, else vendor:product@port; unique in the daemon
  std::string plugin;  // which plugin brought it
  std::string label;   // what it calls itself; untrusted text
  std::string serial;  // may be empty
  std::string port;    // may be empty
  Quantity quantity = Quantity::mass;
  std::int64_t interval_ug = 0;  // scale interval d; 0 not known (mass only)
  std::int64_t capacity_ug = 0;  // greatest load; 0 not known (mass only)
  std::int64_t period_ms = 0;    // usual time between readings; 0 only when the value changes
  bool ambiguous = false;        // another device has the same serial
  friend bool operator==(const DeviceDescription&, const DeviceDescription&) = default;
};

// A device leased to a batch under a role; its place in the list is Reading::device within the
// batch.
struct LeasedDevice {
  Role role = Role::none;
  DeviceDescription description;
  friend bool operator==(const LeasedDevice&, const LeasedDevice&) = default;
};

// One line of `maslin devices`.
struct DeviceState {
  DeviceDescription description;
  Role role = Role::none;
  std::string condition;        // "live", "silent", "lost", "not there", "fault: wire open" ...
  std::optional<Reading> last;  // the last reading while it is not stale
  std::int64_t age_ms = 0;      // since that reading
};

}  // namespace maslin::proto
