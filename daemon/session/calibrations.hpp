// The calibrations of scales: the one under way, load by load at the cook's word, and those that
// are kept by the device's identity. One per session; loop thread only.
#pragma once

#include <asio/io_context.hpp>
#include <asio/steady_timer.hpp>
#include <chrono>
#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "daemon/devices/devices.hpp"
#include "daemon/store/store.hpp"
#include "daemon/weighing/calibrating.hpp"
#include "proto/methods.hpp"

namespace maslin::session {

class Calibrations {
 public:
  // patience: how long a word waits for the scale to come to rest.
  Calibrations(asio::io_context& io, store::Store& store,
               std::chrono::milliseconds patience = std::chrono::seconds(20));

  // Of this scale as it is now; empty where it has none or shows other steps than then.
  std::optional<proto::ScaleCalibration> of(const proto::DeviceDescription& scale) const;
  // What a plan has to say of them: what is corrected, and which are old.
  std::vector<std::string> notes(const std::vector<proto::LeasedDevice>& scales,
                                 std::int64_t utc_ms) const;

  // ---- at the cook's word; each is answered when the scale has come to rest, or refused ----
  using Done = std::function<void(const proto::Result<proto::CalibrationStatus>&)>;
  struct Scale {
    devices::Number number = 0;
    proto::Role role = proto::Role::bench;
    proto::DeviceDescription description;
    std::int64_t lag_ms = 0;
  };
  // One that was under way is given up. load and finish belong to the one under way.
  void begin(const Scale& scale, Done done);
  void load(const proto::CalibrateRequest& request, Done done);
  void finish(std::int64_t utc_ms, Done done);
  void forget(const Scale& scale, const Done& done);
  // Gives up the one under way: a batch has begun, the scale is gone.
  void give_up(const std::string& why);
  // The role whose scale is under way; none where nothing is.
  proto::Role under_way() const { return making_ ? scale_.role : proto::Role::none; }

  // Of every scale; what does not belong to the one under way is passed over.
  void take(const devices::Happening& one);

 private:
  // Empty where the pan is not yet as the cook has said.
  using Step = std::function<std::optional<proto::Result<proto::CalibrationStatus>>()>;
  void when_quiet(Step step, std::string missing, Done done);
  void try_step();
  void lose_patience();
  proto::CalibrationStatus end(std::int64_t utc_ms);
  proto::CalibrationStatus status(std::string state) const;

  store::Store& store_;
  std::map<std::string, proto::ScaleCalibration, std::less<>> kept_;  // by the device's id
  Scale scale_;
  std::optional<weighing::Calibrating> making_;
  Step step_;            // waits for the scale to be quiet
  std::string missing_;  // what it waits for on a pan that is quiet
  Done done_;
  bool heard_ = false;  // the scale has sent something since that word
  std::chrono::milliseconds most_wait_;
  asio::steady_timer patience_;
};

}  // namespace maslin::session
