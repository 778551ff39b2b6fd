#include "plugins/hid-scale/usb.hpp"

#include <sys/eventfd.h>
#include <time.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <list>
#include <mutex>
#include <stdexcept>
#include <thread>

#include "plugins/hid-scale/interfaces.hpp"
#include "plugins/hid-scale/talk.hpp"
#include "plugins/hid-scale/tries.hpp"

namespace maslin::hid {
namespace {

constexpr std::int64_t millisecond = 1'000'000;
constexpr std::int64_t second = 1'000'000'000;
// Without anything due the thread sleeps until libusb or the end wakes it; libusb wants a number.
constexpr std::int64_t nothing_due = 3'600 * second;
// How often a scale is asked that repeats nothing by itself; after no answer it is left alone a
// while, for asking holds up the opening of others.
constexpr std::int64_t between_questions = second / 2;
constexpr std::int64_t after_no_answer = 2 * second;
constexpr std::size_t most_events = 4'096;

std::int64_t boot_time() {
  timespec time{};
  ::clock_gettime(CLOCK_BOOTTIME, &time);
  return std::int64_t{time.tv_sec} * second + time.tv_nsec;
}

// The first fault is mended at once, further ones in a row after 0.1, 0.2 ... 2 s.
std::int64_t pause_after(int faults) {
  if (faults <= 1) return 0;
  return std::min(100 * millisecond << std::min(faults - 2, 5), 2 * second);
}

}  // namespace

// Everything but events_ belongs to the USB thread.
class Usb::Impl {
 public:
  Impl() : fd_(::eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK)) {
    if (const int fault = libusb_init(&context_); fault != 0) {
      ::close(fd_);
      throw std::runtime_error(std::string("the USB cannot be reached: ") +
                               libusb_strerror(static_cast<libusb_error>(fault)));
    }
    thread_ = std::thread([this] { work(); });
  }
  ~Impl() {
    stop_ = true;
    libusb_interrupt_event_handler(context_);
    thread_.join();
    libusb_exit(context_);
    ::close(fd_);
  }
  Impl(const Impl&) = delete;
  Impl& operator=(const Impl&) = delete;

  int fd() const { return fd_; }
  std::vector<Event> take() {
    std::uint64_t count = 0;
    while (::read(fd_, &count, sizeof(count)) > 0) continue;
    const std::lock_guard lock(mutex_);
    return std::exchange(events_, {});
  }

 private:
  struct Change {
    libusb_device* device = nullptr;
    bool here = false;
  };
  // A device that is there.
  struct Known {
    libusb_device* device = nullptr;
    Tries tries{};
  };
  struct Scale {
    Impl* owner = nullptr;
    ScaleNumber number = 0;
    libusb_device* device = nullptr;
    libusb_device_handle* handle = nullptr;
    Interface where;
    libusb_transfer* transfer = nullptr;
    std::vector<std::uint8_t> buffer;
    bool in_flight = false;
    bool gone = false;
    bool stalled = false;
    int faults = 0;  // in a row
    std::int64_t again_at = 0;
    std::shared_ptr<const Layout> to_be_asked;  // none: it sends by itself
    std::int64_t ask_at = 0;
  };

  void push(Event event) {
    {
      const std::lock_guard lock(mutex_);
      // A device that floods while the plugin is held up loses packets, never its comings and
      // goings.
      if (events_.size() >= most_events && std::holds_alternative<Packet>(event)) return;
      events_.push_back(std::move(event));
    }
    const std::uint64_t one = 1;
    (void)!::write(fd_, &one, sizeof(one));
  }

