// How many lines of one plugin reach the log: so many a minute, then one that says how many were
// left out. Pure: time comes in as an argument. Used by devices.cpp.
#pragma once

#include <chrono>
#include <cstdint>
#include <string>

namespace maslin::devices {

class LineBudget {
 public:
  using Clock = std::chrono::steady_clock;
  explicit LineBudget(int lines_per_minute) : most_(lines_per_minute) {}

  struct Verdict {
    bool passes = false;
    std::string first;  // a line of the daemon's own to log before it, if any
  };
  Verdict line(Clock::time_point now);
  // What is to be said of lines left out, when nothing more comes; empty where none was.
  std::string left_out();

 private:
  int most_;
  int taken_ = 0;  // in the minute that began at since_
  std::uint64_t left_out_ = 0;
  Clock::time_point since_;
};

}  // namespace maslin::devices
