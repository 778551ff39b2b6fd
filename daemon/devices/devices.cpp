// From packets to happenings: which device a packet speaks of, what the registry makes of it, and
// when the observer hears of it. In real time at once; in simulated time a window at a time.
#include "daemon/devices/devices.hpp"

#include <time.h>

#include <algorithm>
#include <asio/post.hpp>
#include <cassert>
#include <map>
#include <set>
#include <utility>

#include "daemon/devices/line_budget.hpp"
#include "daemon/devices/plugin_process.hpp"
#include "daemon/devices/window.hpp"

namespace maslin::devices {

namespace link = proto::link;

namespace {

constexpr std::int64_t ns_per_ms = 1'000'000;
constexpr std::int64_t no_listener_ms = 1'000;
constexpr std::int64_t latest_word_ms = 1'000;  // a plugin's stamps are believed so far back
// A plugin that sends this much in one window of simulated time will never end it.
constexpr std::size_t most_events = 1'000'000;
constexpr int error_level = 3;
constexpr int warning_level = 2;
constexpr std::size_t longest_cue = link::largest_packet - 64;
constexpr std::size_t longest_argument = link::longest_text;

std::int64_t boot_time_ms() {
  timespec time{};
  ::clock_gettime(CLOCK_BOOTTIME, &time);
  return static_cast<std::int64_t>(time.tv_sec) * 1'000 + time.tv_nsec / ns_per_ms;
}

std::string too_many() {
  return "the plugin has brought " + std::to_string(Registry::most_of_one_plugin) +
         " different ones already; does it make up serials? To begin anew start maslind again";
}

std::int64_t ns(std::int64_t ms) { return ms > INT64_MAX / ns_per_ms ? INT64_MAX : ms * ns_per_ms; }

}  // namespace

proto::Result<PluginConfig> read_plugin(std::string_view text) {
  const auto equals = text.find('=');
  PluginConfig plugin{std::string(text.substr(0, equals)), ""};
  if (equals != std::string_view::npos) plugin.argument = text.substr(equals + 1);
  if (plugin.argument.size() > longest_argument) {
    return proto::trouble("its ARGUMENT has " + std::to_string(plugin.argument.size()) +
                              " bytes, at most " + std::to_string(longest_argument) + " reach it",
                          "--plugin " + plugin.name,
                          "write it shorter, or into a file whose path is the ARGUMENT");
  }
  return plugin;
}

class Devices::Impl : public PluginProcess::Owner {
 public:
  Impl(asio::io_context& io, Config config, Observer& observer)
      : io_(io), config_(std::move(config)), observer_(observer), registry_(config_.paced) {
    for (std::size_t i = 0; i < config_.plugins.size(); ++i) {
      plugins_.push_back(std::make_unique<Plugin>(io_, config_, i, *this));
    }
  }

  void start() {
    post([this] {
      for (auto& plugin : plugins_) plugin->process.start();
      started_ = true;
      settle();
    });
  }

  void stop(std::function<void()> done) {
    post([this, done = std::move(done)] {
      stopping_ = true;
      stopped_ = done ? done : [] {};
      for (auto& plugin : plugins_) plugin->process.stop();
      tell_when_stopped();
    });
  }

  void cue(std::int64_t at_ms, std::string_view text) {
    if (text.size() > longest_cue) return;
    for (auto& plugin : plugins_) {
      if (!plugin->listens) continue;
      plugin->process.send(link::Cue{ns(at_ms), std::string(text)});
      plugin->has_cues = true;
    }
  }

  void grant(std::int64_t until_ms) {
    assert(config_.paced && phase_ == Phase::idle);
    wanted_ms_ = std::max(until_ms, reached_ms_);
    // A cue can make a plugin's next thing sooner: hear that first, then say how far time may go.
    bool waiting = false;
    for (auto& plugin : plugins_) {
      if (!plugin->takes_part() || !std::exchange(plugin->has_cues, false)) continue;
      plugin->waits = false;
      plugin->process.send(link::Grant{ns(reached_ms_)});
      plugin->process.expect_life();
      waiting = true;
    }
    phase_ = Phase::hearing;
    if (!waiting) run();
  }

  std::int64_t shortest_reaction_ms() const {
    std::int64_t shortest = INT64_MAX;
    for (const auto& plugin : plugins_) {
      if (plugin->takes_part() && plugin->listens) {
        shortest = std::min(shortest, plugin->reaction_ns / ns_per_ms);
      }
    }
    return shortest == INT64_MAX ? no_listener_ms : std::max<std::int64_t>(shortest, 0);
  }

  Registry& registry() { return registry_; }

  std::vector<proto::PluginState> states() const {
    std::vector<proto::PluginState> all;
    all.reserve(plugins_.size());
    for (const auto& plugin : plugins_) all.push_back(plugin->process.state());
    return all;
  }

