// One stamped value from one device: the only shape a measurement has between the plugin's host and
// the record on disk. Written by devices/, numbered by session/, folded by batch/, kept by record/.
#pragma once

#include <cstdint>
#include <string_view>

namespace maslin::proto {

// A reading of `press` is one press of a pedal or button, unless it is 0.
enum class Quantity : std::uint8_t { mass = 1, temperature = 2, pressure = 3, press = 4 };

// Units as devices send them; the mass units in the order of the USB HID usage tables, page 0x8D.
enum class Unit : std::uint8_t {
  none = 0,
  mg = 1,
  g = 2,
  kg = 3,
  ct = 4,
  tael = 5,
  gr = 6,
  dwt = 7,
  t = 8,
  ton = 9,
  ozt = 10,
  oz = 11,
  lb = 12,
  kelvin = 20,
  celsius = 21,
  fahrenheit = 22,
  pascal = 30,
  hectopascal = 31,
  count = 40,
};

// State bits of a reading, as the device reports them. A reading with any bit of `unusable` has no
// value.
namespace state {
inline constexpr std::uint16_t steady =
    1 << 0;  // the device calls itself stable; may veto, never confirm
inline constexpr std::uint16_t moving = 1 << 1;  // the device says the load moves
inline constexpr std::uint16_t zero = 1 << 2;    // stable at its zero
inline constexpr std::uint16_t over = 1 << 3;    // over its range
inline constexpr std::uint16_t under = 1 << 4;   // below zero and no number for it
inline constexpr std::uint16_t needs_calibration = 1 << 5;
inline constexpr std::uint16_t needs_zero = 1 << 6;
inline constexpr std::uint16_t fault = 1 << 7;        // a fault with no nearer name
inline constexpr std::uint16_t fault_open = 1 << 8;   // sensor wire open
inline constexpr std::uint16_t fault_short = 1 << 9;  // sensor shorted
inline constexpr std::uint16_t fault_crc = 1 << 10;   // bytes damaged on the way
inline constexpr std::uint16_t fault_power_on = 1
                                                << 11;  // the power-on value, nothing measured yet
inline constexpr std::uint16_t fault_range = 1 << 12;   // outside what the device can measure
inline constexpr std::uint16_t any_fault =
    fault | fault_open | fault_short | fault_crc | fault_power_on | fault_range | needs_calibration;
inline constexpr std::uint16_t unusable = over | under | any_fault;
}  // namespace state

// Value = digits * 10^exponent in `unit`, exactly as sent.
struct Reading {
  std::uint64_t number = 0;  // 1, 2, 3 ... within a batch, over all its devices; 0 outside a batch
  std::int64_t at_ms = 0;    // CLOCK_BOOTTIME, or simulated time; whole milliseconds
  std::int64_t digits = 0;
  std::uint16_t device =
      0;  // index into the devices of the batch's start entry, else the daemon's number
  std::uint16_t state = 0;
  std::int8_t exponent = 0;
  Unit unit = Unit::none;
  Quantity quantity = Quantity::mass;

  bool usable() const { return (state & state::unusable) == 0; }
  friend bool operator==(const Reading&, const Reading&) = default;
};

// Names on the wire: "mass", "g", "degC"; "?" for a value outside the list. from_name gives false
// for a name that is not in the list and leaves `out` alone.
std::string_view name(Quantity quantity);
std::string_view name(Unit unit);
bool from_name(std::string_view text, Quantity& out);
bool from_name(std::string_view text, Unit& out);

// One word for the state bits, the weightiest first: "over", "under", "fault: wire open", ...
// "fault", "needs calibration", "needs zero", "zero", "moving", "steady"; "" where no bit is set.
std::string_view status_word(std::uint16_t state);

}  // namespace maslin::proto
