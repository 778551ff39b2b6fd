// The HID interfaces of a USB device, and what the kernel already knows of them, without opening
// the device. Called by usb.cpp.
#pragma once

#include <libusb.h>

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace maslin::hid {

struct Interface {
  int configuration = 1;
  int number = 0;
  bool boot = false;             // a keyboard or mouse that works before the system is up
  std::uint8_t endpoint = 0;     // interrupt IN
  std::uint16_t packet = 0;      // its wMaxPacketSize
  std::uint16_t descriptor = 0;  // length of the report descriptor
};

// Interfaces of class HID with an interrupt IN endpoint in the active configuration. Nothing where
// there is none yet: a device is announced before the kernel has chosen one.
std::optional<std::vector<Interface>> hid_interfaces(libusb_device* device);

// Where it is plugged in, as the kernel names it: "1-4.2", bus and ports.
std::string port_of(libusb_device* device);

// The report descriptor that the kernel has read, where its HID driver has the interface; so no
// keyboard is taken away from anybody only to see that it is no scale.
std::optional<std::vector<std::uint8_t>> kernel_descriptor(const std::string& port,
                                                           const Interface& where);

}  // namespace maslin::hid