 private:
  struct Plugin {
    Plugin(asio::io_context& io, const Config& config, std::size_t index, Owner& owner)
        : process(io, config, index, owner), lines(config.limits.lines_per_minute) {}
    bool takes_part() const { return process.running() && greeted && paced; }
    PluginProcess process;
    LineBudget lines;
    bool greeted = false;
    bool paced = false;
    bool listens = false;
    bool has_cues = false;         // sent, but not yet with a grant
    bool waits = false;            // paced: has answered the last grant
    std::int64_t reaction_ns = 0;  // to a cue, at the soonest
    std::int64_t next_ns = INT64_MAX;
    std::set<std::uint32_t> announced;        // devices by the host's number, as told
    std::map<std::uint32_t, Number> devices;  // as the registry knows them
  };
  // starting: not all have announced themselves; running: a window is granted; idle: it is done;
  // hearing: cues are with the plugins, their next thing is asked for.
  enum class Phase { starting, running, idle, hearing };

  void post(std::function<void()> body) {
    asio::post(io_, [alive = std::weak_ptr<int>(alive_), body = std::move(body)] {
      if (!alive.expired()) body();
    });
  }

  // ---- PluginProcess::Owner ----

  void packet(PluginProcess& from, link::Packet packet) override {
    auto& plugin = *plugins_[from.index()];
    if (auto* hello = std::get_if<link::Hello>(&packet)) {
      plugin.greeted = true;
      plugin.paced = hello->paced && config_.paced;
      plugin.reaction_ns = hello->shortest_reaction_ns;
    } else if (const auto* log = std::get_if<link::Log>(&packet)) {
      say(plugin, log->level, log->text);
      if (log->level >= error_level) from.complain(log->text);
    } else if (std::holds_alternative<link::Listens>(packet)) {
      plugin.listens = true;
    } else if (const auto* reached = std::get_if<link::Reached>(&packet)) {
      plugin.waits = true;
      plugin.next_ns = reached->next_ns;
      from.expect_nothing();
    } else if (auto* arrived = std::get_if<link::Arrived>(&packet)) {
      take(plugin, std::move(*arrived));
    } else if (const auto* readings = std::get_if<link::Readings>(&packet)) {
      for (const auto& one : readings->all) take(plugin, one);
    } else if (auto* left = std::get_if<link::Left>(&packet)) {
      take(plugin, std::move(*left));
    }
    if (plugin.paced && window_.size() > most_events) {
      from.end("sends without end within one window of simulated time");
    }
  }

  void drained(PluginProcess&) override {
    publish();
    settle();
  }

  void changed(PluginProcess& from) override { observer_.plugin_changed(from.state()); }

  void ended(PluginProcess& from, const std::string& why) override {
    auto& plugin = *plugins_[from.index()];
    const auto now_ms = config_.paced ? granted_ms_ : boot_time_ms();
    for (const auto device : std::set(plugin.announced)) {
      take(plugin, link::Left{device, ns(now_ms), "plugin " + from.state().name + " " + why});
    }
    plugin.greeted = plugin.paced = plugin.listens = plugin.has_cues = plugin.waits = false;
    plugin.next_ns = INT64_MAX;
    say_left_out(from.state().name, plugin.lines.left_out());
    publish();
    settle();
    tell_when_stopped();
  }

  void say(Plugin& plugin, int level, const std::string& text) {
    const auto& name = plugin.process.state().name;
    const auto verdict = plugin.lines.line(LineBudget::Clock::now());
    say_left_out(name, verdict.first);
    if (verdict.passes) observer_.plugin_said(name, level, text);
  }

  void say_left_out(const std::string& plugin, const std::string& text) {
    if (!text.empty()) observer_.plugin_said(plugin, warning_level, text);
  }

  void refuse(Plugin& plugin, const std::string& label, const std::string& reason) {
    const auto why = "device '" + label + "' refused: " + reason;
    say(plugin, error_level, why);
    plugin.process.complain(why);
  }

  void tell_when_stopped() {
    if (!stopped_) return;
    for (const auto& plugin : plugins_) {
      if (plugin->process.running()) return;
    }
    std::exchange(stopped_, nullptr)();
  }

  // ---- what happened ----

  void take(Plugin& plugin, link::Arrived what) {
    if (plugin.announced.size() >= Registry::most_of_one_plugin) {
      refuse(plugin, what.label, too_many());
      return;
    }
    plugin.announced.insert(what.device);
    take_any(plugin, std::move(what));
  }
  void take(Plugin& plugin, const link::Reading& what) { take_any(plugin, what); }
  void take(Plugin& plugin, link::Left what) {
    if (plugin.announced.erase(what.device) != 0) take_any(plugin, std::move(what));
  }

  // A real device has no place in simulated time: it is listed, and nothing more.
  template <class What>
  void take_any(Plugin& plugin, What what) {
    if (plugin.paced) {
      window_.add(plugin.process.index(), std::move(what));
    } else {
      apply(plugin, what, config_.paced ? reached_ms_ : boot_time_ms(), false);
      if (config_.paced) happenings_.clear();
    }
  }

