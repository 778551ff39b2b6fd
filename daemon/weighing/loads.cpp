// From rest to rest, as Pan: what is empty, what came, what was changed in place.
#include "daemon/weighing/loads.hpp"

#include <algorithm>
#include <cstdlib>
#include <utility>

namespace maslin::weighing {
namespace {

constexpr std::int64_t rests_ms = 6000;
constexpr std::int64_t restless_ms = 30'000;
constexpr int creeps_of_warmth = 2;
constexpr std::int64_t least_same_ug = 500'000;

}  // namespace

void Loads::begin() {
  taken_.clear();
  is_taken_ = false;
  spent_ = on_;
}

void Loads::drop() {
  if (!is_taken_) return;
  taken_.pop_back();
  is_taken_ = false;
  spent_ = true;
}

void Loads::unwatched() {
  watched_ = false;
  creeps_ = 0;
}

std::int64_t Loads::sum_ug() const {
  std::int64_t sum = 0;
  for (const auto& one : taken_) sum += one.gross_ug;
  return sum;
}

LoadChange Loads::feed(std::int64_t at_ms, const Pan& pan, const PanChange& change) {
  LoadChange found;
  const auto& detector = pan.detector();
  // A zero or tare key under a load: the same load under another zero.
  if (change.new_epoch) watched_ = false;
  least_ug_ = std::min(least_ug_, pan.shown_ug());
  const std::int64_t same_ug = std::max(2 * pan.interval_ug(), least_same_ug);
  switch (change.settling) {
    case Settling::at_rest:
      rest(at_ms, detector.level_ug(), same_ug, found);
      break;
    case Settling::departed:
      least_ug_ = pan.shown_ug();
      creeps_ = 0;
      break;
    case Settling::reopened:
      creep(detector.level_ug(), found);
      break;
    case Settling::quiet:
      crept_from_ug_ = detector.level_ug();
      break;
    case Settling::nothing:
      break;
  }
  if (!on_ || is_taken_ || spent_ || !zero_ug_) return found;
  if (!detector.quiet() || at_ms - detector.level_since_ms() < rests_ms) {
    if (at_ms - on_since_ms_ >= restless_ms) give_up(found);
    return found;
  }
  taken_.push_back({detector.level_ug() - *zero_ug_, detector.repeatability_ug()});
  level_ug_ = detector.level_ug();
  is_taken_ = found.taken = true;
  return found;
}

void Loads::rest(std::int64_t at_ms, std::int64_t level_ug, std::int64_t same_ug,
                 LoadChange& found) {
  const auto before_ug = std::exchange(level_ug_, level_ug);
  if (!std::exchange(watched_, true)) {
    // The same indication means the same load; near zero means that it was lifted. Where it was
    // zeroed with the load on, the next lift shows less than nothing, and is known by that.
    if (zero_ug_ && before_ug && std::abs(level_ug - *before_ug) <= same_ug) return;
    if (on_) leave(found);
    zero_ug_ = std::abs(level_ug) <= same_ug ? level_ug : std::min<std::int64_t>(level_ug, 0);
    on_ = false;
    if (level_ug - *zero_ug_ > same_ug) come(at_ms);
    return;
  }
  if (!zero_ug_) zero_ug_ = std::abs(level_ug) <= same_ug ? level_ug : 0;
  const std::int64_t gross_ug = level_ug - *zero_ug_;
  if (gross_ug <= same_ug) {
    zero_ug_ = level_ug;  // also below: the zero had been set with something on
    if (on_) leave(found);
    return;
  }
  if (!on_ || !before_ug) {
    come(at_ms);
    return;
  }
  const std::int64_t was_ug = *before_ug - *zero_ug_;
  if (2 * (least_ug_ - *zero_ug_) < std::min(was_ug, gross_ug)) {  // another one, or it was lifted
    leave(found);
    come(at_ms);
    return;
  }
  if (std::abs(gross_ug - was_ug) <= same_ug) return;
  // Changed in place: one upon the other, or some of it taken away. It rests anew.
  if (is_taken_) {
    if (gross_ug < was_ug) found.removed_ug = was_ug - gross_ug;
    taken_.pop_back();
    is_taken_ = false;
  }
  on_since_ms_ = at_ms;
}

void Loads::come(std::int64_t at_ms) {
  on_ = true;
  on_since_ms_ = at_ms;
}

void Loads::leave(LoadChange& found) {
  found.lifted = true;
  found.too_soon = !is_taken_ && !spent_;
  is_taken_ = spent_ = on_ = false;
  creeps_ = 0;
}

// A level that goes on and on in one direction is no food that comes or goes.
void Loads::creep(std::int64_t level_ug, LoadChange& found) {
  const int direction = level_ug > crept_from_ug_ ? 1 : -1;
  creeps_ = creeps_ * direction > 0 ? creeps_ + direction : direction;
  crept_from_ug_ = level_ug;
  if (on_ && std::abs(creeps_) >= creeps_of_warmth) give_up(found);
}

void Loads::give_up(LoadChange& found) {
  if (spent_) return;
  found.warm = true;
  if (is_taken_) taken_.pop_back();
  is_taken_ = false;
  spent_ = true;
}

}  // namespace maslin::weighing
