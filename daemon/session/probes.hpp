// The calibrations of thermometers: read in ice and in boiling water at the cook's word, in any
// order, and kept by the device's identity. One per session; loop thread only.
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
#include "daemon/preserving/probe.hpp"
#include "daemon/store/store.hpp"
#include "proto/methods.hpp"

namespace maslin::session {

class Probes {
 public:
  // patience: how long a word waits for the thermometer to stand still.
  Probes(asio::io_context& io, store::Store& store,
         std::chrono::milliseconds patience = std::chrono::seconds(150));

  // Of this thermometer; empty where it has none.
  std::optional<proto::ProbeCalibration> of(const proto::DeviceDescription& probe) const;
  // What a plan has to say of them: what is corrected, which are old, which are needed and have
  // none.
  std::vector<std::string> notes(const proto::Plan& plan,
                                 const std::vector<proto::LeasedDevice>& devices,
                                 std::int64_t utc_ms) const;

  using Done = std::function<void(const proto::Result<proto::CalibrationStatus>&)>;
  struct Probe {
    devices::Number number = 0;
    proto::Role role = proto::Role::pan;
    proto::DeviceDescription description;
  };
  // "ice" or "boiling" is where its tip is now. Answered when it has stood still there for 40 s, or
  // refused. A point counts with the other one for a day.
  void point(const Probe& probe, const proto::CalibrateRequest& request,
             std::optional<double> altitude_m, std::int64_t utc_ms, Done done);
  void forget(const Probe& probe, const Done& done);
  // Gives up what is waited for: a batch has begun, the thermometer is gone.
  void give_up(const std::string& why);

  // Of every device; what is not waited for is passed over.
  void take(const devices::Happening& one);

 private:
  struct Ice {
    std::int64_t utc_ms = 0;
    std::int64_t shown_mk = 0;
  };
  struct Boil {
    std::int64_t utc_ms = 0;
    std::int64_t shown_mk = 0;
    std::int64_t true_mk = 0;
    double pressure_pa = 0;
    double pressure_u_pa = 0;
    std::string by;
  };
  struct Points {
    std::optional<Ice> ice;
    std::optional<Boil> boil;
  };
  proto::Result<proto::CalibrationStatus> stood(std::int64_t level_mk);
  proto::CalibrationStatus kept(const Points& points);
  proto::CalibrationStatus status(std::string state) const;
  void answer(const proto::Result<proto::CalibrationStatus>& status);

  store::Store& store_;
  std::map<std::string, proto::ProbeCalibration, std::less<>> kept_;  // by the device's id
  std::map<std::string, Points, std::less<>> points_;
  Probe probe_;
  std::string at_;  // ice, boiling
  Boil boil_;       // what is known of it beforehand
  std::int64_t utc_ms_ = 0;
  preserving::StillProbe still_;
  Done done_;
  bool heard_ = false;  // the thermometer has sent something since that word
  std::chrono::milliseconds most_wait_;
  asio::steady_timer patience_;
};

}  // namespace maslin::session
