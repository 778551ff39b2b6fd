// usbfs as a mocked device plays it; see linux/usbdevice_fs.h for the requests.
#include "tests/system/usb_bus.hpp"

// The order matters: usbdevice_fs.h builds on the macros of ioctl.h.
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <linux/usbdevice_fs.h>

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <cstddef>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <stdexcept>

namespace maslin::usb {
namespace {

constexpr std::uint8_t packet_size = 8;
constexpr std::uint8_t endpoint_in = 0x81;
constexpr auto between_reports = std::chrono::milliseconds(20);
std::atomic<int> last_address{1};

std::string hex(const Bytes& bytes) {
  std::string text;
  for (const auto byte : bytes) {
    char two[3];
    std::snprintf(two, sizeof two, "%02X", byte);
    text += two;
  }
  return text;
}

Bytes string_descriptor(const std::string& text) {
  Bytes all{static_cast<std::uint8_t>(2 + 2 * text.size()), 3};
  for (const char c : text) {
    all.push_back(static_cast<std::uint8_t>(c));
    all.push_back(0);
  }
  return all;
}

// Device and configuration descriptor of an invented scale: one HID interface, one endpoint.
Bytes device_descriptors(const About& about) {
  const auto length = static_cast<std::uint16_t>(about.descriptor.size());
  const auto low = static_cast<std::uint8_t>(length & 0xFF);
  const auto high = static_cast<std::uint8_t>(length >> 8);
  const std::uint8_t boot = about.boot_keyboard ? 1 : 0;
  const std::uint8_t serial = about.serial.empty() ? 0 : 3;
  return {18,   1, 0x00, 0x02,   0,   0,    0, 8,    0xFE,        0xCA, 0x01,        0x00, 0x00,
          0x01, 1, 2,    serial, 1,   9,    2, 34,   0,           1,    1,           0,    0x80,
          50,   9, 4,    0,      0,   1,    3, boot, boot,        0,    9,           0x21, 0x11,
          0x01, 0, 1,    0x22,   low, high, 7, 5,    endpoint_in, 3,    packet_size, 0,    10};
}

usbdevfs_urb& urb_of(UMockdevIoctlData* data) {
  return *reinterpret_cast<usbdevfs_urb*>(data->data);
}

void add_option(const char* variable, const std::string& option) {
  const char* before = std::getenv(variable);
  const auto all = (before != nullptr ? before + std::string(":") : "") + option;
  ::setenv(variable, all.c_str(), 1);
}

}  // namespace

Bus::Bus() : testbed_(umockdev_testbed_new()) {}
// The testbed's thread must have ended before what it calls goes.
Bus::~Bus() {
  for (auto& scale : scales_) scale->unplug();
  g_object_unref(testbed_);
}

Scale& Bus::scale(About about) {
  return *scales_.emplace_back(std::make_unique<Scale>(testbed_, std::move(about)));
}

void run_preloaded(char** argv) {
  constexpr const char* library = "libumockdev-preload.so.0";
  const char* preloaded = std::getenv("LD_PRELOAD");
  if (preloaded != nullptr && std::strstr(preloaded, library) != nullptr) return;
  ::setenv("LD_PRELOAD", library, 1);
  // A sanitized program wants its own library first, which a preloaded one cannot let it be.
  add_option("ASAN_OPTIONS", "verify_asan_link_order=0");
  add_option("TSAN_OPTIONS", "suppressions=" MASLIN_SOURCE_DIR "/tests/system/usb_tsan.supp");
  ::execv("/proc/self/exe", argv);
}

Scale::Scale(UMockdevTestbed* testbed, About about)
    : testbed_(testbed), about_(std::move(about)), ioctl_(umockdev_ioctl_base_new()) {
  g_signal_connect(ioctl_, "handle-ioctl", G_CALLBACK(&Scale::handle), this);
}

Scale::~Scale() { g_object_unref(ioctl_); }

void Scale::plug() {
  const int address = ++last_address;
  {
    const std::lock_guard lock(mutex_);
    gone_ = false;
    stalled_ = false;
    driver_here_ = about_.kernel_driver;
    address_ = address;
  }
  char number[4];
  std::snprintf(number, sizeof number, "%03d", address);
  const std::string name = "1-" + std::to_string(about_.port);
  node_ = std::string("/dev/bus/usb/001/") + number;
  path_ = "/devices/pci0000:00/usb1/" + name;
  GError* fault = nullptr;
  if (umockdev_testbed_attach_ioctl(testbed_, node_.c_str(), ioctl_, &fault) == FALSE) {
    throw std::runtime_error(fault->message);
  }
  const auto descriptors = hex(device_descriptors(about_));
  std::string text =
      "P: " + path_ + "\nN: bus/usb/001/" + number + "=" + descriptors + "\nE: DEVNAME=" + node_ +
      "\nE: SUBSYSTEM=usb\nE: DEVTYPE=usb_device\nE: BUSNUM=001\nE: DEVNUM=" + number +
      "\nE: PRODUCT=cafe/1/100\nA: busnum=1\\n\nA: devnum=" + std::to_string(address) +
      "\\n\nA: speed=12\\n\nA: bConfigurationValue=" + (about_.unconfigured ? "" : "1") +
      "\\n\nH: descriptors=" + descriptors + "\n";
  if (about_.kernel_driver) {
    const std::string interface = path_ + "/" + name + ":1.0";
    text +=
        "\nP: " + interface + "\nE: SUBSYSTEM=usb\nE: DEVTYPE=usb_interface\n\nP: " + interface +
        "/0003:CAFE:0001.0001\nE: SUBSYSTEM=hid\nH: report_descriptor=" + hex(about_.descriptor) +
        "\n";
  }
  if (umockdev_testbed_add_from_string(testbed_, text.c_str(), &fault) == FALSE) {
    throw std::runtime_error(fault->message);
  }
  if (about_.forbidden) allow(0);
  umockdev_testbed_uevent(testbed_, ("/sys" + path_).c_str(), "add");
}

// The node is a file below the testbed's root.
void Scale::allow(mode_t mode) {
  char* root = umockdev_testbed_get_root_dir(testbed_);
  const int fault = ::chmod((root + node_).c_str(), mode);
  g_free(root);
  if (fault != 0) throw std::runtime_error("no access mode for " + node_);
}
void Scale::permit() { allow(0600); }
void Scale::configure() {
  umockdev_testbed_set_attribute(testbed_, ("/sys" + path_).c_str(), "bConfigurationValue", "1\n");
}

void Scale::unplug() {
  if (path_.empty()) return;
  {
    const std::lock_guard lock(mutex_);
    gone_ = true;
    for (auto& transfer : transfers_) {
      if (!transfer.done) finish(transfer, -ESHUTDOWN, {});
    }
  }
  // The kernel keeps ended transfers until they are fetched, whatever becomes of the device.
  house::until(
      [this] {
        const std::lock_guard lock(mutex_);
        return transfers_.empty();
      },
      std::chrono::seconds(5));
  umockdev_testbed_uevent(testbed_, ("/sys" + path_).c_str(), "remove");
  umockdev_testbed_remove_device(testbed_, ("/sys" + path_).c_str());
  umockdev_testbed_detach_ioctl(testbed_, node_.c_str(), nullptr);
  path_.clear();
  const std::lock_guard lock(mutex_);
  for (auto& transfer : transfers_) drop(transfer);
  transfers_.clear();
}

void Scale::sends(Bytes report) {
  const std::lock_guard lock(mutex_);
  report_ = std::move(report);
}
void Scale::sends_once(Bytes report) {
  const std::lock_guard lock(mutex_);
  once_.push_back(std::move(report));
}
void Scale::holds(Bytes report) {
  const std::lock_guard lock(mutex_);
  held_ = std::move(report);
}
void Scale::changes_to(Bytes report) {
  holds(report);
  sends_once(std::move(report));
}
void Scale::stalls() {
  const std::lock_guard lock(mutex_);
  stalled_ = true;
}
void Scale::overflows() {
  const std::lock_guard lock(mutex_);
  overflow_ = true;
}
int Scale::asked() const {
  const std::lock_guard lock(mutex_);
  return asked_;
}
int Scale::opened() const {
  const std::lock_guard lock(mutex_);
  return opened_;
}
int Scale::stalls_cleared() const {
  const std::lock_guard lock(mutex_);
  return cleared_;
}
bool Scale::driver_taken() const {
  const std::lock_guard lock(mutex_);
  return about_.kernel_driver && !driver_here_;
}
bool Scale::driver_given_back() const {
  const std::lock_guard lock(mutex_);
  return driver_given_back_;
}
std::size_t Scale::buffer_size() const {
  const std::lock_guard lock(mutex_);
  return buffer_size_;
}
std::optional<int> Scale::idle() const {
  const std::lock_guard lock(mutex_);
  return idle_;
}

int Scale::handle(UMockdevIoctlBase*, UMockdevIoctlClient* client, Scale* self) {
  const auto request = umockdev_ioctl_client_get_request(client);
  const bool reaping = request == USBDEVFS_REAPURBNDELAY || request == USBDEVFS_REAPURB;
  std::pair<long, int> result;
  {
    const std::lock_guard lock(self->mutex_);
    result = self->answer(request, umockdev_ioctl_client_get_arg(client));
  }
  // The node is a plain file and always ready: without a pause libusb would ask without end.
  if (reaping && result.second == EAGAIN) {
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
  umockdev_ioctl_client_complete(client, result.first, result.second);
  return TRUE;
}

std::pair<long, int> Scale::answer(unsigned long request, UMockdevIoctlData* arg) {
  if (request == USBDEVFS_REAPURBNDELAY || request == USBDEVFS_REAPURB) {
    return reap(umockdev_ioctl_data_resolve(arg, 0, sizeof(void*), nullptr));
  }
  if (gone_) return {-1, ENODEV};
  switch (request) {
    case USBDEVFS_GET_CAPABILITIES: {
      auto* data = umockdev_ioctl_data_resolve(arg, 0, sizeof(std::uint32_t), nullptr);
      const std::uint32_t all =
          USBDEVFS_CAP_REAP_AFTER_DISCONNECT | USBDEVFS_CAP_NO_PACKET_SIZE_LIM;
      std::memcpy(data->data, &all, sizeof all);
      g_object_unref(data);
      return {0, 0};
    }
    case USBDEVFS_DISCONNECT_CLAIM:
      driver_here_ = false;
      ++opened_;
      return {0, 0};
    case USBDEVFS_CLAIMINTERFACE:
      if (driver_here_) return {-1, EBUSY};
      ++opened_;
      return {0, 0};
    case USBDEVFS_RELEASEINTERFACE:
      return {0, 0};
    case USBDEVFS_CLEAR_HALT:
      stalled_ = false;
      ++cleared_;
      return {0, 0};
    case USBDEVFS_IOCTL:  // libusb gives the interface back to its driver
      if (!about_.kernel_driver) return {-1, ENODATA};
      driver_here_ = true;
      driver_given_back_ = true;
      return {0, 0};
    case USBDEVFS_GETDRIVER:
      return {-1, ENODATA};
    case USBDEVFS_SUBMITURB: {
      const int fault = submit(umockdev_ioctl_data_resolve(arg, 0, sizeof(usbdevfs_urb), nullptr));
      return {fault == 0 ? 0 : -1, fault};
    }
    case USBDEVFS_DISCARDURB: {
      unsigned long address = 0;
      std::memcpy(&address, arg->data, sizeof address);
      for (auto& transfer : transfers_) {
        if (transfer.urb->client_addr == address && !transfer.done) finish(transfer, -ENOENT, {});
      }
      return {0, 0};
    }
    default:
      return {-1, ENOTTY};
  }
}

int Scale::submit(UMockdevIoctlData* urb) {
  Transfer transfer;
  transfer.urb = urb;
  const auto length = urb_of(urb).buffer_length;
  transfer.buffer = umockdev_ioctl_data_resolve(urb, offsetof(usbdevfs_urb, buffer),
                                                static_cast<gsize>(length), nullptr);
  if (urb_of(urb).type == USBDEVFS_URB_TYPE_CONTROL) {
    ++asked_;
    if (!about_.mute) transfer.answer_at = Clock::now() + about_.slow;
  } else {
    buffer_size_ = static_cast<std::size_t>(length);
  }
  transfers_.push_back(transfer);
  return 0;
}

void Scale::control(Transfer& transfer) {
  const std::uint8_t* setup = transfer.buffer->data;
  if (setup[0] == 0x21 && setup[1] == 0x0A) {  // SET_IDLE
    if (!about_.refuses_idle) idle_ = setup[3];
    finish(transfer, about_.refuses_idle ? -EPIPE : 0, {});
    return;
  }
  auto data = control_in(setup);
  if (!data) {
    finish(transfer, -EPIPE, {});
    return;
  }
  const std::size_t wanted = setup[6] + setup[7] * 256U;
  data->resize(std::min(data->size(), wanted));
  finish(transfer, 0, *data);
}

std::optional<Bytes> Scale::control_in(const std::uint8_t* setup) const {
  if (setup[0] == 0x80 && setup[1] == 6 && setup[3] == 3) {
    switch (setup[2]) {
      case 0:
        return Bytes{4, 3, 0x09, 0x04};
      case 1:
        return string_descriptor("Quayside");
      case 2:
        return string_descriptor("bench scale");
      case 3:
        return string_descriptor(about_.serial);
    }
  }
  if (setup[0] == 0x81 && setup[1] == 6 && setup[3] == 0x22) return about_.descriptor;
  if (setup[0] == 0xA1 && setup[1] == 1 && setup[3] == 3) {  // GET_REPORT of a feature
    const auto found = about_.features.find(setup[2]);
    if (found != about_.features.end()) return found->second;
  }
  const bool input = setup[0] == 0xA1 && setup[1] == 1 && setup[3] == 1;
  if (input && about_.answers_input && !held_.empty()) return held_;
  return std::nullopt;
}

// Ends a transfer; a control transfer's data stand behind its eight bytes of setup.
void Scale::finish(Transfer& transfer, int status, const Bytes& data) {
  auto& urb = urb_of(transfer.urb);
  const std::size_t offset = urb.type == USBDEVFS_URB_TYPE_CONTROL ? 8 : 0;
  const auto room = static_cast<std::size_t>(urb.buffer_length) - offset;
  const auto size = std::min(data.size(), room);
  if (size > 0) std::memcpy(transfer.buffer->data + offset, data.data(), size);
  urb.status = status;
  urb.actual_length = static_cast<int>(size);
  transfer.done = true;
}

// Answers what was asked; what the device has to say goes into the waiting interrupt transfer, if
// there is one.
void Scale::feed() {
  for (auto& transfer : transfers_) {
    if (!transfer.done && Clock::now() >= transfer.answer_at) control(transfer);
  }
  const auto waiting = std::ranges::find_if(transfers_, [](const Transfer& one) {
    return !one.done && urb_of(one.urb).type == USBDEVFS_URB_TYPE_INTERRUPT;
  });
  if (waiting == transfers_.end()) return;
  if (stalled_) return finish(*waiting, -EPIPE, {});
  if (std::exchange(overflow_, false)) return finish(*waiting, -EOVERFLOW, {});
  if (!once_.empty()) {
    finish(*waiting, 0, once_.front());
    once_.pop_front();
  } else if (!report_.empty() && Clock::now() - last_sent_ >= between_reports) {
    last_sent_ = Clock::now();
    finish(*waiting, 0, report_);
  }
}

std::pair<long, int> Scale::reap(UMockdevIoctlData* cell) {
  if (!gone_) feed();
  const auto done = std::ranges::find_if(transfers_, &Transfer::done);
  std::pair<long, int> result{-1, gone_ ? ENODEV : EAGAIN};
  if (done != transfers_.end()) {
    umockdev_ioctl_data_set_ptr(cell, 0, done->urb);
    drop(*done);
    transfers_.erase(done);
    result = {0, 0};
  }
  g_object_unref(cell);
  return result;
}

void Scale::drop(Transfer& transfer) {
  if (transfer.buffer != nullptr) g_object_unref(transfer.buffer);
  g_object_unref(transfer.urb);
}

}  // namespace maslin::usb
