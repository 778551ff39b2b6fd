// A mocked USB with scales on it, under the real libusb of a real daemon. Devices answer as the
// kernel's usbfs would: control transfers, interrupt reports, stall, overflow, unplugging. By
// umockdev, whose preloaded library the daemon and its children run with.
#pragma once

#include <sys/types.h>
#include <umockdev.h>

#include <chrono>
#include <condition_variable>
#include <deque>
#include <list>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "tests/system/house.hpp"
#include "tests/unit/hid-scale/descriptors.hpp"

namespace maslin::usb {

using Bytes = std::vector<std::uint8_t>;

// Call first thing in main(): starts the program again with umockdev's library preloaded, which
// shows this process and its children the mocked devices instead of the machine's.
void run_preloaded(char** argv);

struct About {
  Bytes descriptor = hid::testing::usual();
  std::string serial = "S1";
  int port = 1;
  bool kernel_driver = false;                // the kernel's HID driver has the interface
  bool mute = false;                         // answers no control transfer
  bool boot_keyboard = false;                // interface of the boot class
  std::map<std::uint8_t, Bytes> features{};  // by report id
  bool refuses_idle = false;                 // and so sends changes only, see changes_to()
  bool answers_input = false;                // tells its weight when asked
  bool forbidden = false;                    // nobody may open it until permit()
  bool unconfigured = false;          // the kernel has chosen no configuration until configure()
  std::chrono::milliseconds slow{0};  // to answer a control transfer
};

class Scale;

class Bus {
 public:
  Bus();
  ~Bus();
  Bus(const Bus&) = delete;
  Bus& operator=(const Bus&) = delete;
  // A scale that can be plugged in; lives as long as the bus.
  Scale& scale(About about = {});

 private:
  UMockdevTestbed* testbed_;
  std::list<std::unique_ptr<Scale>> scales_;
};

class Scale {
 public:
  Scale(UMockdevTestbed* testbed, About about);
  ~Scale();
  Scale(const Scale&) = delete;
  Scale& operator=(const Scale&) = delete;

  void plug();    // a new address each time, as the kernel gives it
  void unplug();  // pending transfers end, then the device is gone
  // From now on this report every 20 ms, as long as somebody reads; empty: silence.
  void sends(Bytes report);
  // Once, before the next regular report.
  void sends_once(Bytes report);
  // Once, and from now on when asked.
  void changes_to(Bytes report);
  // When asked only: the report that tells of the change was lost.
  void holds(Bytes report);
  void permit();
  void configure();
  void stalls();     // the endpoint, until it is cleared
  void overflows();  // once: more than the buffer holds

  int asked() const;           // control transfers
  int opened() const;          // how often the interface was claimed
  int stalls_cleared() const;  // how often the halt was cleared
  bool driver_taken() const;   // the kernel's driver was detached
  bool driver_given_back() const;
  std::size_t buffer_size() const;  // of the last interrupt transfer
  std::optional<int> idle() const;  // as set, in units of 4 ms

 private:
  using Clock = std::chrono::steady_clock;
  struct Transfer {
    UMockdevIoctlData* urb = nullptr;
    UMockdevIoctlData* buffer = nullptr;
    bool done = false;
    Clock::time_point answer_at = Clock::time_point::max();  // a control transfer
  };
  void allow(mode_t mode);
  static int handle(UMockdevIoctlBase* base, UMockdevIoctlClient* client, Scale* self);
  std::pair<long, int> answer(unsigned long request, UMockdevIoctlData* arg);
  int submit(UMockdevIoctlData* urb);
  void control(Transfer& transfer);
  std::optional<Bytes> control_in(const std::uint8_t* setup) const;
  std::pair<long, int> reap(UMockdevIoctlData* cell);
  void feed();
  void finish(Transfer& transfer, int status, const Bytes& data);
  static void drop(Transfer& transfer);

  UMockdevTestbed* testbed_;
  const About about_;
  UMockdevIoctlBase* ioctl_ = nullptr;
  std::string path_;
  std::string node_;
  int address_ = 0;

  mutable std::mutex mutex_;  // all below: umockdev calls from a thread of its own
  std::list<Transfer> transfers_;
  Bytes report_;
  std::deque<Bytes> once_;
  Bytes held_;
  Clock::time_point last_sent_{};
  bool stalled_ = false;
  bool overflow_ = false;
  bool gone_ = false;
  bool driver_here_ = false;
  bool driver_given_back_ = false;
  int asked_ = 0;
  int opened_ = 0;
  int cleared_ = 0;
  std::size_t buffer_size_ = 0;
  std::optional<int> idle_;
};

}  // namespace maslin::usb
