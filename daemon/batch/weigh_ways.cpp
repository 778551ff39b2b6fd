// Ways of working that the pan tells of only afterwards: something lay on it while it was booked,
// or two ingredients came in without a pause.
#include <algorithm>
#include <cmath>

#include "daemon/batch/verdicts.hpp"
#include "daemon/batch/weigh.hpp"
#include "daemon/batch/words.hpp"

namespace maslin::batch {
namespace {

// A smaller one is sooner poured too much than poured along (common practice, no source).
constexpr std::int64_t least_tenths = 3;

}  // namespace

// The ingredient before is weighed on: what had ended it does not count. False where its account
// is not known any more.
bool Weigh::return_to_before(Desk& desk, ScaleDesk& scale) {
  const auto* ingredient = before_ ? desk.planned(before_->name) : nullptr;
  if (ingredient == nullptr || ingredient->lead || mending_ || at_ == 0 || !scale.pan.go_back()) {
    return false;
  }
  --at_;
  if (done()) reopen();
  std::erase_if(desk.done, [&](const Done& one) { return one.mass.name == ingredient->name; });
  before_.reset();
  forget_over();
  stand_ = Stand::waiting;
  said_net_ug_ = 0;
  begin_stop(desk, ingredient->name, ingredient->aim_ug);
  desk.emit(proto::PhaseBegan{index(), "weigh", ingredient->name, planned(desk).text});
  return true;
}

// What was booked as the end of an ingredient was a hand, a spoon, a board: it has left again.
bool Weigh::take_back(Desk& desk, ScaleDesk& scale, const weighing::Move& move) {
  if (move.what != weighing::Moved::disturbed || move.mends == 0 || !before_ ||
      before_->device != scale.device || before_->good_at_ms < move.began_ms ||
      !return_to_before(desk, scale)) {
    return false;
  }
  const auto& ingredient = current(desk);
  const std::int64_t net_ug = scale.pan.net_ug().value_or(0);
  auto weighing = weighing_of(desk, scale, net_ug);
  weighing.corrects = true;
  desk.emit(weighing);
  desk.emit(verdict_of(desk, scale, net_ug));
  const std::int64_t missing_ug = ingredient.aim_ug - net_ug;
  desk.cue("more",
           "Something lay on the scale and is off again. " +
               capitalised(amount_of(desk.plan, ingredient, std::max<std::int64_t>(missing_ug, 0),
                                     scale.interval_ug, "more " + ingredient.name)) +
               ".",
           ingredient.name, missing_ug);
  said_net_ug_ = net_ug;
  return true;
}

// The next one, where it is weighed on the same scale and the sum of both lies in the sum of their
// bands.
const proto::PlannedIngredient* Weigh::came_with(const Desk& desk, std::int64_t net_ug) const {
  if (at_ + 1 >= names_.size()) return nullptr;
  const auto& first = current(desk);
  const auto* next = desk.planned(names_[at_ + 1]);
  if (next == nullptr || next->check != "weigh" || next->role != first.role || next->lead ||
      net_ug < first.lower_ug + next->lower_ug || net_ug > first.upper_ug + next->upper_ug) {
    return nullptr;
  }
  return next;
}

// Two ingredients in one go. A rest between them divides them; else only the cook knows, and no one
// is asked about an amount that a critical limit hangs on.
bool Weigh::take_both(Desk& desk, ScaleDesk& scale, const proto::Weighing& weighing) {
  const auto* next = came_with(desk, weighing.net_ug);
  if (next == nullptr) return false;
  const auto& first = current(desk);
  for (const std::int64_t rest_ug : scale.pan.rests_ug()) {
    const std::int64_t more_ug = weighing.net_ug - rest_ug;
    if (rest_ug < first.accept_lower_ug || rest_ug > first.accept_upper_ug ||
        more_ug < next->accept_lower_ug || more_ug > next->accept_upper_ug) {
      continue;
    }
    auto one = weighing_of(desk, scale, rest_ug);
    one.how += ", the next one right after it";
    finish_ingredient(desk, one, verdict_of(desk, scale, rest_ug),
                      "Good: " + amount(rest_ug, scale.interval_ug) + " " + one.ingredient + ".");
    if (mending_ || done()) return true;
    scale.pan.came_before(more_ug);
    judge(desk, scale);
    return true;
  }
  if (first.critical || next->critical || 10 * next->aim_ug < least_tenths * first.aim_ug) {
    return false;
  }
  both_asked_ = true;
  stand_ = Stand::undecided;
  said_net_ug_ = weighing.net_ug;
  desk.cue("undecided",
           amount(weighing.net_ug, scale.interval_ug) + " is in, as much as the " + first.name +
               " and the " + next->name +
               " together. If both are in, say ok; else take out what is too much.",
           first.name, weighing.net_ug);
  return true;
}

// Each is booked with its share of the sum, as wide as its band, and no verdict of its own.
void Weigh::book_both(Desk& desk, ScaleDesk& scale) {
  both_asked_ = false;
  const std::int64_t net_ug = scale.pan.net_ug().value_or(0);
  const auto* next = came_with(desk, net_ug);
  if (next == nullptr) return;
  const proto::PlannedIngredient pair[] = {current(desk), *next};
  std::int64_t left_ug = net_ug;
  for (const auto& one : pair) {
    const double share =
        static_cast<double>(one.aim_ug) / static_cast<double>(pair[0].aim_ug + pair[1].aim_ug);
    const std::int64_t share_ug =
        &one == pair ? std::llround(share * static_cast<double>(net_ug)) : left_ug;
    left_ug -= share_ug;
    auto weighing = weighing_of(desk, scale, share_ug);
    weighing.how += ", together with the " + (&one == pair ? pair[1] : pair[0]).name;
    weighing.expanded_uncertainty_ug = (one.upper_ug - one.lower_ug) / 2;
    weighing.standard_uncertainty_ug =
        std::llround(static_cast<double>(weighing.expanded_uncertainty_ug) / std::sqrt(3.0));
    const proto::Verdict verdict{one.name,   "undecided",  share_ug,
                                 one.aim_ug, one.lower_ug, one.upper_ug,
                                 0,          one.critical, "by the sum of two"};
    finish_ingredient(
        desk, weighing, verdict,
        capitalised(one.name) + ", about " + amount(share_ug, scale.interval_ug) + ", noted.");
    if (mending_ || done()) return;
    if (&one == pair) scale.pan.came_before(left_ug);
  }
}

}  // namespace maslin::batch
