// Scales on the USB, by libusb: found, opened, read and lost on a thread of its own, so that a dead
// device's timeouts hold up nobody. What happened is fetched as events by the plugin's thread,
// which waits on a descriptor.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "plugins/hid-scale/layout.hpp"

namespace maslin::hid {

using ScaleNumber = std::uint32_t;  // 1, 2, 3 ...: a new one at each plugging in

struct Plugged {
  ScaleNumber scale = 0;
  std::string vendor, product, serial, port, label;
  std::shared_ptr<const Layout> layout;
  std::optional<Mass> limit;  // the greatest load
  std::optional<Mass> step;   // of the display
  bool repeats = true;        // for sure, though nothing changes
};
struct Packet {
  ScaleNumber scale = 0;
  std::int64_t at_ns = 0;  // CLOCK_BOOTTIME
  std::vector<std::uint8_t> bytes;
};
struct Unplugged {
  ScaleNumber scale = 0;
  std::string why;
};
struct Said {  // for the log
  int level = 0;
  std::string text;
};
using Event = std::variant<Plugged, Packet, Unplugged, Said>;

class Usb {
 public:
  // Finds what is there and from then on what comes. Throws std::runtime_error where the USB cannot
  // be reached at all.
  Usb();
  ~Usb();  // gives every interface back to its kernel driver
  Usb(const Usb&) = delete;
  Usb& operator=(const Usb&) = delete;

  int fd() const;             // readable while there are events
  std::vector<Event> take();  // in order; never blocks

 private:
  class Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace maslin::hid
