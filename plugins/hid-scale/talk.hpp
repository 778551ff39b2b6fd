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
  Plugged told;
};

struct Opened {
  std::optional<OpenScale> scale;
  bool try_again = false;  // a scale, or what may be one, that could not be opened
  std::string why_not;     // for the log; empty while it is not known to be a scale
};

Opened open_scale(libusb_device* device, const Interface& where);

}  // namespace maslin::hid
