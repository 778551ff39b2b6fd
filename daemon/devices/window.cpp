#include "daemon/devices/window.hpp"

#include <algorithm>
#include <tuple>

namespace maslin::devices {

namespace link = proto::link;

std::int64_t nearest_ms(std::int64_t ns) {
  constexpr std::int64_t ns_per_ms = 1'000'000;
  const auto down = ns / ns_per_ms;
  const auto rest = ns % ns_per_ms;
  if (rest >= ns_per_ms / 2) return down + 1;
  return rest <= -ns_per_ms / 2 ? down - 1 : down;
}

void Window::open(std::int64_t settled_ms, std::int64_t until_ms) {
  settled_ms_ = settled_ms;
  until_ms_ = until_ms;
}

void Window::add(std::size_t plugin, link::Arrived what) {
  const auto device = what.device;
  const auto at_ns = what.at_ns;
  add(plugin, device, at_ns, {0, plugin, std::move(what)});
}

void Window::add(std::size_t plugin, const link::Reading& what) {
  add(plugin, what.device, what.at_ns, {0, plugin, what});
}

void Window::add(std::size_t plugin, link::Left what) {
  const auto device = what.device;
  const auto at_ns = what.at_ns;
  add(plugin, device, at_ns, {0, plugin, std::move(what)});
}

void Window::add(std::size_t plugin, std::uint32_t device, std::int64_t at_ns, Event event) {
  event.at_ms = std::clamp(nearest_ms(at_ns), settled_ms_, std::max(until_ms_, settled_ms_));
  // Sorting must not move a reading before its device's arrival, or behind its departure.
  auto& last = last_ms_.try_emplace({plugin, device}, event.at_ms).first->second;
  last = event.at_ms = std::max(event.at_ms, last);
  events_.push_back(std::move(event));
}

std::vector<Event> Window::close() {
  std::ranges::stable_sort(events_, [](const Event& a, const Event& b) {
    return std::tie(a.at_ms, a.plugin) < std::tie(b.at_ms, b.plugin);
  });
  last_ms_.clear();
  return std::exchange(events_, {});
}

}  // namespace maslin::devices
