// maslin-plughost: the process that runs one plugin, so that a plugin that crashes or hangs takes
// down nobody else. Started by the daemon with its end of a socket pair; by people for `try` and
// `decode`.
#include <sys/prctl.h>
#include <sys/socket.h>

#include <charconv>
#include <csignal>
#include <cstdio>
#include <string>
#include <string_view>
#include <vector>

#include "plugins/host/decode.hpp"
#include "plugins/host/host.hpp"
#include "plugins/host/try.hpp"

namespace {

using namespace maslin;
namespace link = proto::link;

constexpr int failed = 1;
constexpr int usage_error = 2;

int usage() {
  std::fputs(
      "maslin-plughost try PLUGIN.so [ARGUMENT]\n"
      "    runs the plugin without a daemon and prints its readings, as JSON; under gdb too\n"
      "maslin-plughost decode PLUGIN.so [--descriptor HEX] --report HEX\n"
      "    prints what the plugin's decoder makes of one device report, as JSON\n"
      "maslin-plughost run PLUGIN.so --link FD\n"
      "    runs the plugin for the daemon, which passes the descriptor of its link\n",
      stderr);
  return usage_error;
}

int tell(const proto::Trouble& trouble) {
  std::fprintf(stderr, "maslin-plughost: %s\n", proto::line(trouble).c_str());
  return failed;
}

// Runs the plugin; what goes wrong is told to the daemon, which names it in `maslin devices`.
int run(const std::string& path, int fd) {
  ::prctl(PR_SET_PDEATHSIG, SIGTERM);  // a plugin that hangs must not outlive the daemon
  host::Channel channel(fd);
  const auto first = channel.first();
  if (!first || !std::holds_alternative<link::Settings>(*first)) {
    const proto::Trouble trouble{"no settings from the daemon that this host understands", "--link",
                                 "install maslind and maslin-plughost of the same version"};
    channel.send(link::Finished{false, proto::line(trouble)});
    return tell(trouble);
  }
  const auto& settings = std::get<link::Settings>(*first);
  const auto plugin = host::load(path);
  if (!plugin) {
    channel.send(link::Finished{false, proto::line(plugin.error())});
    return failed;
  }
  const auto pace = plugin->pace();
  const bool paced = settings.paced && pace;
  channel.send(
      link::Hello{link::version, plugin->name(), paced, paced ? pace->shortest_reaction_ns : 0});
  host::Host self(channel, settings.argument, paced);
  const int result = plugin->run(self.table());
  self.flush();
  std::string why = "finished";
  if (result != 0) why = self.last_error().empty() ? "failed" : "failed: " + self.last_error();
  channel.send(link::Finished{result != 0, why});
  return result == 0 ? 0 : failed;
}

int decode(const std::string& path, const std::string& descriptor, const std::string& report) {
  const auto plugin = host::load(path);
  if (!plugin) return tell(plugin.error());
  const auto lines = host::decode(*plugin, descriptor, report);
  if (!lines) return tell(lines.error());
  std::fputs(lines->c_str(), stdout);
  return 0;
}

int try_out(const std::string& path, const std::string& argument) {
  const auto plugin = host::load(path);
  if (!plugin) return tell(plugin.error());
  return host::try_out(*plugin, argument) == 0 ? 0 : failed;
}

}  // namespace

int main(int argc, char** argv) {
  const std::vector<std::string> words(argv + 1, argv + argc);
  if (words.size() == 4 && words[0] == "run" && words[2] == "--link") {
    int fd = -1;
    const auto* end = words[3].data() + words[3].size();
    const auto parsed = std::from_chars(words[3].data(), end, fd);
    if (parsed.ec != std::errc{} || parsed.ptr != end || fd < 0) return usage();
    return run(words[1], fd);
  }
  if ((words.size() == 2 || words.size() == 3) && words[0] == "try") {
    return try_out(words[1], words.size() == 3 ? words[2] : "");
  }
  if (words.size() >= 2 && words[0] == "decode" && words.size() % 2 == 0) {
    std::string descriptor;
    std::string report;
    for (std::size_t i = 2; i < words.size(); i += 2) {
      if (words[i] == "--descriptor") {
        descriptor = words[i + 1];
      } else if (words[i] == "--report") {
        report = words[i + 1];
      } else {
        return usage();
      }
    }
    if (report.empty()) return usage();
    return decode(words[1], descriptor, report);
  }
  return usage();
}
