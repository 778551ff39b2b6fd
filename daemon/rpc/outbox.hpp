// What waits to be sent to one client. Answers and entries in order; of live events only the
// newest. Pure, so that its bounds can be tested without a socket. Used by Connection.
#pragma once

#include <cstddef>
#include <deque>
#include <string>

namespace maslin::rpc {

class Outbox {
 public:
  // A client that lets more than this wait is disconnected.
  static constexpr std::size_t most_waiting = 1 << 20;  // bytes

  // Lines with their newline. add() false: the bound is passed, nothing was taken.
  [[nodiscard]] bool add(std::string line);
  // Replaces a live event that has not been taken yet; live events never count against the bound.
  void add_live(std::string line);

  bool empty() const { return lines_.empty() && live_.empty(); }
  std::size_t bytes() const { return bytes_; }  // of the lines
  // Everything that waits, as one piece; the live event last.
  std::string take();

 private:
  std::deque<std::string> lines_;
  std::string live_;
  std::size_t bytes_ = 0;
};

}  // namespace maslin::rpc
