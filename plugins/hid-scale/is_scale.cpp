// maslin-is-scale: tells udev whether a device is a USB scale, by the same reading of the report
// descriptor as the plugin's. Called by the rules in udev/ with the path of a USB device or of a
// hidraw device in /sys; a scale's USB device is printed and the exit code is 0, else 1.
#include <cstdio>
#include <filesystem>

#include "plugins/hid-scale/folder.hpp"
#include "plugins/hid-scale/layout.hpp"

namespace {

namespace fs = std::filesystem;

bool weighs(const fs::path& report_descriptor) {
  return maslin::hid::Layout::of(maslin::hid::bytes_of(report_descriptor)).has_value();
}

// A USB device's HID devices stand two folders below it, one in each interface.
bool has_scale(const fs::path& usb_device) {
  for (const auto& interface : maslin::hid::inside(usb_device)) {
    for (const auto& hid : maslin::hid::inside(interface)) {
      if (weighs(hid / "report_descriptor")) return true;
    }
  }
  return false;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fputs("usage: maslin-is-scale /sys/PATH\n", stderr);
    return 2;
  }
  std::error_code fault;
  auto device = fs::canonical(argv[1], fault);
  if (fault) return 1;
  if (fs::exists(device / "busnum", fault)) {
    if (!has_scale(device)) return 1;
  } else {
    if (!weighs(device / "device/report_descriptor")) return 1;
    while (!fs::exists(device / "busnum", fault)) {
      if (device == device.parent_path()) return 1;
      device = device.parent_path();
    }
  }
  std::printf("%s\n", device.c_str());
  return 0;
}
