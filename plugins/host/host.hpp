// The maslin_host that a plugin sees, over the link to the daemon: real time or simulated time,
// devices, readings, cues, signs of life. One thread, that of the plugin. main.cpp runs it; the
// tests drive it through a socket pair.
#pragma once

#include <cstdint>
#include <deque>
#include <map>
#include <string>
#include <vector>

#include "plugins/host/channel.hpp"
#include "plugins/sdk/maslin_plugin.h"
#include "proto/entry.hpp"
#include "proto/link.hpp"

namespace maslin::host {

class Host {
 public:
  // paced: the daemon is in simulated time and the plugin takes part in it.
  Host(Channel& channel, std::string argument, bool paced);
  ~Host();
  Host(const Host&) = delete;
  Host& operator=(const Host&) = delete;

  const maslin_host& table() const { return table_; }
  // Sends what is still held back. Call after `run`.
  void flush();
  // The last line that the plugin logged as an error; empty without one.
  const std::string& last_error() const { return last_error_; }

 private:
  // What the plugin gets and gives back as `self`.
  struct Table : maslin_host {
    Host* owner;
  };
  static Host& of(const maslin_host* self) { return *static_cast<const Table*>(self)->owner; }

  struct Identity {
    std::string vendor, product, serial, port;
    friend bool operator==(const Identity&, const Identity&) = default;
  };
  struct Known {
    Identity identity;
    proto::Quantity quantity;
    std::string label;
    bool told_of_unit = false;
  };

  // Why it is not let in; empty where it is.
  std::string fault_of(const maslin_device& device, const Identity& identity) const;
  void check(Known& device, proto::link::Reading& reading);
  std::uint32_t arrived(const maslin_device& device);
  void readings(std::uint32_t device, const maslin_reading* first, std::uint32_t count);
  void left(std::uint32_t device, const char* why);
  void log(int level, std::string text);
  std::int64_t now() const;
  std::uint32_t wait_real(std::int64_t until_ns, int fd);
  std::uint32_t wait_paced(std::int64_t until_ns);
  const void* extension(const char* name);
  int next_cue(maslin_cue* out);

  void send(const proto::link::Packet& packet);
  void take(proto::link::Packet packet);
  void take_all_there();
  bool can_fetch_cue() const { return listens_ && !cues_.empty(); }
  void block(std::int64_t until_ns, int fd);

  Channel& channel_;
  const std::string argument_;
  const bool paced_;
  Table table_{};
  maslin_cues cues_table_{};
  maslin_settings settings_table_{};

  std::uint32_t last_device_ = 0;
  std::map<std::uint32_t, Known> devices_;
  std::vector<proto::link::Reading> held_back_;  // paced: sent with the next wait
  std::string last_error_;
  bool listens_ = false;
  bool stop_ = false;
  std::deque<proto::link::Cue> announced_;  // paced: belong to the plugin with the next grant
  std::deque<proto::link::Cue> cues_;
  proto::link::Cue fetched_;  // what the plugin's pointers point into
  proto::Cue fetched_cue_;
  std::int64_t now_ns_ = 0;      // paced
  std::int64_t granted_ns_ = 0;  // paced
  int timer_fd_ = -1;
  std::int64_t last_sent_ns_ = 0;
  bool asleep_ = false;  // the daemon was told not to expect anything
};

}  // namespace maslin::host
