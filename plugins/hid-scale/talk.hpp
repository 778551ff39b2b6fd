// Opens one interface of a USB device if it weighs, and asks it once for what it tells of itself.
// Blocks for as long as the device takes to answer, each answer for at most a second. Called by
// usb.cpp on its thread.
#pragma once

#include <optional>
#include <string>

#include "plugins/hid-scale/interfaces.hpp"
#include "plugins/hid-scale/usb.hpp"

namespace maslin::hid {

struct OpenScale {
  libusb_device_handle* handle = nullptr;  // interface claimed; the caller closes it
  // It repeats nothing by itself, but tells its weight when asked: by ask_weight().
  bool to_be_asked = false;
  Plugged told;
};

struct Opened {
  std::optional<OpenScale> scale;
  bool try_again = false;  // a scale, or what may be one, that could not be opened yet
  std::string why_not;     // for the log; empty while it is not known to be a scale
};

Opened open_scale(libusb_device* device, const Interface& where);

// The report with the weight, as the device has it now; empty where it does not answer.
std::vector<std::uint8_t> ask_weight(libusb_device_handle* handle, const Interface& where,
                                     const Layout& layout);

}  // namespace maslin::hid
