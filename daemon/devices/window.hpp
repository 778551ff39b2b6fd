// One window of simulated time: collects what the plugins did in it, in whatever order their
// processes ran, and gives it back in the one order that depends on nothing but its content. Pure;
// used by devices.cpp.
#pragma once

#include <cstdint>
#include <map>
#include <utility>
#include <variant>
#include <vector>

#include "proto/link.hpp"

namespace maslin::devices {

struct Event {
  std::int64_t at_ms = 0;
  std::size_t plugin = 0;  // its place in the configuration
  std::variant<proto::link::Arrived, proto::link::Reading, proto::link::Left> what;
};

// Nanoseconds to the nearest millisecond, half away from zero.
std::int64_t nearest_ms(std::int64_t ns);

class Window {
 public:
  // What is added from here on belongs after settled_ms and not after until_ms; stamps outside are
  // moved inside.
  void open(std::int64_t settled_ms, std::int64_t until_ms);
  void add(std::size_t plugin, proto::link::Arrived what);
  void add(std::size_t plugin, const proto::link::Reading& what);
  void add(std::size_t plugin, proto::link::Left what);
  std::size_t size() const { return events_.size(); }
  // By (ms, plugin, order within the plugin); a device's own events keep their order. Empties the
  // window.
  std::vector<Event> close();

 private:
  void add(std::size_t plugin, std::uint32_t device, std::int64_t at_ns, Event event);
  std::int64_t settled_ms_ = 0;
  std::int64_t until_ms_ = 0;
  std::vector<Event> events_;
  std::map<std::pair<std::size_t, std::uint32_t>, std::int64_t> last_ms_;  // per plugin's device
};

}  // namespace maslin::devices
