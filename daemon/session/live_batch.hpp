// A batch while it runs: the engine, the numbers of its readings and entries, and its hash chain.
// Every input becomes one step for the store and the texts to publish once that is on disk. Used by
// Session.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "daemon/batch/engine.hpp"
#include "daemon/record/chain.hpp"
#include "daemon/store/rows.hpp"
#include "proto/entry.hpp"

namespace maslin::session {

// One text for those who listen.
struct Publication {
  proto::Effect effect = proto::Effect::settled;
  std::int64_t at_ms = 0;
  std::string text;     // of the entry; of the Progress where live
  bool is_cue = false;  // cue plugins hear it too
};

// What one input or reading caused. `step` has entries only where something is to be recorded;
// readings that cause nothing wait in the batch for the next step or for flush().
struct Consequence {
  store::Step step;
  std::vector<Publication> publications;
  bool records() const { return !step.entries.empty(); }
};

class LiveBatch {
 public:
  LiveBatch(std::int64_t id, std::string name);

  // The fold of what is recorded, outcomes unchecked (rerun.hpp checks them): the batch stands
  // where it stood. Entries must be readable.
  void take_up(const store::BatchRecord& record);

  // `utc_less_ms` is UTC less engine time, in milliseconds.
  Consequence input(std::int64_t at_ms, std::int64_t utc_less_ms, const proto::Input& input);
  // A reading of leased device `device`; numbered here.
  Consequence reading(proto::Reading reading, std::int64_t utc_less_ms);
  // The readings that no step has taken yet.
  store::Step flush();
  bool has_unflushed() const { return !unflushed_.empty(); }

  std::int64_t id() const { return id_; }
  const std::string& name() const { return name_; }
  const batch::Engine& engine() const { return *engine_; }
  const std::vector<proto::LeasedDevice>& devices() const { return devices_; }
  // How it stands now: its clocks run between inputs too. at_ms: time of the batch.
  proto::BatchStatus status(std::int64_t at_ms = 0) const;
  std::int64_t last_utc_ms() const { return last_utc_ms_; }
  const std::string& boot_id() const { return boot_id_; }
  std::int64_t offset_ms() const { return offset_ms_; }

 private:
  void record(Consequence& consequence, const proto::Entry& entry, std::string text);
  void take_outcomes(Consequence& consequence, std::span<const proto::Outcome> outcomes,
                     std::int64_t utc_less_ms);
  proto::Stamp stamp(std::int64_t utc_less_ms) const;
  void know(const proto::Input& input);

  std::int64_t id_;
  std::string name_;
  std::unique_ptr<batch::Engine> engine_;
  record::Chain chain_;
  std::vector<proto::LeasedDevice> devices_;
  std::vector<proto::Reading> unflushed_;
  std::int64_t entries_ = 0;
  std::uint64_t readings_ = 0;
  std::int64_t started_ms_ = 0;
  std::int64_t offset_ms_ = 0;
  std::int64_t last_utc_ms_ = 0;
  std::string boot_id_;
};

}  // namespace maslin::session
