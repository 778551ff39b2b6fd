// The rule of lag.hpp. Figures from simulation, as those of press.cpp.
#include "daemon/weighing/lag.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace maslin::weighing {
namespace {

constexpr std::int64_t rest_ms = 700;
constexpr std::int64_t longest_gap_ms = 450;
constexpr std::size_t most_samples = 400;  // a move that takes longer is no step
// A display that takes a long mean stands still at the top of a press, but not for so long.
constexpr std::int64_t rests_before_ms = 1500;
constexpr double least_intervals = 100;
constexpr double least_g = 60;
constexpr double agrees = 1.0 / 6;
constexpr double shortest_s = 0.1;
constexpr double longest_s = 1.2;
// From half of a step to nine tenths against from one tenth to half: 2.7 behind one pole, 1 behind
// a mean; a hand takes a little off the first.
constexpr double least_of_one_pole = 1.7;
constexpr double most_of_mean = 1.3;

}  // namespace

LagLearner::LagLearner(std::int64_t interval_ug)
    : interval_g_(static_cast<double>(std::max<std::int64_t>(interval_ug, 1)) / 1e6) {}

void LagLearner::restart() {
  move_.clear();
  rest_g_.reset();
}

bool LagLearner::at_rest() const {
  double least = move_.back().level_g;
  double greatest = least;
  for (std::size_t i = move_.size(); i-- > 0;) {
    least = std::min(least, move_[i].level_g);
    greatest = std::max(greatest, move_[i].level_g);
    if (greatest - least > std::max(1.2 * interval_g_, 0.6)) return false;
    if (move_.back().at_ms - move_[i].at_ms >= rest_ms) return true;
  }
  return false;
}

// When the level had gone so much of its way; linear between two readings.
std::optional<double> LagLearner::crossed_s(double from_g, double to_g, double share) const {
  const double level_g = from_g + share * (to_g - from_g);
  for (std::size_t i = 1; i < move_.size(); ++i) {
    const double before = move_[i - 1].level_g;
    const double after = move_[i].level_g;
    if ((before < level_g) == (after < level_g)) continue;
    const double part = (level_g - before) / (after - before);
    const auto from_ms = static_cast<double>(move_[i - 1].at_ms);
    return (from_ms + part * static_cast<double>(move_[i].at_ms - move_[i - 1].at_ms)) / 1000;
  }
  return std::nullopt;
}

bool LagLearner::learn(double to_g) {
  const double from_g = *rest_g_;
  const double step_g = to_g - from_g;
  if (move_.front().at_ms - rest_since_ms_ < rests_before_ms) return false;
  if (std::abs(step_g) < std::max(least_g, least_intervals * interval_g_)) return false;
  const auto [least, greatest] =
      std::minmax_element(move_.begin(), move_.end(),
                          [](const auto& a, const auto& b) { return a.level_g < b.level_g; });
  const double beyond_g = 0.03 * std::abs(step_g);
  if (least->level_g < std::min(from_g, to_g) - beyond_g ||
      greatest->level_g > std::max(from_g, to_g) + beyond_g) {
    return false;  // the hand pressed, or it swung
  }
  const auto begun = crossed_s(from_g, to_g, 0.1);
  const auto half = crossed_s(from_g, to_g, 0.5);
  const auto nearly = crossed_s(from_g, to_g, 0.9);
  if (!begun || !half || !nearly || *half <= *begun) return false;
  const double shape = (*nearly - *half) / (*half - *begun);
  if (shape >= least_of_one_pole) return one_pole_.take((*nearly - *half) / std::log(5.0));
  // A pour that is steady and short looks like a mean; nothing falls like that but what is lifted.
  if (shape <= most_of_mean && step_g < 0) return mean_.take((*nearly - *begun) / 1.6);
  return false;
}

bool LagLearner::Learned::take(double lag_s) {
  if (lag_s < shortest_s || lag_s > longest_s) return false;
  const std::int64_t lag_ms = std::llround(lag_s * 1000);
  const auto other = std::exchange(last_ms, lag_ms);
  if (static_cast<double>(std::abs(lag_ms - other)) > agrees * static_cast<double>(lag_ms)) {
    return false;
  }
  known_ms = (lag_ms + other) / 2;
  return true;
}

bool LagLearner::feed(std::int64_t at_ms, std::int64_t level_ug) {
  if (!move_.empty() && at_ms - move_.back().at_ms > longest_gap_ms) restart();
  if (move_.size() >= most_samples) restart();
  move_.push_back({at_ms, static_cast<double>(level_ug) / 1e6});
  if (!at_rest()) return false;
  const double level_g = move_.back().level_g;
  const bool learned = rest_g_ && learn(level_g);
  if (!rest_g_ || std::abs(level_g - *rest_g_) > 2 * interval_g_) rest_since_ms_ = at_ms;
  rest_g_ = level_g;
  move_.erase(move_.begin(), move_.end() - 1);
  return learned;
}

}  // namespace maslin::weighing
