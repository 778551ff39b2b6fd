// An ingredient that its scale cannot carry at once with its vessel: weighed in portions, each
// emptied where it goes. The first is booked, the others come as additions to it, and all of it is
// judged against the band.
#include <algorithm>
#include <cmath>
#include <utility>

#include "daemon/batch/verdicts.hpp"
#include "daemon/batch/weigh.hpp"
#include "daemon/batch/words.hpp"

namespace maslin::batch {
namespace {

// Of what a scale can carry so much is left unused: a pour does not end to the gram, and nobody
// reads an overload (common practice, no source).
constexpr double usable = 0.95;
// A portion that is so nearly full is emptied; the next makes up for it (common practice, no
// source).
constexpr double nearly = 0.95;

}  // namespace

// Equal portions, as few as the scale can carry; 0 where all of it fits, or its amount is open.
std::int64_t Weigh::portion_ug(const Desk& desk) const {
  const auto* scale = active(desk);
  const auto& ingredient = current(desk);
  if (scale == nullptr || scale->capacity_ug == 0 || ingredient.lead || mending_) return 0;
  const double room = usable * static_cast<double>(scale->capacity_ug - scale->pan.tare_ug());
  const auto aim = static_cast<double>(ingredient.aim_ug);
  if (aim <= room || room <= 0) return 0;
  return std::llround(aim / std::ceil(aim / room));
}

std::string Weigh::portions_text(const Desk& desk, std::int64_t portion_ug) const {
  const auto* scale = active(desk);
  return " In portions, since the scale carries " + amount(scale->capacity_ug, scale->interval_ug) +
         ": first " + amount(portion_ug, scale->interval_ug) + ".";
}

// True where the portion is booked, or more of it is waited for.
bool Weigh::take_portion(Desk& desk, const proto::Weighing& weighing) {
  const std::int64_t portion = portion_ug(desk);
  const auto& ingredient = current(desk);
  if (portion == 0 || weighing.net_ug >= ingredient.lower_ug) return false;
  if (static_cast<double>(weighing.net_ug) < nearly * static_cast<double>(portion)) return false;
  auto part = weighing;
  part.how += ", a portion";
  // What is left, in portions as large as the scale can carry.
  const std::int64_t left = ingredient.aim_ug - part.net_ug;
  const std::int64_t times = std::max<std::int64_t>(
      1, static_cast<std::int64_t>(
             std::ceil(static_cast<double>(left) / static_cast<double>(portion) * nearly)));
  top_ups_.clear();
  top_ups_.assign(static_cast<std::size_t>(times), {ingredient.name, left / times, false});
  proto::Verdict verdict;
  verdict.verdict = "a portion";
  keep(desk, part, verdict);
  desk.emit(part);
  portioned_ = true;
  before_.reset();
  ++at_;
  go_on_or_mend(desk);
  return true;
}

// A bowl that comes back a little heavier than it was weighed empty is the same one with something
// left in it, or a similar one: only the cook knows, and without a word nothing is changed.
void Weigh::ask_residue(Desk& desk, const ScaleDesk& scale, std::int64_t stuck_ug) {
  const bool of_before = before_ && before_->device == scale.device;
  if (!of_before && !(mending_ && portioned_)) return;
  residue_ug_ = stuck_ug;
  desk.ask_anew();
  desk.cue("ask",
           "Is that the same bowl, with " + amount(stuck_ug, scale.pan.interval_ug()) + " " +
               (of_before ? before_->name : mending_->ingredient) +
               " left in it? Then say ok. If it is another one, just go on.",
           current(desk).name, stuck_ug);
}

// What stayed in the bowl is in no pot: it belongs to no ingredient and to no portion.
void Weigh::take_residue(Desk& desk, const ScaleDesk& scale) {
  const std::int64_t stuck_ug = std::exchange(residue_ug_, 0);
  learn_sticking(desk, before_ ? before_->name : mending_->ingredient, stuck_ug);
  if (before_) {
    before_->weighing.sticking_ug = 0;  // it has been weighed
    correct_before(desk, scale, -stuck_ug,
                   amount(stuck_ug, scale.pan.interval_ug()) + " stayed in its vessel");
    return;
  }
  for (auto& done : desk.done) {
    if (done.mass.name != mending_->ingredient) continue;
    done.mass.net_ug -= stuck_ug;
    auto weighing = weighing_of(desk, scale, done.mass.net_ug);
    weighing.corrects = true;
    weighing.how = "portions, " + amount(stuck_ug, scale.interval_ug) + " stayed in the bowl";
    desk.emit(weighing);
  }
}

}  // namespace maslin::batch
