// The live side of the daemon: feeds the running batch with what happens at the devices, with
// commands and timers, hands its steps to the store and releases their effects once they are
// durable. Loop thread only.
#pragma once

#include <asio/io_context.hpp>
#include <asio/steady_timer.hpp>
#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "daemon/devices/devices.hpp"
#include "daemon/plan/plan.hpp"
#include "daemon/runtime/clock.hpp"
#include "daemon/session/calibrations.hpp"
#include "daemon/session/live_batch.hpp"
#include "daemon/session/probes.hpp"
#include "daemon/store/store.hpp"
#include "proto/methods.hpp"

namespace maslin::session {

// Whoever passes on what is published: rpc.
class Listener {
 public:
  virtual ~Listener() = default;
  // The text of an entry, on disk or urgent.
  virtual void entry(const std::string& batch, const std::string& text) = 0;
  // The text of a Progress; a later one may replace it.
  virtual void progress(const std::string& batch, const std::string& text) = 0;
};

struct Pace {
  bool simulated = false;
  double times = 0;  // simulated seconds a second; 0: as fast as it goes
};

class Session final : public devices::Observer {
 public:
  Session(asio::io_context& io, store::Store& store, Pace pace, std::string build);
  ~Session() override;
  // Before anything else; both outlive the session's use of them.
  void attach(devices::Devices& devices, Listener& listener);
  // Takes up the batch that was open when the daemon ended, if any. It goes on, and its step is
  // said again, once the devices have come up.
  proto::Result<void> take_up_open_batch();

  // ---- questions and commands; see proto/methods.hpp ----
  proto::FormulaChecked check(const proto::FormulaCheck& request) const;
  proto::Results<proto::Plan> plan(const proto::PlanRequest& request) const;
  proto::DeviceList devices() const;
  proto::Result<proto::DeviceState> assign(const proto::Assign& request);
  // Answered once the scale is quiet, or refused.
  void calibrate(const proto::CalibrateRequest& request, Calibrations::Done done);
  const proto::Settings& settings() const { return settings_; }
  proto::Result<proto::Settings> set(const proto::Settings& settings);
  const proto::Facts& facts() const { return facts_; }
  proto::Result<proto::Facts> set(const proto::Facts& facts);
  proto::Results<proto::BatchStatus> start(const proto::PlanRequest& request);
  proto::Result<proto::BatchStatus> word(const std::string& word, const proto::BatchWord& request);
  // Words for a batch that ended long ago, which is read back for them; also for the one that is
  // still in memory. `done` is called once, when it is on disk or refused.
  using Done = std::function<void(const proto::Result<proto::BatchStatus>&)>;
  void note(const proto::BatchWord& request, Done done);
  void rate(const proto::RateRequest& request, Done done);
  void jars(const proto::JarRequest& request, Done done);
  void measure(const proto::MeasureRequest& request, Done done);
  void amend(const proto::AmendRequest& request, Done done);
  // Once all that has been decided so far is on disk, so that a question to the record sees it; at
  // once where the disk refuses, since nobody can wait for that.
  void when_durable(std::function<void()> then);
  // Of the running batch; an empty state where none runs.
  proto::BatchStatus status() const;
  std::int64_t utc_ms() const { return now_ms() + utc_less_ms(); }
  // The name that stands for "" in a question: the running batch, else "" for the newest.
  std::string default_batch() const;

  // Hands the readings that no step has taken to the store; before the daemon ends.
  void flush();

  // ---- devices::Observer ----
  void happened(std::span<const devices::Happening> all) override;
  void window_done(std::int64_t reached_ms, std::int64_t next_ms) override;
  void plugin_changed(const proto::PluginState& state) override;
  void plugin_said(const std::string& plugin, int level, const std::string& text) override;

 private:
  void calibrate_probe(const Probes::Probe& probe, const proto::CalibrateRequest& request,
                       Probes::Done done);
  // A device of the running batch.
  struct Lease {
    std::uint16_t index = 0;
    std::string id;
    std::int64_t silent_after_ms = 0;  // 0: sends only when the value changes
    std::int64_t last_ms = 0;
    bool away = false;
  };

