#include "daemon/devices/line_budget.hpp"

#include <utility>

namespace maslin::devices {

LineBudget::Verdict LineBudget::line(Clock::time_point now) {
  Verdict verdict;
  // The minute begins with a line, not with the clock: whoever says little never meets its end.
  if (taken_ == 0 || now - since_ >= std::chrono::minutes(1)) {
    since_ = now;
    taken_ = 0;
    verdict.first = left_out();
  }
  verdict.passes = taken_ < most_;
  if (verdict.passes) {
    ++taken_;
    return verdict;
  }
  if (left_out_++ == 0) {
    verdict.first =
        "more than " + std::to_string(most_) + " lines a minute; the rest of them is left out";
  }
  return verdict;
}

std::string LineBudget::left_out() {
  const auto count = std::exchange(left_out_, 0);
  if (count == 0) return "";
  return std::to_string(count) + (count == 1 ? " line" : " lines") + " left out";
}

}  // namespace maslin::devices