  void work() {
    libusb_hotplug_callback_handle callback = 0;
    const int fault = libusb_hotplug_register_callback(
        context_,
        static_cast<libusb_hotplug_event>(LIBUSB_HOTPLUG_EVENT_DEVICE_ARRIVED |
                                          LIBUSB_HOTPLUG_EVENT_DEVICE_LEFT),
        LIBUSB_HOTPLUG_ENUMERATE, LIBUSB_HOTPLUG_MATCH_ANY, LIBUSB_HOTPLUG_MATCH_ANY,
        LIBUSB_HOTPLUG_MATCH_ANY,
        [](libusb_context*, libusb_device* device, libusb_hotplug_event event, void* self) {
          // Within libusb's event handling: nothing here may talk to the device.
          static_cast<Impl*>(self)->changes_.push_back(
              {libusb_ref_device(device), event == LIBUSB_HOTPLUG_EVENT_DEVICE_ARRIVED});
          return 0;
        },
        this, &callback);
    if (fault != 0) {
      push(Said{MASLIN_LOG_ERROR, std::string("devices that are plugged in are not seen: ") +
                                      libusb_strerror(static_cast<libusb_error>(fault))});
    }
    while (!stop_) {
      take_changes();
      for (auto& known : known_) look_at(known);
      for (auto& scale : scales_) mend(scale);
      std::erase_if(scales_, [](const Scale& scale) { return scale.handle == nullptr; });
      // What talks to a device above may have swallowed the interrupt of the end.
      if (stop_) break;
      handle_events(std::max<std::int64_t>(due() - boot_time(), 0));
    }
    if (fault == 0) libusb_hotplug_deregister_callback(context_, callback);
    for (auto& scale : scales_) scale.gone = true;
    for (const auto end = boot_time() + second; !scales_.empty() && boot_time() < end;) {
      for (auto& scale : scales_) mend(scale);
      std::erase_if(scales_, [](const Scale& scale) { return scale.handle == nullptr; });
      if (!scales_.empty()) handle_events(100 * millisecond);
    }
    for (auto& known : known_) libusb_unref_device(known.device);
    for (auto& change : changes_) libusb_unref_device(change.device);
  }

