// Which devices there are and have been, what each is used for, and whether what it sends can be
// believed. Pure: time comes in as an argument. Fed by devices.cpp, asked by session/.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "proto/device.hpp"
#include "proto/link.hpp"
#include "proto/trouble.hpp"

namespace maslin::devices {

// A device's number is its own for as long as the daemon runs: one that comes back (same vendor,
// product and serial; without a serial, same vendor, product and port) gets the number it had. 1,
// 2, 3 ...
using Number = std::uint32_t;

class Registry {
 public:
  // paced: simulated time; devices of plugins that do not take part in it get no role.
  explicit Registry(bool paced = false) : paced_(paced) {}

  // ---- fed by the plugin processes ----

  // Different devices that one plugin may bring while the daemon runs, gone ones included: each
  // keeps its number, and a plugin that makes up serials must not fill the memory.
  static constexpr std::size_t most_of_one_plugin = 256;

  // 0 where a device of this identity is there already, at the same port: two under one name would
  // mix their readings. The one that is there stays. 0 also for a new one where full(plugin).
  Number arrived(std::string_view plugin, bool in_simulated_time, const proto::link::Arrived& what,
                 std::int64_t at_ms);
  bool full(std::string_view plugin) const;
  void left(Number device, std::string_view why, std::int64_t at_ms);
  // Makes a reading of what a plugin sent: stamp rounded to 1 ms and kept between the device's last
  // stamp and now, no value where its state says there is none, a fault where the unit does not fit
  // the quantity or the figure cannot be one; moving where it says moving and steady. Remembers it
  // as the device's last.
  proto::Reading taken(Number device, const proto::link::Reading& raw, std::int64_t now_ms);
  // Simulated time: nothing that comes from here on is older than this.
  void settle_time(std::int64_t at_ms) { settled_ms_ = at_ms; }

  // ---- asked by the session; a number is one that was handed out ----

  const proto::DeviceDescription& description(Number device) const;
  bool present(Number device) const;
  // The role that its identity was assigned; else one that is not assigned to anybody, taken by
  // itself when only one device present fits: the device that bears a role's name as its label, or
  // the only one of its quantity (bench, pan, pedal). A label that names another role is never
  // overruled by the usual one. none while ambiguous.
  proto::Role role(Number device) const;
  // The device present that has the role, if any.
  std::optional<Number> device_for(proto::Role role) const;
  // True where the device is present and sends at a period, but has not for max(3 s, 3 periods).
  bool silent(Number device, std::int64_t now_ms) const;
  // When it becomes silent unless a reading comes; INT64_MAX where it never does.
  std::int64_t silent_at_ms(Number device) const;
  proto::DeviceState state(Number device, std::int64_t now_ms) const;
  // In order of number, then identities that have a role and were not seen since the daemon began.
  std::vector<proto::DeviceState> list(std::int64_t now_ms) const;

  // Gives the role to the identity `id` (or an unmistakable beginning of one, or the label of the
  // only device present that has it); whoever had it loses it. Role::none takes its role away.
  // Errors: no such device, more than one, quantity does not fit, a real device in simulated time.
  proto::Result<Number> assign(proto::Role role, std::string_view id);
  // What was assigned, for keeping: role -> identity. restore() takes it back at start.
  const std::map<proto::Role, std::string>& roles() const { return roles_; }
  void restore(std::map<proto::Role, std::string> roles) { roles_ = std::move(roles); }

 private:
  struct Known {
    proto::DeviceDescription description;
    std::string base;  // identity without the port that tells twins apart
    bool present = false;
    bool in_simulated_time = false;
    std::string why_left;
    std::int64_t since_ms = 0;  // of the last arrival or departure
    std::int64_t last_ms = 0;   // stamp of the last reading, else of the arrival
    std::optional<proto::Reading> last;
    std::uint64_t stamps_mended = 0;
  };
  const Known& known(Number device) const;
  Known& known(Number device);
  Number find(const std::string& base, const std::string& port) const;
  bool had_twins(const std::string& base) const;
  void mark_twins(const std::string& base);
  bool eligible(const Known& one, proto::Role role) const;
  bool assigned_to(const Known& one, const std::string& id) const;
  // By assignment or by its label.
  proto::Role chosen_role(const Known& one) const;
  std::string condition(const Known& one, bool silent) const;
  std::vector<Number> labelled(std::string_view label) const;
  proto::Result<Number> pick(std::string_view id) const;

  bool paced_;
  std::int64_t settled_ms_ = INT64_MIN;
  std::vector<Known> known_;  // index is number - 1
  std::map<proto::Role, std::string> roles_;
  std::set<std::string> twins_;  // bases of which two were there at once
};

}  // namespace maslin::devices
