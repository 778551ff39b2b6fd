#include "plugins/host/host.hpp"

#include <poll.h>
#include <sys/timerfd.h>
#include <time.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstring>
#include <utility>

#include "daemon/quantity/readings.hpp"
#include "plugins/host/structs.hpp"
#include "proto/json.hpp"

namespace maslin::host {

namespace link = proto::link;

namespace {

constexpr std::int64_t millisecond = 1'000'000;
constexpr std::int64_t second = 1'000'000'000;
// A wait shorter than this needs no word to the daemon, which gives up after five seconds.
constexpr std::int64_t quiet_for = 2 * second;
constexpr std::size_t most_cues = 1'000;

std::int64_t boot_time() {
  timespec time{};
  ::clock_gettime(CLOCK_BOOTTIME, &time);
  return static_cast<std::int64_t>(time.tv_sec) * second + time.tv_nsec;
}

std::string text(const char* from) { return from != nullptr ? from : ""; }

bool readable(int fd) {
  pollfd one{fd, POLLIN, 0};
  return ::poll(&one, 1, 0) > 0;
}

}  // namespace

Host::Host(Channel& channel, std::string argument, bool paced)
    : channel_(channel), argument_(std::move(argument)), paced_(paced) {
  table_.version = MASLIN_ABI_VERSION;
  table_.size = sizeof(maslin_host);
  table_.owner = this;
  table_.arrived = [](const maslin_host* self, const maslin_device* device) {
    return of(self).arrived(read_struct(device));
  };
  table_.readings = [](const maslin_host* self, std::uint32_t device, const maslin_reading* first,
                       std::uint32_t count) { of(self).readings(device, first, count); };
  table_.left = [](const maslin_host* self, std::uint32_t device, const char* why) {
    of(self).left(device, why);
  };
  table_.log = [](const maslin_host* self, int level, const char* line) {
    of(self).log(level, text(line));
  };
  table_.now = [](const maslin_host* self) { return of(self).now(); };
  table_.wait = [](const maslin_host* self, std::int64_t until_ns, int fd) {
    Host& host = of(self);
    return host.paced_ ? host.wait_paced(until_ns) : host.wait_real(until_ns, fd);
  };
  table_.extension = [](const maslin_host* self, const char* name) {
    return of(self).extension(name);
  };
  cues_table_ = {MASLIN_HEAD(maslin_cues),
                 [](const maslin_host* self, maslin_cue* out) { return of(self).next_cue(out); }};
  settings_table_ = {MASLIN_HEAD(maslin_settings), argument_.c_str()};
  last_sent_ns_ = boot_time();
  // Counts time in suspend, which a timeout of poll would not.
  timer_fd_ = ::timerfd_create(CLOCK_BOOTTIME, TFD_CLOEXEC);
}

Host::~Host() {
  if (timer_fd_ >= 0) ::close(timer_fd_);
}

std::int64_t Host::now() const { return paced_ ? now_ns_ : boot_time(); }

void Host::send(const link::Packet& packet) {
  channel_.send(packet);
  if (!paced_) last_sent_ns_ = boot_time();
}

void Host::flush() {
  if (held_back_.empty()) return;
  send(link::Readings{std::exchange(held_back_, {})});
}

// What would go wrong later without a word is refused at once with one.
std::string Host::fault_of(const maslin_device& device, const Identity& identity) const {
  const auto quantity = static_cast<proto::Quantity>(device.quantity);
  const auto unit = static_cast<proto::Unit>(std::min<std::uint16_t>(device.unit, 255));
  if (proto::name(quantity) == "?" || proto::name(unit) == "?") return "unknown quantity or unit";
  if (!quantity::fits(unit, quantity)) {
    return "'" + std::string(proto::name(unit)) + "' is no unit of " +
           std::string(proto::name(quantity)) + ": set .unit";
  }
  if (text(device.serial).empty() && text(device.port).empty()) {
    return "nothing to know it by: set .serial, or .port where it has none";
  }
  if (device.period_ns <= 0 && device.only_on_change == 0 && quantity != proto::Quantity::press) {
    return "its silence could not be noticed: set .period, or .only_on_change where it has none";
  }
  for (const auto& [number, one] : devices_) {
    if (one.identity == identity) {
      return "one with the same vendor, product, serial and port is there already";
    }
  }
  return "";
}

std::uint32_t Host::arrived(const maslin_device& device) {
  Identity identity{text(device.vendor), text(device.product), text(device.serial),
                    text(device.port)};
  if (const auto fault = fault_of(device, identity); !fault.empty()) {
    log(MASLIN_LOG_ERROR, "device '" + text(device.label) + "' refused: " + fault);
    return 0;
  }
  flush();
  link::Arrived packet;
  packet.device = ++last_device_;
  packet.at_ns = now();
  packet.quantity = static_cast<proto::Quantity>(device.quantity);
  packet.unit = static_cast<proto::Unit>(device.unit);
  packet.interval_digits = device.interval_digits;
  packet.capacity_digits = device.capacity_digits;
  packet.interval_exponent = device.interval_exponent;
  packet.capacity_exponent = device.capacity_exponent;
  packet.period_ns = device.only_on_change != 0 ? 0 : std::max<std::int64_t>(device.period_ns, 0);
  packet.vendor = text(device.vendor);
  packet.product = text(device.product);
  packet.serial = text(device.serial);
  packet.port = text(device.port);
  packet.label = text(device.label);
  send(packet);
  devices_.emplace(last_device_, Known{std::move(identity), packet.quantity, packet.label});
  return last_device_;
}

void Host::readings(std::uint32_t device, const maslin_reading* first, std::uint32_t count) {
  const auto found = devices_.find(device);
  if (found == devices_.end()) {
    log(MASLIN_LOG_WARNING,
        "readings of device " + std::to_string(device) + ", which is not there");
    return;
  }
  const auto* bytes = reinterpret_cast<const std::byte*>(first);
  for (std::uint32_t i = 0; i < count; ++i) {
    // The stride is the plugin's own size of the struct, which may be longer than ours.
    const auto one = read_struct(reinterpret_cast<const maslin_reading*>(bytes));
    bytes += one.size;
    link::Reading out;
    out.device = device;
    out.at_ns = one.at_ns == 0 ? now() : one.at_ns;
    out.digits = one.digits;
    out.state = one.state;
    out.exponent = one.exponent;
    out.unit = static_cast<std::uint8_t>(std::min<std::uint16_t>(one.unit, 255));
    out.quantity = one.quantity;
    check(found->second, out);
    held_back_.push_back(out);
    if (held_back_.size() == link::most_readings) flush();
  }
  if (!paced_) flush();
}

// The daemon would take it for a fault too, but only here can the author be told which.
void Host::check(Known& device, link::Reading& reading) {
  const auto unit = static_cast<proto::Unit>(reading.unit);
  if (reading.quantity == static_cast<std::uint8_t>(device.quantity) &&
      quantity::fits(unit, device.quantity)) {
    return;
  }
  reading.state |= proto::state::fault;
  if (std::exchange(device.told_of_unit, true)) return;
  log(MASLIN_LOG_ERROR,
      "device '" + device.label + "' measures " + std::string(proto::name(device.quantity)) +
          " but sends a reading of " +
          std::string(proto::name(static_cast<proto::Quantity>(reading.quantity))) + " in '" +
          std::string(proto::name(unit)) + "': each is a fault");
}

void Host::left(std::uint32_t device, const char* why) {
  if (devices_.erase(device) == 0) return;
  flush();
  send(link::Left{device, now(), text(why)});
}

void Host::log(int level, std::string line) {
  if (level >= MASLIN_LOG_ERROR) last_error_ = line;
  send(link::Log{static_cast<std::uint8_t>(std::clamp(level, 0, 3)), std::move(line)});
}

const void* Host::extension(const char* name) {
  const std::string_view asked = name != nullptr ? name : "";
  if (asked == "settings") return &settings_table_;
  if (asked != "cues") return nullptr;
  if (!std::exchange(listens_, true)) send(link::Listens{});
  return &cues_table_;
}

int Host::next_cue(maslin_cue* out) {
  if (cues_.empty()) return 0;
  fetched_ = std::move(cues_.front());
  cues_.pop_front();
  fetched_cue_ = {};
  if (const auto entry = proto::read_entry(fetched_.text)) {
    if (const auto* outcome = std::get_if<proto::Outcome>(&entry->body)) {
      if (const auto* cue = std::get_if<proto::Cue>(outcome)) fetched_cue_ = *cue;
    }
  }
  const maslin_cue all{out->version,
                       out->size,
                       fetched_cue_.urgency,
                       fetched_.at_ns,
                       fetched_cue_.amount_ug,
                       fetched_.text.c_str(),
                       fetched_cue_.id.c_str(),
                       fetched_cue_.text.c_str(),
                       fetched_cue_.ingredient.c_str(),
                       fetched_cue_.quietly ? 1 : 0};
  std::memcpy(out, &all, std::min<std::size_t>(out->size, sizeof(all)));
  return 1;
}

void Host::take(link::Packet packet) {
  if (auto* cue = std::get_if<link::Cue>(&packet)) {
    auto& queue = paced_ ? announced_ : cues_;
    queue.push_back(std::move(*cue));
    if (queue.size() > most_cues) queue.pop_front();
  } else if (const auto* grant = std::get_if<link::Grant>(&packet)) {
    granted_ns_ = std::max(granted_ns_, grant->until_ns);
    for (auto& one : announced_) cues_.push_back(std::move(one));
    announced_.clear();
  } else if (std::holds_alternative<link::Stop>(packet)) {
    stop_ = true;
  }
}

void Host::take_all_there() {
  while (auto packet = channel_.receive()) take(std::move(*packet));
  if (channel_.gone()) stop_ = true;
}

// Simulated time. Every grant is answered by exactly one Reached, so the daemon can count them;
// cues come to the plugin with a grant, all of a window at once, so their order on the link decides
// nothing.
std::uint32_t Host::wait_paced(std::int64_t until_ns) {
  if (until_ns < INT64_MAX - millisecond) {
    until_ns = (std::max<std::int64_t>(until_ns, 0) + millisecond - 1) / millisecond * millisecond;
  }
  for (;;) {
    if (stop_) return MASLIN_WOKE_STOP;
    if (can_fetch_cue()) return MASLIN_WOKE_CUE;
    if (until_ns <= granted_ns_) {
      now_ns_ = std::max(now_ns_, until_ns);
      return MASLIN_WOKE_TIME;
    }
    now_ns_ = granted_ns_;
    flush();
    send(link::Reached{now_ns_, until_ns});
    for (bool granted = false; !granted && !stop_;) {
      auto packet = channel_.wait();
      if (!packet) {
        stop_ = true;
      } else {
        granted = std::holds_alternative<link::Grant>(*packet);
        take(std::move(*packet));
      }
    }
  }
}

std::uint32_t Host::wait_real(std::int64_t until_ns, int fd) {
  for (;;) {
    take_all_there();
    const auto now = boot_time();
    std::uint32_t woke = 0;
    if (stop_) woke |= MASLIN_WOKE_STOP;
    if (can_fetch_cue()) woke |= MASLIN_WOKE_CUE;
    if (now >= until_ns) woke |= MASLIN_WOKE_TIME;
    if (fd >= 0 && readable(fd)) woke |= MASLIN_WOKE_FD;
    if (woke != 0) {
      if (std::exchange(asleep_, false) || now - last_sent_ns_ > second) send(link::Beat{0});
      return woke;
    }
    // Nothing for two seconds: say how long it may last, so that neither side needs to wake for a
    // beat.
    const auto quiet_until = last_sent_ns_ + quiet_for;
    if (!asleep_ && now >= quiet_until) {
      send(link::Beat{until_ns});
      asleep_ = true;
    }
    block(asleep_ ? until_ns : std::min(until_ns, quiet_until), fd);
  }
}

void Host::block(std::int64_t until_ns, int fd) {
  itimerspec at{};
  if (until_ns != INT64_MAX) {
    at.it_value.tv_sec = static_cast<time_t>(until_ns / second);
    at.it_value.tv_nsec = std::max<std::int64_t>(until_ns % second, 1);  // all zero would disarm it
  }
  ::timerfd_settime(timer_fd_, TFD_TIMER_ABSTIME, &at, nullptr);
  std::array<pollfd, 3> all{{{channel_.fd(), POLLIN, 0}, {timer_fd_, POLLIN, 0}, {fd, POLLIN, 0}}};
  ::poll(all.data(), all.size(), -1);  // a negative fd is passed over
}

}  // namespace maslin::host