  plan::Equipment equipment() const;
  proto::Results<proto::Plan> make_plan(const proto::PlanRequest& request) const;
  std::vector<proto::DeviceDescription> idle_scales() const;
  void note_idle_scales(proto::Plan& plan) const;
  static void note_parent(const proto::PlanRequest& request, proto::Plan& plan);
  void note_barometer(proto::Plan& plan) const;
  std::vector<proto::LeasedDevice> leasable() const;
  void lease(const std::vector<proto::LeasedDevice>& devices);
  Lease* lease_of(devices::Number device);
  std::int64_t now_ms() const;
  std::int64_t utc_less_ms() const;
  std::int64_t local_less_ms() const;
  void take(const devices::Happening& one);
  void give(const proto::Input& input, std::int64_t at_ms);
  bool is_live(const std::string& batch) const;
  proto::Result<proto::BatchStatus> tell(const proto::Input& input);
  void add(const std::string& batch, const proto::Input& input, Done done);
  void add_to_ended(const std::string& batch, const proto::Input& input, Done done);
  void add_now(LiveBatch& batch, const proto::Input& input, const Done& done);
  void dispatch(Consequence consequence);
  void learn();
  void take_off_used();
  void write(store::Step step, std::vector<Publication> publications);
  void write_on();
  // The store has no room for what was decided already: until it has, nothing new is taken in, so
  // that the record goes on where it stopped. Devices that were heard of meanwhile count as silent.
  bool full() const { return !unwritten_.empty(); }
  void publish(const Publication& publication);
  // Timers and silences up to `at_ms`; with `inclusive` those at at_ms itself too.
  void advance_to(std::int64_t at_ms, bool inclusive);
  std::optional<std::int64_t> next_deadline_ms() const;
  void go_on();
  void arm();
  void flush_soon();
  void notice_machine();
  void grant_when_durable();
  void store_trouble(bool failing, const std::string& why);

  asio::io_context& io_;
  store::Store& store_;
  Pace pace_;
  std::string build_;
  runtime::RealClock real_clock_;
  runtime::SimulatedClock simulated_clock_;
  devices::Devices* devices_ = nullptr;
  Listener* listener_ = nullptr;
  proto::Settings settings_;
  proto::Facts facts_;
  Calibrations calibrations_;
  Probes probes_;
  std::string taken_off_for_;  // the last batch whose jars and lids were taken off the facts

  std::unique_ptr<LiveBatch> live_;
  std::set<std::string> added_to_;  // ended batches that are read back, one addition at a time
  std::map<devices::Number, Lease> leases_;
  asio::steady_timer deadline_timer_;
  asio::steady_timer flush_timer_;
  bool flush_armed_ = false;
  std::int64_t slept_ms_ = 0;  // as last seen
  std::int64_t utc_less_ms_seen_ = 0;
  bool store_failing_ = false;
  struct Unwritten {
    store::Step step;
    std::vector<Publication> publications;
  };
  std::deque<Unwritten> unwritten_;
  // A batch was taken up and waits for its devices: in what it folds differently, empty where it
  // does not.
  std::optional<std::string> goes_on_;
  asio::steady_timer go_on_timer_;

  // Batch time less device time. A batch that is taken up goes on after its own last time:
  // simulated devices start at zero again, and so does the machine's clock when it was started
  // anew.
  std::int64_t offset_ms_ = 0;

  // Simulated time.
  std::size_t not_durable() const { return written_ - durable_; }
  void tell_waiting();
  std::size_t written_ = 0;  // steps handed over, and how many of them are on disk
  std::size_t durable_ = 0;
  std::deque<std::pair<std::size_t, std::function<void()>>> wait_for_disk_;  // until so many are
  bool cue_sent_ = false;                                                    // since the last grant
  std::optional<std::int64_t> window_next_ms_;  // a window is done and waits for its grant
  asio::steady_timer pace_timer_;
  std::optional<std::pair<std::int64_t, std::chrono::steady_clock::time_point>> pace_from_;
};

}  // namespace maslin::session
