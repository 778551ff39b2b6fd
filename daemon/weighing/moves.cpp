// The classes of moves.hpp, from the levels before and after, the extremes between and the empty
// pan.
#include "daemon/weighing/moves.hpp"

#include <algorithm>
#include <cstdlib>
#include <utility>

namespace maslin::weighing {
namespace {

constexpr std::int64_t finest_ug = 500'000;
constexpr std::int64_t roughest_ug = 2'000'000;
constexpr std::int64_t over_ms = 3000;
constexpr std::int64_t soon_over_ms =
    1200;  // of rest, where the level or the empty pan says enough
constexpr std::int64_t one_lift_ms = 15'000;   // off and on again within it is one move
constexpr std::int64_t slides_ug_s = 450'000;  // no hand takes out so slowly
constexpr std::int64_t hand_ms = 800;
constexpr std::int64_t least_jump = 20;      // intervals, in mid-pour
constexpr std::int64_t lay_on_it_ms = 8000;  // added and the same taken within it: a hand, a spoon
constexpr std::int64_t slid_ms = 6000;       // a slide that has stood still for so long is over

}  // namespace

std::string_view name(Moved what) {
  switch (what) {
    case Moved::on:
      return "on";
    case Moved::off:
      return "off";
    case Moved::added:
      return "added";
    case Moved::taken:
      return "taken";
    case Moved::lifted:
      return "lifted";
    case Moved::lighter:
      return "lighter";
    case Moved::heavier:
      return "heavier";
    case Moved::disturbed:
      return "disturbed";
    case Moved::drifted:
      return "drifted";
    case Moved::new_zero:
      break;
  }
  return "new zero";
}

MoveTracker::MoveTracker(std::int64_t interval_ug, std::int64_t lag_ms)
    : hand_ms_(hand_ms + 3 * lag_ms / 2),
      coarse_ug_(std::max(interval_ug, finest_ug)),
      same_ug_(3 * coarse_ug_ / 2),
      detector_(coarse_ug_, lag_ms),
      rough_(std::max(2 * coarse_ug_, roughest_ug), lag_ms) {}

void MoveTracker::begin_epoch(std::int64_t at_ms) {
  if (!known_) return;
  if (moving_) {
    // What was under way is told by where it had come to.
    before_epoch_ = classify(last_ug_, at_ms, least_ug_);
    rest_ug_ = last_ug_;
  } else if (seen_) {
    rest_ug_ = now_ug_;
  }
  new_epoch_ms_ = at_ms;
  detector_.restart();
  rough_.restart();
  seen_ = false;
  moving_ = false;
}

void MoveTracker::begin_epoch(std::int64_t at_ms, std::int64_t interval_ug) {
  begin_epoch(at_ms);
  coarse_ug_ = std::max(interval_ug, finest_ug);
  same_ug_ = 3 * coarse_ug_ / 2;
  detector_.restart(coarse_ug_);
  rough_.restart(std::max(2 * coarse_ug_, roughest_ug));
}

void MoveTracker::under_zero(std::int64_t at_ms) {
  if (!moving_ && seen_) depart(at_ms, empty_ug_);
  least_ug_ = std::min(least_ug_, empty_ug_);
  detector_.restart();
  rough_.restart();
}

bool MoveTracker::jumped_to_zero(std::int64_t level_ug) const {
  if (!seen_ || std::abs(last_ug_) <= 2 * coarse_ug_ || is_empty(last_ug_)) return false;
  // A pour goes on a little by the next reading. What is lifted off falls before it is at zero.
  const bool near_zero = level_ug >= -coarse_ug_ && level_ug <= std::max(coarse_ug_, last_ug_ / 20);
  if (!moving_) return near_zero && std::abs(last_ug_ - now_ug_) <= 2 * coarse_ug_;
  return near_zero && last_ug_ > least_jump * coarse_ug_ &&
         last_ug_ >= last_but_one_ug_ - coarse_ug_;
}

void MoveTracker::depart(std::int64_t at_ms, std::int64_t level_ug) {
  moving_ = true;
  began_ms_ = at_ms;
  rest_ug_ = now_ug_;
  least_ug_ = level_ug;
  early_ug_.reset();
  pause_.reset();
  crept_since_ms_ = -1;
}

bool MoveTracker::in_one_go(std::int64_t to_ug) const {
  const std::int64_t from_ug = moving_ || told_.empty() ? rest_ug_ : told_.back().move.from_ug;
  return !early_ug_ || 10 * std::abs(*early_ug_ - from_ug) >= 6 * std::abs(to_ug - from_ug);
}

std::optional<Move> MoveTracker::feed(std::int64_t at_ms, std::int64_t level_ug, bool vetoed) {
  zeroed_ = false;
  if (suspected_) {
    suspected_ = false;
    // And there it stays, or what is poured goes on from there; a display's tail goes on falling.
    const bool still_moving = moving_ || suspect_ug_ > coarse_ug_;
    zeroed_ = level_ug >= -coarse_ug_ && (suspect_ug_ <= coarse_ug_ || level_ug >= suspect_ug_) &&
              level_ug <= std::max(2 * coarse_ug_, last_ug_ / (still_moving ? 2 : 20));
    if (zeroed_) begin_epoch(suspect_ms_);
  } else if (jumped_to_zero(level_ug)) {
    suspected_ = true;
    suspect_ms_ = at_ms;
    suspect_ug_ = level_ug;
    return std::nullopt;
  }
  last_but_one_ug_ = std::exchange(last_ug_, level_ug);
  const auto settling = detector_.feed(at_ms, level_ug, vetoed);
  const auto roughly = rough_.feed(at_ms, level_ug, false);
  if (detector_.at_rest()) now_ug_ = detector_.level_ug();
  if (before_epoch_) return std::exchange(before_epoch_, std::nullopt);
  if (!seen_) return detector_.at_rest() ? see(at_ms) : std::nullopt;
  if (!moving_) {
    auto crept = creep(settling, at_ms);
    if (settling == Settling::departed) depart(at_ms, level_ug);
    return crept;
  }
  if (settling == Settling::departed) {
    pause_ = Pause{now_ug_, detector_.rest_began_ms(), at_ms, least_ug_};
  } else if (roughly == Settling::departed && rough_.rest_began_ms() > began_ms_ &&
             (!pause_ || rough_.rest_began_ms() > pause_->left_ms)) {
    pause_ = Pause{rough_.level_ug(), rough_.rest_began_ms(), at_ms, least_ug_};
    if (std::abs(gross_ug(pause_->level_ug)) <= roughest_ug) pause_->level_ug = empty_ug_;
  }
  least_ug_ = std::min(least_ug_, level_ug);
  if (!early_ug_ && at_ms - began_ms_ >= hand_ms_) early_ug_ = level_ug;
  if (detector_.at_rest()) return close(at_ms);
  return split(level_ug);
}

// The first rest ever, or the first of a new epoch.
std::optional<Move> MoveTracker::see(std::int64_t at_ms) {
  seen_ = true;
  steady_ug_ = now_ug_;
  steady_since_ms_ = at_ms;
  crept_since_ms_ = -1;
  if (!known_) {
    // What shows near zero is an empty pan until it proves otherwise.
    known_ = true;
    empty_ug_ = std::abs(now_ug_) <= same_ug_ ? now_ug_ : 0;
    rest_ug_ = now_ug_;
    return std::nullopt;
  }
  Move move{Moved::new_zero, rest_ug_, now_ug_, new_epoch_ms_, at_ms, 0};
  const std::int64_t gross = gross_ug(rest_ug_);
  empty_ug_ = now_ug_ - gross;
  rest_ug_ = now_ug_;
  return tell(move, gross);
}

// Over, once the rest has lasted for as long as its kind needs.
std::optional<Move> MoveTracker::close(std::int64_t at_ms) {
  const bool away = is_empty(now_ug_) || is_empty(rest_ug_) ||
                    2 * gross_ug(least_ug_) < std::min(gross_ug(rest_ug_), gross_ug(now_ug_));
  const bool same = std::abs(now_ug_ - rest_ug_) <= coarse_ug_;
  const std::int64_t rested_ms = at_ms - detector_.rest_began_ms();
  if (rested_ms < (away || same ? soon_over_ms : over_ms)) return std::nullopt;
  moving_ = false;
  steady_ug_ = now_ug_;
  steady_since_ms_ = at_ms;
  const auto move = classify(now_ug_, detector_.rest_began_ms(), least_ug_);
  rest_ug_ = now_ug_;
  return move;
}

// A vessel that comes or leaves beside a pause too short to end the move: what was before the pause
// is a move of its own.
std::optional<Move> MoveTracker::split(std::int64_t level_ug) {
  if (!pause_) return std::nullopt;
  const bool was_away =
      2 * gross_ug(pause_->least_ug) < std::min(gross_ug(rest_ug_), gross_ug(pause_->level_ug));
  if (!was_away && std::abs(pause_->level_ug - rest_ug_) <= same_ug_) return std::nullopt;
  const bool leaves =
      !is_empty(pause_->level_ug) && 2 * gross_ug(level_ug) < gross_ug(pause_->level_ug);
  const bool came = is_empty(rest_ug_) || is_empty(pause_->level_ug);
  if (!leaves && !(came && level_ug > pause_->level_ug + roughest_ug)) return std::nullopt;
  const auto move = classify(pause_->level_ug, pause_->began_ms, pause_->least_ug);
  rest_ug_ = pause_->level_ug;
  began_ms_ = pause_->left_ms;
  least_ug_ = level_ug;
  pause_.reset();
  return move;
}

// A level that changes without a departure: a pinch, or a slow slide, which is told when it is
// over.
std::optional<Move> MoveTracker::creep(Settling settling, std::int64_t at_ms) {
  if (std::abs(now_ug_ - steady_ug_) > coarse_ug_ / 2) {
    if (crept_since_ms_ < 0) crept_since_ms_ = at_ms;
    steady_ug_ = now_ug_;
    steady_since_ms_ = at_ms;
  }
  const std::int64_t crept = now_ug_ - rest_ug_;
  const bool still = at_ms - steady_since_ms_ > slid_ms;
  if (std::abs(crept) <= same_ug_) {
    if (std::abs(crept) <= coarse_ug_ / 2) crept_since_ms_ = -1;
    return std::nullopt;
  }
  const bool ends = settling == Settling::departed || still;
  if (!(ends || (crept > 0 && settling == Settling::quiet))) return std::nullopt;
  const Move move{crept > 0 ? Moved::added : Moved::drifted,
                  rest_ug_,
                  now_ug_,
                  crept_since_ms_,
                  steady_since_ms_,
                  0};
  const std::int64_t gross = gross_ug(rest_ug_);
  rest_ug_ = now_ug_;
  crept_since_ms_ = -1;
  return tell(move, gross);
}

Move MoveTracker::classify(std::int64_t to_ug, std::int64_t rested_ms, std::int64_t least_ug) {
  Move move{Moved::disturbed, rest_ug_, to_ug, began_ms_, rested_ms, 0};
  if (gross_ug(to_ug) < -same_ug_) empty_ug_ = to_ug;  // nothing weighs less than nothing
  const std::int64_t before = gross_ug(rest_ug_);
  const std::int64_t after = gross_ug(to_ug);
  const std::int64_t step = after - before;
  if (is_empty(rest_ug_)) {
    move.what = is_empty(to_ug) ? Moved::disturbed : Moved::on;
  } else if (is_empty(to_ug)) {
    move.what = Moved::off;
  } else if (2 * gross_ug(least_ug) < std::min(before, after)) {
    move.what = std::abs(step) <= same_ug_ ? Moved::lifted
                : step < 0                 ? Moved::lighter
                                           : Moved::heavier;
  } else if (std::abs(step) > same_ug_) {
    const std::int64_t took_ms = rested_ms - began_ms_;
    const bool slid = took_ms >= slid_ms && std::abs(step) <= slides_ug_s * (took_ms / 1000);
    move.what = step > 0 ? Moved::added : slid ? Moved::drifted : Moved::taken;
  }
  if (move.what == Moved::off) empty_ug_ = to_ug;
  return tell(move, before);
}

// The moves told before can turn out to be part of this one.
Move MoveTracker::tell(Move move, std::int64_t gross_before) {
  const Told* last = told_.empty() ? nullptr : &told_.back();
  if (last != nullptr && move.what == Moved::on && last->move.what == Moved::off &&
      move.began_ms - last->move.began_ms <= one_lift_ms) {
    const std::int64_t step = gross_ug(move.to_ug) - last->gross_before_ug;
    move.what = std::abs(step) <= same_ug_ ? Moved::lifted
                : step < 0                 ? Moved::lighter
                                           : Moved::heavier;
    move.from_ug = move.to_ug - step;
    move.began_ms = last->move.began_ms;
    move.mends = 1;
    gross_before = last->gross_before_ug;
  } else if (last != nullptr && move.what == Moved::added && last->move.what == Moved::new_zero &&
             in_one_go(move.to_ug) &&
             std::abs(move.to_ug - move.from_ug - last->gross_before_ug) <= same_ug_) {
    // The same gross comes back in one step: it had only been off, faster than the display.
    empty_ug_ = move.from_ug;
    gross_before = last->gross_before_ug;
    move = {Moved::lifted, move.to_ug, move.to_ug, last->move.began_ms, move.ended_ms, 1};
  } else if (last != nullptr && move.what == Moved::taken && last->move.what == Moved::added &&
             move.began_ms - last->move.ended_ms <= lay_on_it_ms &&
             std::abs(move.to_ug - last->move.from_ug) <= same_ug_) {
    move = {Moved::disturbed,    last->move.from_ug, move.to_ug,
            last->move.began_ms, move.ended_ms,      1};
    gross_before = last->gross_before_ug;
  }
  for (int i = 0; i < move.mends && !told_.empty(); ++i) told_.pop_back();
  told_.push_back({move, gross_before});
  if (told_.size() > 2) told_.pop_front();
  return move;
}

}  // namespace maslin::weighing
