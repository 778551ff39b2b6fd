// The thermometer plugin: looks which sensors the kernel has, measures each about once a second,
// and tells when one comes or goes. While there is none it sleeps until the kernel announces a
// device.
#include <linux/netlink.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <map>

#include "plugins/thermometer/sensors.hpp"

using namespace std::chrono_literals;
using namespace maslin;

namespace {

constexpr auto period = 1s;
// After the kernel has announced a device its files may still be on their way.
constexpr auto look_on_for = 3s;

// The kernel's announcements of devices (netlink, kobject uevent); without them, or under another
// root, one has to look.
class Announcements {
 public:
  explicit Announcements(bool real) {
    if (!real) return;
    fd_ = ::socket(AF_NETLINK, SOCK_DGRAM | SOCK_CLOEXEC | SOCK_NONBLOCK, NETLINK_KOBJECT_UEVENT);
    sockaddr_nl address{};
    address.nl_family = AF_NETLINK;
    address.nl_groups = 1;  // the kernel's own
    if (fd_ >= 0 && ::bind(fd_, reinterpret_cast<sockaddr*>(&address), sizeof(address)) != 0) {
      ::close(fd_);
      fd_ = -1;
    }
  }
  ~Announcements() {
    if (fd_ >= 0) ::close(fd_);
  }
  Announcements(const Announcements&) = delete;
  Announcements& operator=(const Announcements&) = delete;

  int fd() const { return fd_; }
  void drain() const {
    std::array<char, 4096> ignored{};
    while (::recv(fd_, ignored.data(), ignored.size(), 0) > 0) continue;
  }

 private:
  int fd_ = -1;
};

struct Known {
  thermometer::Sensor sensor;
  sdk::Device device;
  std::optional<sdk::Decimal> before{};
};

class Plugin {
 public:
  explicit Plugin(sdk::Host& host)
      : host_(host),
        choice_(thermometer::parse_choice(host.argument())),
        announcements_(choice_.root == "/sys") {}

  void run() {
    for (auto next = host_.now();;) {
      look();
      for (auto& [key, known] : sensors_) {
        measure(known);
        // A sensor takes its time; this is the sign of life between two of them.
        if (host_.wait(host_.now()).stop()) return;
      }
      next = std::max(next + period, host_.now());
      const bool nothing_to_do =
          sensors_.empty() && announcements_.fd() >= 0 && host_.now() >= look_until_;
      const auto woke = host_.wait(nothing_to_do ? sdk::forever : next, announcements_.fd());
      if (woke.stop()) return;
      if (woke.fd()) {
        announcements_.drain();
        look_until_ = host_.now() + look_on_for;
        // Announcements come in bursts; those of the burst are drained with the next look.
        if (!woke.time() && host_.wait(next).stop()) return;
      }
      if (nothing_to_do) next = host_.now();
    }
  }

 private:
  void look() {
    const auto found = thermometer::find_sensors(choice_);
    std::erase_if(sensors_, [&](const auto& entry) {
      return std::ranges::find(found, entry.first, &thermometer::Sensor::key) == found.end();
    });
    // Each 1-Wire sensor takes nearly a second, one after the other.
    const auto wires =
        std::ranges::count(found, thermometer::Source::one_wire, &thermometer::Sensor::source);
    for (const auto& sensor : found) {
      if (sensors_.contains(sensor.key())) continue;
      sensors_.emplace(sensor.key(), Known{sensor, host_.arrive(about(sensor, wires))});
    }
  }

  static sdk::About about(const thermometer::Sensor& sensor, std::ptrdiff_t wires) {
    const bool pressure = sensor.source == thermometer::Source::iio_pressure;
    sdk::About about;
    about.quantity = pressure ? MASLIN_PRESSURE : MASLIN_TEMPERATURE;
    about.unit = pressure ? MASLIN_PASCAL : MASLIN_CELSIUS;
    about.vendor = sensor.source == thermometer::Source::one_wire ? "w1"
                   : sensor.source == thermometer::Source::hwmon  ? "hwmon"
                                                                  : "iio";
    about.product = sensor.product;
    about.serial = sensor.serial;
    about.port = sensor.port;
    about.label = sensor.label;
    about.period = period * std::max<std::ptrdiff_t>(wires, 1);
    return about;
  }

  static void measure(Known& known) {
    const auto measured = thermometer::measure(known.sensor, known.before);
    known.before = measured.state == 0 ? std::optional(measured.value) : std::nullopt;
    known.device.send(measured.value, measured.state);
  }

  sdk::Host& host_;
  const thermometer::Choice choice_;
  const Announcements announcements_;
  std::map<std::string, Known> sensors_;
  sdk::Time look_until_{0};
};

void run(sdk::Host& host) { Plugin(host).run(); }

}  // namespace

MASLIN_PLUGIN("thermometer", run);
