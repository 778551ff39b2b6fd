// The queue of outbox.hpp.
#include "daemon/rpc/outbox.hpp"

#include <utility>

namespace maslin::rpc {

bool Outbox::add(std::string line) {
  if (bytes_ > 0 && bytes_ + line.size() > most_waiting) return false;
  bytes_ += line.size();
  lines_.push_back(std::move(line));
  return true;
}

void Outbox::add_live(std::string line) { live_ = std::move(line); }

std::string Outbox::take() {
  std::string all;
  all.reserve(bytes_ + live_.size());
  for (const auto& line : lines_) all += line;
  all += live_;
  lines_.clear();
  live_.clear();
  bytes_ = 0;
  return all;
}

}  // namespace maslin::rpc
