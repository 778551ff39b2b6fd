#include "plugins/hid-scale/interfaces.hpp"

#include <array>
#include <memory>
#include <span>

#include "plugins/hid-scale/folder.hpp"

namespace maslin::hid {
namespace {

constexpr std::uint8_t hid_descriptor = 0x21;     // USB HID 1.11, 7.1
constexpr std::uint8_t report_descriptor = 0x22;  // USB HID 1.11, 7.1
constexpr std::uint8_t boot_subclass = 1;         // USB HID 1.11, 4.2

// Length of the report descriptor, from the HID descriptor behind the interface's (USB HID 1.11,
// 6.2.1); 0 where there is none.
std::uint16_t descriptor_length(std::span<const std::uint8_t> extra) {
  for (std::size_t at = 0; at + 2 <= extra.size() && extra[at] >= 2; at += extra[at]) {
    const auto one = extra.subspan(at, std::min<std::size_t>(extra[at], extra.size() - at));
    if (one[1] != hid_descriptor || one.size() < 9) continue;
    for (std::size_t i = 6; i + 3 <= one.size(); i += 3) {
      if (one[i] == report_descriptor) {
        return static_cast<std::uint16_t>(one[i + 1] | (one[i + 2] << 8));
      }
    }
  }
  return 0;
}

}  // namespace

std::optional<std::vector<Interface>> hid_interfaces(libusb_device* device) {
  libusb_config_descriptor* raw = nullptr;
  if (libusb_get_active_config_descriptor(device, &raw) != 0) return std::nullopt;
  const std::unique_ptr<libusb_config_descriptor, decltype(&libusb_free_config_descriptor)> config(
      raw, &libusb_free_config_descriptor);
  std::vector<Interface> found;
  for (const auto& group : std::span(config->interface, config->bNumInterfaces)) {
    if (group.num_altsetting < 1) continue;
    const auto& one = group.altsetting[0];
    if (one.bInterfaceClass != LIBUSB_CLASS_HID) continue;
    for (const auto& endpoint : std::span(one.endpoint, one.bNumEndpoints)) {
      const bool in = (endpoint.bEndpointAddress & LIBUSB_ENDPOINT_IN) != 0;
      const bool interrupt =
          (endpoint.bmAttributes & LIBUSB_TRANSFER_TYPE_MASK) == LIBUSB_TRANSFER_TYPE_INTERRUPT;
      if (!in || !interrupt) continue;
      Interface where;
      where.configuration = config->bConfigurationValue;
      where.number = one.bInterfaceNumber;
      where.boot = one.bInterfaceSubClass == boot_subclass;
      where.endpoint = endpoint.bEndpointAddress;
      where.packet = endpoint.wMaxPacketSize & 0x7FF;  // the bits above count packets a microframe
      where.descriptor = descriptor_length({one.extra, static_cast<std::size_t>(one.extra_length)});
      if (where.packet > 0) found.push_back(where);
      break;
    }
  }
  return found;
}

std::string port_of(libusb_device* device) {
  std::array<std::uint8_t, 7> ports{};  // deepest chain of hubs, USB 3.2
  const int depth = libusb_get_port_numbers(device, ports.data(), static_cast<int>(ports.size()));
  std::string text = std::to_string(libusb_get_bus_number(device));
  if (depth <= 0) return text + "/" + std::to_string(libusb_get_device_address(device));
  for (int i = 0; i < depth; ++i) {
    text += (i == 0 ? "-" : ".") + std::to_string(ports[static_cast<std::size_t>(i)]);
  }
  return text;
}

std::optional<std::vector<std::uint8_t>> kernel_descriptor(const std::string& port,
                                                           const Interface& where) {
  const std::filesystem::path folder = "/sys/bus/usb/devices/" + port + ":" +
                                       std::to_string(where.configuration) + "." +
                                       std::to_string(where.number);
  for (const auto& entry : inside(folder)) {
    auto bytes = bytes_of(entry / "report_descriptor");
    if (!bytes.empty()) return bytes;
  }
  return std::nullopt;
}

}  // namespace maslin::hid
