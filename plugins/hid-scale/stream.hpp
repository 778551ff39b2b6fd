// What becomes of one scale's reports: which are thrown away, when the scale is announced and as
// what, which readings go to the daemon. Pure: time comes in as an argument. Called by plugin.cpp.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "plugins/hid-scale/usb.hpp"

namespace maslin::hid {

class Stream {
 public:
  explicit Stream(Plugged about) : about_(std::move(about)) {}

  struct Outcome {
    std::optional<sdk::About> announce;  // before the readings
    std::vector<maslin_reading> send;
    std::string log;  // a line for the log; "" for none
  };
  // A report that came at `at`, `now` being the plugin's time. The first is thrown away: it may
  // be left over from before the device was opened. The scale is announced when its reports have
  // told its unit, its step and how often it sends. One that may send changes only is announced by
  // its first report, though without its value: there may be no second one for long.
  Outcome took(std::span<const std::uint8_t> report, sdk::Time at, sdk::Time now);
  // Announces a scale of which too few reports came, at due().
  Outcome waited(sdk::Time now);
  sdk::Time due() const;

 private:
  void refused(const std::string& why, sdk::Time now, Outcome& out);
  sdk::About about(const maslin_reading& reading) const;
  sdk::Time period() const;  // 0: only when the value changes

  Plugged about_;
  bool first_ = true;
  bool announced_ = false;
  bool repeated_ = false;  // the same report came twice in a row: not only changes are sent
  std::vector<std::uint8_t> before_;
  std::uint16_t unit_ = MASLIN_NO_UNIT;
  std::vector<sdk::Time> seen_;  // before it is announced: when good reports came
  maslin_reading last_{};
  int bad_ = 0;  // in a row
  std::optional<sdk::Time> logged_at_;
};

}  // namespace maslin::hid
