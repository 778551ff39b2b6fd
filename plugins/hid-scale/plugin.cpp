// The hid-scale plugin: every USB scale of the HID weighing class, whoever made it, as it comes and
// goes. usb.cpp brings events, stream.cpp decides what they mean, this file tells the daemon.
#include <cstdio>
#include <map>

#include "plugins/hid-scale/stream.hpp"

using namespace maslin;

namespace {

struct Scale {
  hid::Stream stream;
  std::optional<sdk::Device> device{};  // once it is announced
  sdk::Time arrived_at{0};
};

class Plugin {
 public:
  explicit Plugin(sdk::Host& host) : host_(host) {}

  void run() {
    for (;;) {
      auto until = sdk::forever;
      for (const auto& [number, scale] : scales_) until = std::min(until, scale.stream.due());
      if (host_.wait(until, usb_.fd()).stop()) return;
      for (auto& event : usb_.take()) std::visit([this](auto& one) { happened(one); }, event);
      const auto now = host_.now();
      for (auto& [number, scale] : scales_) tell(scale, scale.stream.waited(now));
    }
  }

 private:
  void happened(hid::Plugged& event) {
    const auto number = event.scale;
    scales_.emplace(number, Scale{hid::Stream(std::move(event))});
  }
  void happened(const hid::Packet& event) {
    const auto found = scales_.find(event.scale);
    if (found == scales_.end()) return;
    tell(found->second,
         found->second.stream.took(event.bytes, sdk::Time{event.at_ns}, host_.now()));
  }
  void happened(const hid::Unplugged& event) {
    const auto found = scales_.find(event.scale);
    if (found == scales_.end()) return;
    if (found->second.device) found->second.device->leave(event.why);
    scales_.erase(found);
  }
  void happened(const hid::Said& event) { host_.log(event.level, event.text); }

  void tell(Scale& scale, hid::Stream::Outcome outcome) {
    if (!outcome.log.empty()) host_.log(MASLIN_LOG_WARNING, outcome.log);
    if (outcome.announce) {
      scale.device = host_.arrive(*outcome.announce);
      scale.arrived_at = host_.now();
    }
    if (!scale.device) return;
    // Reports that waited while the scale was announced came before it had arrived.
    for (auto& one : outcome.send) one.at_ns = std::max(one.at_ns, scale.arrived_at.count());
    scale.device->send(outcome.send);
  }

  sdk::Host& host_;
  hid::Usb usb_;
  std::map<hid::ScaleNumber, Scale> scales_;
};

void run(sdk::Host& host) { Plugin(host).run(); }

int decode(const std::uint8_t* descriptor, std::size_t descriptor_size, const std::uint8_t* report,
           std::size_t report_size, maslin_reading* out, std::uint32_t room, char* why,
           std::size_t why_size) {
  const auto fail = [&](const std::string& text) {
    std::snprintf(why, why_size, "%s", text.c_str());
    return -1;
  };
  const auto layout = hid::Layout::of({descriptor, descriptor_size});
  if (!layout) return fail(layout.error());
  const auto readings = layout->decode({report, report_size});
  if (!readings) return fail(readings.error());
  std::uint32_t count = 0;
  for (const auto& reading : *readings) {
    if (count < room) out[count++] = reading;
  }
  return static_cast<int>(count);
}

constexpr maslin_decode decoder{MASLIN_HEAD(maslin_decode), decode};

}  // namespace

MASLIN_PLUGIN("hid-scale", run, {"decode", &decoder});
