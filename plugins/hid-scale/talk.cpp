#include "plugins/hid-scale/talk.hpp"

#include <array>
#include <cstdio>

namespace maslin::hid {
namespace {

constexpr unsigned descriptor_timeout_ms = 1'000;
constexpr unsigned request_timeout_ms = 500;

// Requests of USB HID 1.11, 7.1 and 7.2.
constexpr std::uint8_t to_interface_standard_in = 0x81;
constexpr std::uint8_t to_interface_class_in = 0xA1;
constexpr std::uint8_t to_interface_class_out = 0x21;
constexpr std::uint8_t get_report = 0x01;
constexpr std::uint8_t set_idle = 0x0A;
constexpr std::uint16_t report_descriptor = 0x2200;
constexpr std::uint16_t input_report = 0x0100;
constexpr std::uint16_t feature_report = 0x0300;
// In units of 4 ms: a scale that would report changes only repeats itself every half second, so
// that its silence means something.
constexpr std::uint16_t idle_half_second = 125 << 8;

std::string text(libusb_device_handle* handle, std::uint8_t index) {
  if (index == 0) return "";
  std::array<unsigned char, 256> raw{};
  const int size =
      libusb_get_string_descriptor_ascii(handle, index, raw.data(), static_cast<int>(raw.size()));
  std::string all;
  for (int i = 0; i < size; ++i) {
    const auto c = static_cast<char>(raw[static_cast<std::size_t>(i)]);
    if (c > ' ' || (c == ' ' && !all.empty())) all += c;
  }
  all.erase(all.find_last_not_of(' ') + 1);
  return all;
}

std::string hex(std::uint16_t number) {
  std::array<char, 8> digits{};
  std::snprintf(digits.data(), digits.size(), "%04x", number);
  return digits.data();
}

// What the device answers; empty where it refuses or is silent.
std::vector<std::uint8_t> ask(libusb_device_handle* handle, std::uint8_t type, std::uint8_t request,
                              std::uint16_t value, const Interface& where, std::size_t size,
                              unsigned timeout_ms) {
  std::vector<std::uint8_t> answer(size);
  const int got = libusb_control_transfer(handle, type, request, value,
                                          static_cast<std::uint16_t>(where.number), answer.data(),
                                          static_cast<std::uint16_t>(size), timeout_ms);
  answer.resize(got > 0 ? static_cast<std::size_t>(got) : 0);
  return answer;
}

std::vector<std::uint8_t> feature(libusb_device_handle* handle, const Interface& where,
                                  const Layout& layout, std::uint8_t report) {
  return ask(handle, to_interface_class_in, get_report,
             static_cast<std::uint16_t>(feature_report | report), where,
             layout.feature_length(report), request_timeout_ms);
}

// Closes what is not given on.
class Handle {
 public:
  Handle(libusb_device_handle* raw, int interface) : raw_(raw), interface_(interface) {}
  ~Handle() {
    if (raw_ == nullptr) return;
    if (claimed) libusb_release_interface(raw_, interface_);
    libusb_close(raw_);
  }
  Handle(const Handle&) = delete;
  Handle& operator=(const Handle&) = delete;
  libusb_device_handle* release() { return std::exchange(raw_, nullptr); }
  bool claimed = false;

 private:
  libusb_device_handle* raw_;
  int interface_;
};

}  // namespace

std::vector<std::uint8_t> ask_weight(libusb_device_handle* handle, const Interface& where,
                                     const Layout& layout) {
  const auto report = layout.weight_report();
  return ask(handle, to_interface_class_in, get_report,
             static_cast<std::uint16_t>(input_report | report), where, layout.input_length(report),
             request_timeout_ms);
}

Opened open_scale(libusb_device* device, const Interface& where) {
  libusb_device_descriptor about{};
  if (libusb_get_device_descriptor(device, &about) != 0) return {};
  const auto port = port_of(device);
  const std::string name =
      "USB device " + hex(about.idVendor) + ":" + hex(about.idProduct) + " at " + port;

  // What the kernel has read already decides without touching the device.
  auto bytes = kernel_descriptor(port, where);
  const bool known = bytes.has_value();
  if (known && !Layout::of(*bytes)) return {};
  if (!known && where.boot) return {};
  // Only a known scale is worth a word: other devices are none of this program's business. The
  // kernel may still be about to read the descriptor, and udev about to give access.
  const auto not_yet = [&](const std::string& why) {
    return Opened{{}, true, known ? name + why : ""};
  };

  libusb_device_handle* raw = nullptr;
  const int opened = libusb_open(device, &raw);
  if (opened == LIBUSB_ERROR_NO_DEVICE) return {};
  if (opened == LIBUSB_ERROR_ACCESS) {
    return not_yet(
        " is a scale but may not be opened: install the udev rules and plug it in again "
        "(udev/README.md)");
  }
  if (opened != 0) {
    return not_yet(" is a scale but cannot be opened: " +
                   std::string(libusb_strerror(static_cast<libusb_error>(opened))));
  }
  Handle handle(raw, where.number);
  libusb_set_auto_detach_kernel_driver(raw, 1);
  const int claimed = libusb_claim_interface(raw, where.number);
  if (claimed == LIBUSB_ERROR_NO_DEVICE) return {};
  if (claimed != 0) {
    return not_yet(" is a scale but in use by another program: " +
                   std::string(libusb_strerror(static_cast<libusb_error>(claimed))));
  }
  handle.claimed = true;

  if (!known) {
    bytes = ask(raw, to_interface_standard_in, LIBUSB_REQUEST_GET_DESCRIPTOR, report_descriptor,
                where, where.descriptor, descriptor_timeout_ms);
    if (bytes->empty()) return not_yet("");
  }
  auto layout = Layout::of(*bytes);
  if (!layout) return {};

  OpenScale scale;
  scale.told.vendor = hex(about.idVendor);
  scale.told.product = hex(about.idProduct);
  scale.told.serial = text(raw, about.iSerialNumber);
  scale.told.port = where.number == 0 ? port : port + ":" + std::to_string(where.number);
  scale.told.label = text(raw, about.iManufacturer);
  const auto product = text(raw, about.iProduct);
  if (!scale.told.label.empty() && !product.empty()) scale.told.label += ' ';
  scale.told.label += product;
  if (scale.told.label.empty()) scale.told.label = "USB scale";

  if (const auto id = layout->limit_report()) {
    if (const auto limit = layout->limit(feature(raw, where, *layout, *id))) {
      scale.told.limit = *limit;
    }
  }
  if (const auto id = layout->attribute_report()) {
    if (const auto step = layout->step(feature(raw, where, *layout, *id))) scale.told.step = *step;
  }
  // A device may refuse this. Then it may send nothing while nothing changes; whether it does is
  // seen from what it sends, unless it can be asked.
  const int idle = libusb_control_transfer(raw, to_interface_class_out, set_idle, idle_half_second,
                                           static_cast<std::uint16_t>(where.number), nullptr, 0,
                                           request_timeout_ms);
  scale.to_be_asked = idle < 0 && layout->decode(ask_weight(raw, where, *layout)).has_value();
  scale.told.repeats = idle >= 0 || scale.to_be_asked;
  scale.told.layout = std::make_shared<const Layout>(std::move(*layout));
  scale.handle = handle.release();
  return {std::move(scale), false, ""};
}

}  // namespace maslin::hid
