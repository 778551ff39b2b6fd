#include "daemon/devices/plugin_process.hpp"

#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include <algorithm>
#include <csignal>
#include <set>
#include <utility>

namespace maslin::devices {

namespace link = proto::link;
using Clock = std::chrono::steady_clock;

namespace {

constexpr int packets_a_wake = 64;
constexpr std::size_t most_unsent = 256;

std::int64_t boot_time_ns() {
  timespec time{};
  ::clock_gettime(CLOCK_BOOTTIME, &time);
  return static_cast<std::int64_t>(time.tv_sec) * 1'000'000'000 + time.tv_nsec;
}

std::string seconds(std::chrono::milliseconds span) {
  return std::to_string(span.count() / 1'000) + " s";
}

// Where the plugin is, or what to say when it is nowhere.
proto::Result<std::string> find_plugin(const Config& config, const std::string& name) {
  std::string looked;
  std::set<std::string> plugins;
  for (const auto& folder : config.plugin_dirs) {
    std::error_code ignored;
    const auto file = folder / (name + ".so");
    if (std::filesystem::exists(file, ignored)) return file.string();
    looked += (looked.empty() ? "" : ", ") + folder.string();
    for (const auto& entry : std::filesystem::directory_iterator(folder, ignored)) {
      if (entry.path().extension() != ".so") continue;
      plugins.insert(entry.path().stem());
    }
  }
  std::string there;
  for (const auto& one : plugins) there += (there.empty() ? "" : ", ") + one;
  return proto::trouble("no file " + name + ".so in " + looked, "",
                        "build or install it there, then start maslind again; " +
                            (there.empty() ? "there is no plugin yet" : "there are: " + there));
}

}  // namespace

PluginProcess::PluginProcess(asio::io_context& io, const Config& config, std::size_t index,
                             Owner& owner)
    : config_(config),
      index_(index),
      owner_(owner),
      link_(io),
      exit_(io),
      rearm_(io),
      watch_(io),
      again_(io),
      buffer_(link::largest_packet) {
  state_.name = config.plugins[index].name;
  state_.condition = "stopped";
}

// Binds a handler to this object and the process of the moment; it does nothing once either is
// gone.
template <class Body>
auto PluginProcess::guarded(Body body) {
  return [this, alive = std::weak_ptr<int>(alive_), life = life_,
          body = std::move(body)](const asio::error_code& error) {
    if (!error && !alive.expired() && life == life_) body();
  };
}

void PluginProcess::set_state(std::string condition, std::string why) {
  if (state_.condition == condition && state_.why == why) return;
  state_.condition = std::move(condition);
  state_.why = std::move(why);
  owner_.changed(*this);
}

void PluginProcess::start() {
  const auto found = find_plugin(config_, state_.name);
  if (!found) {
    set_state("missing", proto::line(found.error()));
    owner_.ended(*this, state_.why);
    return;
  }
  path_ = *found;
  launch();
}

void PluginProcess::launch() {
  ++life_;
  auto child =
      Child::start(config_.plughost, {"run", path_, "--link", std::to_string(Child::link_fd)});
  launched_ = refilled_ = Clock::now();
  fault_.clear();
  finished_.reset();
  unsent_.clear();
  terminating_ = link_closed_ = flooding_ = watching_ = heard_ = false;
  tokens_ = config_.limits.readings_per_second;
  if (!child) {
    const auto why = proto::line(child.error());
    launch_later(why);
    owner_.ended(*this, why);
    return;
  }
  child_.emplace(std::move(*child));
  link_.assign(asio::generic::seq_packet_protocol(AF_UNIX, 0), child_->take_link());
  exit_.assign(::dup(child_->pid_fd()));
  exit_.async_wait(asio::posix::descriptor_base::wait_read, guarded([this] { on_exit(); }));
  set_state("starting", "");
  send(link::Settings{config_.plugins[index_].argument, config_.paced});
  watch_until(Clock::now() + config_.limits.start);
  arm_read();
}

// In simulated time a plugin that came back at a moment of its own would make two runs differ.
void PluginProcess::launch_later(const std::string& why) {
  if (stopping_ || config_.paced || (finished_ && !finished_->again)) {
    set_state("stopped", why);
    return;
  }
  const auto& limits = config_.limits;
  if (Clock::now() - launched_ >= limits.longest_pause) failures_ = 0;
  const auto pause =
      std::min(limits.first_pause * (1 << std::min(failures_, 20)), limits.longest_pause);
  ++failures_;
  set_state("starting again", why);
  again_.expires_after(pause);
  again_.async_wait(guarded([this] {
    ++state_.restarts;
    launch();
  }));
}

void PluginProcess::stop() {
  stopping_ = true;
  again_.cancel();
  if (!child_) {
    if (state_.condition != "missing") set_state("stopped", state_.why);
    return;
  }
  send(link::Stop{});
  watch_until(Clock::now() + config_.limits.stop);
}

void PluginProcess::send(const link::Packet& packet) {
  if (!child_ || link_closed_) return;
  if (unsent_.size() >= most_unsent && std::holds_alternative<link::Cue>(packet)) return;
  unsent_.push_back(link::encode(packet));
  if (unsent_.size() == 1) write_queued();
}

void PluginProcess::write_queued() {
  while (!unsent_.empty()) {
    const auto& bytes = unsent_.front();
    const auto sent =
        ::send(link_.native_handle(), bytes.data(), bytes.size(), MSG_DONTWAIT | MSG_NOSIGNAL);
    if (sent < 0 && errno == EINTR) continue;
    if (sent < 0 && (errno == EAGAIN || errno == EWOULDBLOCK)) {
      link_.async_wait(asio::socket_base::wait_write, guarded([this] { write_queued(); }));
      return;
    }
    unsent_.pop_front();  // sent, or for a process that is gone: its exit will be noticed
  }
}

void PluginProcess::arm_read() {
  link_.async_wait(asio::socket_base::wait_read, guarded([this] { on_readable(); }));
}

PluginProcess::Read PluginProcess::read_one() {
  for (;;) {
    iovec part{buffer_.data(), buffer_.size()};
    msghdr message{};
    message.msg_iov = &part;
    message.msg_iovlen = 1;
    const auto size = ::recvmsg(link_.native_handle(), &message, MSG_DONTWAIT);
    if (size < 0 && errno == EINTR) continue;
    // A host that died with unread cues: this comes before what it had sent, which is still there.
    if (size < 0 && errno == ECONNRESET) continue;
    if (size < 0) return errno == EAGAIN || errno == EWOULDBLOCK ? Read::nothing : Read::closed;
    if (size == 0) return Read::closed;
    auto packet = (message.msg_flags & MSG_TRUNC) != 0
                      ? proto::Result<link::Packet>(proto::trouble("packet too long"))
                      : link::decode(std::span(buffer_).first(static_cast<std::size_t>(size)));
    if (!packet) {
      end("sent a damaged packet: " + proto::line(packet.error()));
      return Read::bad;
    }
    note_life(*packet);
    owner_.packet(*this, std::move(*packet));
    return Read::packet;
  }
}

void PluginProcess::on_readable() {
  const auto& limits = config_.limits;
  const auto now = Clock::now();
  const std::chrono::duration<double> since = now - refilled_;
  const double most = limits.readings_per_second;
  tokens_ = std::min(most, tokens_ + since.count() * limits.readings_per_second);
  refilled_ = now;
  if (flooding_ && tokens_ >= most) {
    flooding_ = false;
    set_state("running", "");
  }
  auto result = Read::packet;
  for (int i = 0; i < packets_a_wake && within_budget() && result == Read::packet; ++i) {
    result = read_one();
  }
  owner_.drained(*this);
  if (result == Read::closed || result == Read::bad) {
    link_closed_ = true;
    if (!terminating_) watch_until(now + limits.kill);  // it should end by itself now
    return;
  }
  if (within_budget()) {
    arm_read();
    return;
  }
  if (!std::exchange(flooding_, true)) {
    set_state("running", "sends more than " + std::to_string(limits.readings_per_second) +
                             " readings or messages a second; the rest is late");
  }
  rearm_.expires_after(limits.rearm);
  rearm_.async_wait(guarded([this] { on_readable(); }));
}

// Each packet costs something: one that only logs, or brings the same device over and over, must
// not take the daemon's time for nothing.
double PluginProcess::cost(const link::Packet& packet) const {
  if (const auto* readings = std::get_if<link::Readings>(&packet)) {
    return static_cast<double>(std::max<std::size_t>(readings->all.size(), 1));
  }
  return std::holds_alternative<link::Arrived>(packet) ? config_.limits.arrival_cost : 1;
}

void PluginProcess::note_life(const link::Packet& packet) {
  tokens_ -= cost(packet);
  heard_ = true;
  if (std::holds_alternative<link::Readings>(packet)) {
    note_recovery();
  } else if (const auto* finished = std::get_if<link::Finished>(&packet)) {
    finished_ = *finished;
  } else if (const auto* hello = std::get_if<link::Hello>(&packet)) {
    if (hello->link_version != link::version) {
      end("speaks version " + std::to_string(hello->link_version) +
          " of the plugin link; install maslind and maslin-plughost of the same version");
      return;
    }
    set_state("running", "");
  }
  if (stopping_ || terminating_) return;
  const auto* beat = std::get_if<link::Beat>(&packet);
  if (beat == nullptr || beat->until_ns <= 0) {
    expect_life();
  } else if (beat->until_ns == INT64_MAX) {
    expect_nothing();
  } else {
    // Bounded, so that no figure of a plugin reaches the clock's arithmetic.
    const auto wait = std::clamp<std::int64_t>(beat->until_ns - boot_time_ns(), 0,
                                               std::int64_t{86'400} * 1'000'000'000);
    watch_until(Clock::now() + std::chrono::nanoseconds(wait) + config_.limits.life);
  }
}

// A plugin that works again is one that never failed: the next fault is told and mended at once.
void PluginProcess::note_recovery() {
  if (failures_ == 0 || Clock::now() - launched_ < config_.limits.recovered) return;
  failures_ = 0;
  state_.restarts = 0;
  owner_.changed(*this);
}

void PluginProcess::complain(const std::string& why) {
  if (state_.condition == "running" && !terminating_ && !flooding_) state_.why = why;
}

void PluginProcess::expect_nothing() {
  if (!stopping_ && !terminating_) deadline_.reset();
}

void PluginProcess::expect_life() {
  if (!stopping_ && !terminating_) watch_until(Clock::now() + config_.limits.life);
}

// The timer is moved only to make it earlier; a later deadline is looked at when it fires. So a
// plugin at work costs no timer operation a packet, and one that waits for ever none at all.
void PluginProcess::watch_until(Clock::time_point deadline) {
  deadline_ = deadline;
  if (watching_ && watch_.expiry() <= deadline) return;
  watching_ = true;
  watch_.expires_at(deadline);
  watch_.async_wait(guarded([this] { on_watch(); }));
}

void PluginProcess::on_watch() {
  watching_ = false;
  if (!deadline_ || !child_) return;
  if (Clock::now() < *deadline_) {
    watch_until(*deadline_);
    return;
  }
  if (terminating_) {
    child_->signal(SIGKILL);
    return;
  }
  // Where this process was the one that stood still, the signs of life lie there unread.
  std::byte peek{};
  const bool unread =
      !link_closed_ && ::recv(link_.native_handle(), &peek, 1, MSG_DONTWAIT | MSG_PEEK) > 0;
  if (unread && !stopping_) {
    watch_until(Clock::now() + config_.limits.life);
    return;
  }
  end(stopping_      ? "did not stop when asked"
      : link_closed_ ? "closed its link"
      : !heard_      ? "said nothing for " + seconds(config_.limits.start) + " after its start"
                     : "gave no sign of life for " + seconds(config_.limits.life));
}

void PluginProcess::end(const std::string& why) {
  if (!child_ || terminating_) return;
  fault_ = why;
  terminating_ = true;
  child_->signal(SIGTERM);
  watch_until(Clock::now() + config_.limits.kill);
}

void PluginProcess::on_exit() {
  const auto how = child_->reap();
  if (!how) {
    exit_.async_wait(asio::posix::descriptor_base::wait_read, guarded([this] { on_exit(); }));
    return;
  }
  // What it sent before it died still counts; the socket's buffer bounds it.
  while (!link_closed_ && read_one() == Read::packet) {
  }
  owner_.drained(*this);
  std::string why = fault_.empty() ? *how : fault_;
  if (finished_ && fault_.empty()) why = finished_->why;
  ++life_;
  child_.reset();
  link_.close();
  exit_.close();
  rearm_.cancel();
  watch_.cancel();
  deadline_.reset();
  watching_ = false;
  launch_later(why);
  owner_.ended(*this, why);
}

}  // namespace maslin::devices