  void apply(Plugin& plugin, const link::Arrived& what, std::int64_t at_ms, bool simulated) {
    const auto& name = plugin.process.state().name;
    // On a busy machine word of it comes late, and its first reading is older than that word.
    if (!simulated && !config_.paced) {
      at_ms = std::clamp(nearest_ms(what.at_ns), at_ms - latest_word_ms, at_ms);
    }
    const auto number = registry_.arrived(name, simulated, what, at_ms);
    if (number == 0) {
      refuse(plugin, what.label,
             registry_.full(name)
                 ? too_many()
                 : "one with the same vendor, product, serial and port is there already");
      return;
    }
    plugin.devices[what.device] = number;
    happenings_.push_back({Happening::Kind::arrived, at_ms, number, {}, {}});
  }

  void apply(Plugin& plugin, const link::Reading& what, std::int64_t now_ms, bool) {
    const auto found = plugin.devices.find(what.device);
    if (found == plugin.devices.end()) return;
    const auto reading = registry_.taken(found->second, what, now_ms);
    happenings_.push_back({Happening::Kind::reading, reading.at_ms, found->second, reading, {}});
  }

  void apply(Plugin& plugin, const link::Left& what, std::int64_t at_ms, bool) {
    const auto found = plugin.devices.find(what.device);
    if (found == plugin.devices.end()) return;
    const auto number = found->second;
    plugin.devices.erase(found);
    registry_.left(number, what.why, at_ms);
    happenings_.push_back({Happening::Kind::left, at_ms, number, {}, what.why});
  }

  void publish() {
    if (config_.paced || happenings_.empty()) return;
    observer_.happened(std::exchange(happenings_, {}));
  }

  // ---- simulated time ----

  // Goes on once nobody is still at work in the present phase.
  void settle() {
    if (!config_.paced || !started_ || stopping_ || phase_ == Phase::idle) return;
    for (const auto& plugin : plugins_) {
      const bool waits = plugin->greeted && (!plugin->paced || plugin->waits);
      if (plugin->process.running() && !waits) return;
    }
    if (phase_ == Phase::hearing) {
      run();
    } else {
      finish_window();
    }
  }

  std::int64_t next_ms() const {
    std::int64_t next = INT64_MAX;
    for (const auto& plugin : plugins_) {
      if (plugin->takes_part()) next = std::min(next, plugin->next_ns);
    }
    return next == INT64_MAX ? next : next / ns_per_ms;
  }

  void run() {
    const auto next = next_ms();
    const auto reaction = shortest_reaction_ms();
    if (next < INT64_MAX - reaction) wanted_ms_ = std::min(wanted_ms_, next + reaction);
    granted_ms_ = std::max(wanted_ms_, reached_ms_);
    window_.open(reached_ms_, granted_ms_);
    phase_ = Phase::running;
    for (auto& plugin : plugins_) {
      if (!plugin->takes_part()) continue;
      plugin->waits = false;
      plugin->process.send(link::Grant{ns(granted_ms_)});
      plugin->process.expect_life();
    }
    post([this] { settle(); });  // there may be nobody to wait for
  }

  void finish_window() {
    phase_ = Phase::idle;
    for (const auto& event : window_.close()) {
      auto& plugin = *plugins_[event.plugin];
      std::visit([&](const auto& what) { apply(plugin, what, event.at_ms, true); }, event.what);
    }
    reached_ms_ = granted_ms_;
    registry_.settle_time(reached_ms_);
    if (!happenings_.empty()) observer_.happened(std::exchange(happenings_, {}));
    observer_.window_done(reached_ms_, next_ms());
  }

  asio::io_context& io_;
  const Config config_;
  Observer& observer_;
  Registry registry_;
  std::vector<std::unique_ptr<Plugin>> plugins_;
  std::shared_ptr<int> alive_ = std::make_shared<int>(0);
  std::vector<Happening> happenings_;
  std::function<void()> stopped_;
  bool started_ = false;
  bool stopping_ = false;

  Phase phase_ = Phase::starting;
  Window window_;
  std::int64_t reached_ms_ = 0;
  std::int64_t granted_ms_ = 0;
  std::int64_t wanted_ms_ = 0;
};

Devices::Devices(asio::io_context& io, Config config, Observer& observer)
    : impl_(std::make_unique<Impl>(io, std::move(config), observer)) {}
Devices::~Devices() = default;
void Devices::start() { impl_->start(); }
void Devices::stop(std::function<void()> done) { impl_->stop(std::move(done)); }
void Devices::cue(std::int64_t at_ms, std::string_view text) { impl_->cue(at_ms, text); }
void Devices::grant(std::int64_t until_ms) { impl_->grant(until_ms); }
std::int64_t Devices::shortest_reaction_ms() const { return impl_->shortest_reaction_ms(); }
Registry& Devices::registry() { return impl_->registry(); }
const Registry& Devices::registry() const { return impl_->registry(); }
std::vector<proto::PluginState> Devices::plugins() const { return impl_->states(); }

}  // namespace maslin::devices
