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

// What is known of a scale by its last calibration that was accepted.
struct ScaleCalibration {
  std::int64_t utc_ms = 0;
  std::int64_t interval_ug = 0;  // of the scale then; with another one it does not hold
  double slope = 1;              // indication per mass
  bool applied =
      false;  // what it shows is divided by the slope; else the slope is 1 as far as known
  double span_uncertainty = 0;   // relative standard uncertainty of a net
  std::int64_t heaviest_ug = 0;  // largest known load
  std::int64_t loads = 0;        // how many
  // The one before, 0 where there was none: how far the scale has drifted since.
  std::int64_t before_utc_ms = 0;
  double slope_before = 0;
  double span_uncertainty_before = 0;
  friend bool operator==(const ScaleCalibration&, const ScaleCalibration&) = default;
};

// What is known of a thermometer by its last calibration: read in ice and water, and in water that
// boiled. Between and beyond them it is read along the line through both.
struct ProbeCalibration {
  std::int64_t utc_ms = 0;
  std::int64_t ice_mk = 0;         // what it showed at 0 °C
  std::int64_t boil_mk = 0;        // what it showed at the boil
  std::int64_t boil_true_mk = 0;   // and how warm that was
  std::string boil_by;             // where that comes from: altitude, pressure
  std::int64_t ice_u_mk = 0;       // standard uncertainty of a corrected reading at 0 °C
  std::int64_t boil_u_mk = 0;      // and at the boil
  std::int64_t before_utc_ms = 0;  // of the one before; 0 none
  std::int64_t before_off_mk = 0;  // what it showed too much at the boil then
  friend bool operator==(const ProbeCalibration&, const ProbeCalibration&) = default;
};

// A device leased to a batch under a role; its place in the list is Reading::device within the
// batch.
struct LeasedDevice {
  Role role = Role::none;
  DeviceDescription description;
  std::optional<ScaleCalibration> calibration{};
  std::optional<ProbeCalibration> probe{};
  friend bool operator==(const LeasedDevice&, const LeasedDevice&) = default;
};

// One line of `maslin devices`.
struct DeviceState {
  DeviceDescription description;
  Role role = Role::none;
  std::string condition;        // "live", "silent", "lost", "not there", "fault: wire open" ...
  std::optional<Reading> last;  // the last reading while it is not stale
  std::int64_t age_ms = 0;      // since that reading
  std::optional<ScaleCalibration> calibration{};
  std::optional<ProbeCalibration> probe{};
};

}  // namespace maslin::proto
