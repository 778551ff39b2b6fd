// A scale that sends lines of text on a serial line: the example of plugins/README.md, to copy for
// a scale of one's own. Loaded by maslin-plughost.
#include <array>
#include <cstdio>
#include <stdexcept>

#include "plugins/sdk/plugin.hpp"
#include "plugins/serial-line/line.hpp"
#include "plugins/serial-line/port.hpp"

using namespace maslin;
using namespace std::chrono_literals;

namespace {

// What this scale is; of another it stands in its manual.
sdk::About about(const std::string& path) {
  return {.vendor = "serial-line",
          .product = "scale",
          .port = path,
          .label = "scale on a serial line",
          .interval = {1, -1},
          .capacity = {3, 3},
          .period = 200ms};
}

std::string printable(std::string text) {
  for (char& c : text) {
    if (c < ' ' || c > '~') c = '?';
  }
  return text;
}

// Until the plug is pulled, or the plugin is to stop: then false.
bool serve(sdk::Host& host, const line::Port& port, const std::string& path) {
  auto scale = host.arrive(about(path));
  if (!scale.accepted()) throw std::runtime_error("the scale was refused, see the log");
  line::Lines lines;
  bool told = false;
  std::array<char, 256> bytes{};
  while (!host.wait(sdk::forever, port.fd()).stop()) {
    const auto count = port.read(bytes);
    if (!count) {
      scale.leave("unplugged");
      return true;
    }
    for (const char byte : std::span(bytes).first(*count)) {
      const auto text = lines.take(byte);
      if (!text || text->empty()) continue;
      if (const auto one = line::read_line(*text)) {
        scale.send(*one);
      } else if (!std::exchange(told, true)) {
        // Once: at a wrong speed every line is one.
        host.log(MASLIN_LOG_WARNING, path + ": not understood: '" + printable(*text) + "'");
      }
    }
  }
  return false;
}

// Leaves `port` empty where that fails.
void open_again(std::optional<line::Port>& port, const line::Place& place) {
  try {
    port.emplace(place);
  } catch (const std::exception&) {
    // Told once, by "unplugged"; it will be so until somebody puts the plug back.
  }
}

// At the start a line that cannot be opened is a fault with a reason, for `maslin devices`; later
// it is a loose plug, and looked for every second.
void run(sdk::Host& host) {
  const auto place = line::parse_place(host.argument());
  std::optional<line::Port> port(std::in_place, place);
  while (serve(host, *port, place.path)) {
    port.reset();  // held open, its name would not be given to the next plug
    do {
      if (host.sleep(1s).stop()) return;
      open_again(port, place);
    } while (!port);
  }
}

// One line as the scale sends it, with or without its end.
int decode(const std::uint8_t*, std::size_t, const std::uint8_t* report, std::size_t size,
           maslin_reading* out, std::uint32_t room, char* why, std::size_t why_size) {
  std::string_view text(reinterpret_cast<const char*>(report), size);
  if (text.ends_with('\n')) text.remove_suffix(1);
  if (text.ends_with('\r')) text.remove_suffix(1);
  const auto one = line::read_line(text);
  if (!one) {
    std::snprintf(why, why_size, "not a line of this scale: '%s'",
                  printable(std::string(text)).c_str());
    return -1;
  }
  if (room == 0) return 0;
  *out = *one;
  return 1;
}

constexpr maslin_decode decoder{MASLIN_HEAD(maslin_decode), decode};

}  // namespace

MASLIN_PLUGIN("serial-line", run, {"decode", &decoder});