  void handle_events(std::int64_t at_most) {
    timeval span{static_cast<time_t>(at_most / second),
                 static_cast<suseconds_t>(at_most % second / 1'000)};
    libusb_handle_events_timeout_completed(context_, &span, nullptr);
  }

  // A device that comes while the first ones are listed may be told twice.
  void take_changes() {
    for (const auto& [device, here] : std::exchange(changes_, {})) {
      const auto known = std::ranges::find(known_, device, &Known::device);
      if (here && known == known_.end()) {
        known_.push_back({.device = device});
        continue;
      }
      if (!here && known != known_.end()) {
        for (auto& scale : scales_) scale.gone = scale.gone || scale.device == device;
        libusb_unref_device(device);
        known_.erase(known);
      }
      libusb_unref_device(device);
    }
  }

  // When something is to be done by itself.
  std::int64_t due() const {
    auto soonest = boot_time() + nothing_due;
    if (!changes_.empty()) return 0;
    for (const auto& known : known_) {
      soonest = std::min(soonest, known.tries.due().value_or(soonest));
    }
    for (const auto& scale : scales_) {
      if (scale.gone && !scale.in_flight) return 0;
      if (!scale.gone && !scale.in_flight) soonest = std::min(soonest, scale.again_at);
      if (!scale.gone && scale.to_be_asked) soonest = std::min(soonest, scale.ask_at);
    }
    return soonest;
  }

  void look_at(Known& known) {
    if (!known.tries.due() || boot_time() < *known.tries.due()) return;
    const auto interfaces = hid_interfaces(known.device);
    auto look = interfaces ? Look::done : Look::unclear;
    std::string why;
    for (const auto& where : interfaces.value_or(std::vector<Interface>{})) {
      const auto open = std::ranges::any_of(scales_, [&](const Scale& scale) {
        return scale.device == known.device && scale.where.number == where.number;
      });
      if (open) continue;
      auto opened = open_scale(known.device, where);
      if (opened.scale) begin(known.device, where, std::move(*opened.scale));
      if (!opened.try_again) continue;
      look = std::max(look, opened.why_not.empty() ? Look::unclear : Look::refused);
      if (!opened.why_not.empty()) why = std::move(opened.why_not);
    }
    if (known.tries.looked(look, boot_time())) push(Said{MASLIN_LOG_WARNING, std::move(why)});
  }

  void begin(libusb_device* device, const Interface& where, OpenScale opened) {
    auto& scale = scales_.emplace_back();
    scale.owner = this;
    scale.number = ++last_number_;
    scale.device = libusb_ref_device(device);
    scale.handle = opened.handle;
    scale.where = where;
    scale.transfer = libusb_alloc_transfer(0);
    // Exactly one packet: a smaller buffer overflows, a larger one runs reports together. Only
    // where a report does not fit into one packet it takes several.
    const std::size_t longest = std::max<std::size_t>(opened.told.layout->longest_input(), 1);
    scale.buffer.resize((longest + where.packet - 1) / where.packet * where.packet);
    if (opened.to_be_asked) scale.to_be_asked = opened.told.layout;
    opened.told.scale = scale.number;
    push(std::move(opened.told));
    submit(scale);
  }

  void submit(Scale& scale) {
    libusb_fill_interrupt_transfer(
        scale.transfer, scale.handle, scale.where.endpoint, scale.buffer.data(),
        static_cast<int>(scale.buffer.size()),
        [](libusb_transfer* done) {
          auto& owner = *static_cast<Scale*>(done->user_data);
          owner.owner->came(owner);
        },
        &scale, 0);
    const int fault = libusb_submit_transfer(scale.transfer);
    scale.in_flight = fault == 0;
    if (fault == LIBUSB_ERROR_NO_DEVICE) scale.gone = true;
    if (fault != 0) failed(scale);
  }

  void failed(Scale& scale) { scale.again_at = boot_time() + pause_after(++scale.faults); }

  // The transfer's callback: only submitting is allowed here, so a stall is cleared in mend().
  void came(Scale& scale) {
    scale.in_flight = false;
    const auto size = static_cast<std::ptrdiff_t>(scale.transfer->actual_length);
    switch (scale.transfer->status) {
      case LIBUSB_TRANSFER_COMPLETED:
        scale.faults = 0;
        scale.ask_at = boot_time() + between_questions;
        push(
            Packet{scale.number, boot_time(), {scale.buffer.begin(), scale.buffer.begin() + size}});
        if (!scale.gone) submit(scale);
        return;
      case LIBUSB_TRANSFER_NO_DEVICE:
        scale.gone = true;
        return;
      case LIBUSB_TRANSFER_CANCELLED:
        return;
      case LIBUSB_TRANSFER_STALL:
        scale.stalled = true;
        push(Said{MASLIN_LOG_INFO, "a scale's endpoint stalled, it is cleared"});
        break;
      case LIBUSB_TRANSFER_OVERFLOW:
        push(Said{MASLIN_LOG_WARNING, "a scale sent more than one packet holds; thrown away"});
        break;
      default:
        break;
    }
    failed(scale);
  }

  void ask(Scale& scale) {
    auto report = ask_weight(scale.handle, scale.where, *scale.to_be_asked);
    const auto now = boot_time();
    scale.ask_at = now + (report.empty() ? after_no_answer : between_questions);
    if (!report.empty()) push(Packet{scale.number, now, std::move(report)});
  }

  // Closes what is gone, clears stalls, reads again after faults, asks who has to be asked.
  void mend(Scale& scale) {
    if (scale.gone) {
      if (scale.in_flight) {
        libusb_cancel_transfer(scale.transfer);
      } else {
        close(scale);
      }
      return;
    }
    if (scale.to_be_asked && boot_time() >= scale.ask_at) ask(scale);
    if (scale.in_flight || boot_time() < scale.again_at) return;
    if (std::exchange(scale.stalled, false)) {
      const int fault = libusb_clear_halt(scale.handle, scale.where.endpoint);
      if (fault == LIBUSB_ERROR_NO_DEVICE) scale.gone = true;
    }
    if (!scale.gone) submit(scale);
  }

  void close(Scale& scale) {
    libusb_free_transfer(scale.transfer);
    libusb_release_interface(scale.handle, scale.where.number);
    libusb_close(scale.handle);
    libusb_unref_device(scale.device);
    scale.handle = nullptr;
    push(Unplugged{scale.number, "unplugged"});
  }

  const int fd_;
  libusb_context* context_ = nullptr;
  std::atomic<bool> stop_ = false;
  std::mutex mutex_;
  std::vector<Event> events_;
  std::vector<Change> changes_;
  std::vector<Known> known_;
  std::list<Scale> scales_;  // a list: transfers point into it
  ScaleNumber last_number_ = 0;
  std::thread thread_;
};

Usb::Usb() : impl_(std::make_unique<Impl>()) {}
Usb::~Usb() = default;
int Usb::fd() const { return impl_->fd(); }
std::vector<Event> Usb::take() { return impl_->take(); }

}  // namespace maslin::hid
