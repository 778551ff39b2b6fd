// One configured plugin over its whole life: starts its host process, reads its packets within a
// budget, notices when it hangs or dies, starts it again after a growing pause, stops it. Knows
// nothing of what the packets mean beyond signs of life; devices.cpp does.
#pragma once

#include <asio/generic/seq_packet_protocol.hpp>
#include <asio/io_context.hpp>
#include <asio/posix/stream_descriptor.hpp>
#include <asio/steady_timer.hpp>
#include <chrono>
#include <cstdint>
#include <deque>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/devices/child.hpp"
#include "daemon/devices/devices.hpp"
#include "proto/link.hpp"
#include "proto/methods.hpp"

namespace maslin::devices {

class PluginProcess {
 public:
  // Told from the io_context only.
  class Owner {
   public:
    virtual ~Owner() = default;
    virtual void packet(PluginProcess& from, proto::link::Packet packet) = 0;
    virtual void drained(PluginProcess& from) = 0;  // all packets of one wake have been given
    // The process has ended; all it had sent has been given.
    virtual void ended(PluginProcess& from, const std::string& why) = 0;
    virtual void changed(PluginProcess& from) = 0;  // state() is another
  };

  PluginProcess(asio::io_context& io, const Config& config, std::size_t index, Owner& owner);

  void start();
  // Asks it to stop, then TERM, then KILL; not started again.
  void stop();
  // Kept in order; cues, and only they, are dropped where it does not read.
  void send(const proto::link::Packet& packet);
  // Ends it as one that misbehaves; it may be started again.
  void end(const std::string& why);
  // An error that a running plugin tells, kept in state() until the next one or a new start. Told
  // to nobody: it is in the log already.
  void complain(const std::string& why);
  // Paced: how long it is silent now depends on the daemon, not on itself.
  void expect_nothing();
  void expect_life();

  std::size_t index() const { return index_; }
  bool running() const { return child_.has_value(); }
  const proto::PluginState& state() const { return state_; }

 private:
  using Clock = std::chrono::steady_clock;
  void launch();
  void launch_later(const std::string& why);
  void arm_read();
  void on_readable();
  enum class Read { packet, nothing, closed, bad };
  Read read_one();
  double cost(const proto::link::Packet& packet) const;
  void note_life(const proto::link::Packet& packet);
  void note_recovery();
  void watch_until(Clock::time_point deadline);
  void on_watch();
  void write_queued();
  void on_exit();
  void set_state(std::string condition, std::string why);
  // Simulated time has no rate; there the window is bounded instead.
  bool within_budget() const { return config_.paced || tokens_ >= 0; }
  template <class Body>
  auto guarded(Body body);

  const Config& config_;
  const std::size_t index_;
  Owner& owner_;
  proto::PluginState state_;
  std::string path_;

  std::optional<Child> child_;
  // Handlers of an earlier process find another number here and do nothing.
  std::uint64_t life_ = 0;
  std::shared_ptr<int> alive_ = std::make_shared<int>(0);
  asio::generic::seq_packet_protocol::socket link_;
  asio::posix::stream_descriptor exit_;
  asio::steady_timer rearm_;  // reading pauses: over budget
  asio::steady_timer watch_;  // no sign of life, or not ended after TERM
  asio::steady_timer again_;  // pause before the next start
  std::vector<std::byte> buffer_;
  std::deque<std::vector<std::byte>> unsent_;

  std::optional<Clock::time_point> deadline_;
  bool watching_ = false;
  bool terminating_ = false;
  bool stopping_ = false;
  bool link_closed_ = false;
  std::string fault_;  // why it is being ended
  std::optional<proto::link::Finished> finished_;
  bool heard_ = false;  // any word of this process
  double tokens_ = 0;   // readings that may be taken now
  Clock::time_point refilled_;
  bool flooding_ = false;
  Clock::time_point launched_;
  int failures_ = 0;  // in a row
};

}  // namespace maslin::devices
