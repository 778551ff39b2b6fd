// The packets between a plugin's host process and the daemon, over a SOCK_SEQPACKET pair: plain
// little-endian binary, one message a packet, versioned by the first one. plugins/host and
// daemon/devices are the two ends. Decoding trusts nothing: the other end may be a broken plugin.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "proto/reading.hpp"
#include "proto/trouble.hpp"

namespace maslin::proto::link {

inline constexpr std::uint16_t version = 1;
inline constexpr std::size_t most_readings = 128;      // in one packet
inline constexpr std::size_t largest_packet = 65'536;  // bytes; longer ones are refused unread
inline constexpr std::size_t longest_text = 4'096;     // bytes; longer ones are cut

// ---- daemon to host --------------------------------------------------------------------------

// The first packet of all.
struct Settings {
  std::string argument;  // of --plugin NAME=ARGUMENT
  bool paced = false;    // the daemon is in simulated time
};
// Simulated time may go on until here; cues sent before it belong before it.
struct Grant {
  std::int64_t until_ns = 0;
};
struct Cue {
  std::int64_t at_ns = 0;
  std::string text;  // the entry's text
};
struct Stop {};

// ---- host to daemon --------------------------------------------------------------------------

// The first packet of the host.
struct Hello {
  std::uint16_t link_version = version;
  std::string name;                       // as the plugin calls itself
  bool paced = false;                     // takes part in simulated time
  std::int64_t shortest_reaction_ns = 0;  // paced only
};
struct Arrived {
  std::uint32_t device = 0;  // the host's number for it, not used again after Left
  std::int64_t at_ns = 0;
  Quantity quantity = Quantity::mass;
  Unit unit = Unit::none;  // of interval and capacity
  std::int64_t interval_digits = 0;
  std::int64_t capacity_digits = 0;
  std::int8_t interval_exponent = 0;
  std::int8_t capacity_exponent = 0;
  std::int64_t period_ns = 0;  // 0: only when the value changes
  std::string vendor, product, serial, port, label;
};
// One reading as the plugin gave it; unlike proto::Reading its codes are not checked yet.
struct Reading {
  std::uint32_t device = 0;
  std::int64_t at_ns = 0;
  std::int64_t digits = 0;
  std::uint16_t state = 0;
  std::int8_t exponent = 0;
  std::uint8_t unit = 0;
  std::uint8_t quantity = 0;
  friend bool operator==(const Reading&, const Reading&) = default;
};
struct Readings {
  std::vector<Reading> all;
};  // at most most_readings
struct Left {
  std::uint32_t device = 0;
  std::int64_t at_ns = 0;
  std::string why;
};
struct Log {
  std::uint8_t level = 1;  // 0 debug, 1 info, 2 warning, 3 error
  std::string text;
};
// Simulated time: all that the plugin does up to t_ns is sent; it does nothing before next_ns.
struct Reached {
  std::int64_t t_ns = 0;
  std::int64_t next_ns = 0;
};
// A sign of life from `wait`. until_ns > 0: it now blocks and may not be heard of until then
// (INT64_MAX: until something happens). 0: it has come back.
struct Beat {
  std::int64_t until_ns = 0;
};
// The plugin asked for cues.
struct Listens {};
// The plugin's run has come back; the process ends by itself. again: it failed and may be started
// anew.
struct Finished {
  bool again = false;
  std::string why;
};

using Packet = std::variant<Settings, Grant, Cue, Stop, Hello, Arrived, Readings, Left, Log,
                            Reached, Beat, Listens, Finished>;

// Texts longer than 4 KiB are cut (a cue's text is not: it must fit a packet, checked by an
// assert).
std::vector<std::byte> encode(const Packet& packet);
// Errors: unknown type, too short, bytes left over, a count or length beyond the packet.
Result<Packet> decode(std::span<const std::byte> bytes);

}  // namespace maslin::proto::link
