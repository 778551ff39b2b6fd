// What comes after "good": a late spoonful of the same ingredient, and the critical ratios over all
// that is in before the next step may begin.
#include "daemon/batch/weigh.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "daemon/batch/verdicts.hpp"
#include "daemon/batch/words.hpp"

namespace maslin::batch {
namespace {

// How long after "good" a small addition is still taken for a late spoonful of the same ingredient
// (common practice, no source).
constexpr std::int64_t late_ms = 12'000;
constexpr double late_share = 0.05;       // of the ingredient before
constexpr double late_share_next = 0.20;  // of the next one's aim

}  // namespace

// A change in the first seconds after "good", small beside both ingredients, still belongs to the
// one before.
bool Weigh::take_late_spoonful(Desk& desk, ScaleDesk& scale, std::int64_t change_ug) {
  if (!before_ || before_->device != scale.device || before_->weighing.how.empty()) return false;
  const auto* ingredient = desk.planned(before_->name);
  const double size = std::abs(static_cast<double>(change_ug));
  const bool small = size <= std::max(3.0 * static_cast<double>(scale.interval_ug),
                                      late_share * static_cast<double>(before_->net_ug));
  const bool not_the_next =
      done() || size < late_share_next * static_cast<double>(current(desk).aim_ug);
  if (ingredient == nullptr || change_ug == 0 || !small || !not_the_next ||
      scale.pan.detector().level_since_ms() - before_->good_at_ms > late_ms || !scale.pan.mixed()) {
    return false;
  }
  // Over with it, it is an over-pour like any other, and nothing lies on it yet.
  if (before_->net_ug + change_ug > ingredient->accept_upper_ug && return_to_before(desk, scale)) {
    judge(desk, scale);
    return true;
  }
  if (!correct_before(desk, scale, change_ug,
                      change_ug > 0 ? "some added late" : "some taken out")) {
    return false;
  }
  if (!done()) {
    scale.pan.begin_ingredient(current(desk).lead ? 0 : current(desk).aim_ug);
    stand_ = Stand::waiting;
    begin_stop(desk, current(desk).name, current(desk).aim_ug);
    return true;
  }
  // It was the last ingredient: the ratios over all that is in are asked again.
  reopen();
  go_on_or_mend(desk);
  return true;
}

// The ingredient before turns out to weigh more or less than what was booked: its verdict is given
// anew. False where that much of it is not to be believed.
bool Weigh::correct_before(Desk& desk, const ScaleDesk& scale, std::int64_t change_ug,
                           const std::string& why) {
  const auto* ingredient = desk.planned(before_->name);
  if (ingredient == nullptr) return false;
  auto weighing = before_->weighing;
  weighing.net_ug += change_ug;
  weighing.corrects = true;
  if (weighing.how.find(why) == std::string::npos) weighing.how += ", " + why;
  weighing.to_reading = desk.reading;
  if (ingredient->lead) {
    if (lead_refused(desk, weighing.net_ug)) return false;
    make_final(desk, weighing.net_ug);
    ingredient = desk.planned(before_->name);
  }
  const auto known = recorded_on(weighing, scale);
  take_uncertainty(weighing, known);
  auto verdict = batch::judge(*ingredient, weighing.net_ug, known);
  if (ingredient->lead) {
    verdict.verdict = "within";
    verdict.rule = "sets the size";
  }
  keep(desk, weighing, verdict);
  desk.emit(weighing);
  desk.emit(verdict);
  const bool within = verdict.verdict == "within";
  const bool unsafe = !within && (weighing.net_ug > ingredient->aim_ug ? ingredient->unsafe_over
                                                                       : ingredient->unsafe_under);
  desk.limit_kept(before_->name, !unsafe);
  if (unsafe) {
    desk.emit(
        proto::Deviation{before_->name, true, "changed late, " + verdict.verdict, "told the cook"});
  }
  desk.cue(within ? "good" : "over",
           capitalised(before_->name) +
               " corrected: " + amount(weighing.net_ug, scale.interval_ug) +
               (within ? "." : ", " + verdict.verdict + ".") +
               (unsafe ? " The batch has left its critical limit." : ""),
           before_->name);
  before_->net_ug = weighing.net_ug;
  before_->weighing = weighing;
  return true;
}

void Weigh::keep(Desk& desk, const proto::Weighing& weighing, const proto::Verdict& verdict) const {
  Done entry{{weighing.ingredient, weighing.net_ug, weighing.standard_uncertainty_ug},
             verdict.verdict};
  const auto it = std::find_if(desk.done.begin(), desk.done.end(), [&](const Done& known) {
    return known.mass.name == weighing.ingredient;
  });
  if (it == desk.done.end()) {
    desk.done.push_back(std::move(entry));
  } else {
    *it = std::move(entry);
  }
}

// The critical ratios over what is in by now decide whether the next ingredient, or the next step,
// may come: what breaks one is mended before anything lies on it.
void Weigh::go_on_or_mend(Desk& desk) {
  const bool mended = mending_ && !mending_->top_up;
  mending_ = next_mending(desk);
  stand_ = Stand::waiting;
  said_net_ug_ = 0;
  forget_over();
  if (mended) desk.release("critical limit", "weighed again");
  if (mending_) before_.reset();
  if (!mending_) {
    portioned_ = false;
    if (at_ < names_.size()) {
      begin_ingredient(desk);
      return;
    }
    for (auto& scale : desk.scales) scale.pan.begin_ingredient(0);
    finish();
    return;
  }
  desk.ask_anew();
  for (auto& scale : desk.scales) scale.pan.begin_ingredient(mending_->add_ug);
  begin_stop(desk, mending_->ingredient, mending_->add_ug);
  if (!mending_->top_up) {
    desk.hold({"critical limit",
               "The " + mending_->about +
                   (mending_->broken ? " is beyond its limit."
                                     : " is too near its limit for this scale."),
               how_to_mend(desk, mending_->add_ug), "", 0});
  }
  say_mending(desk, mending_->add_ug);
}

// The acid that a ratio lacks is weaker than the formula means: more of it is no way.
bool Weigh::is_weak(const Desk& desk) const {
  return !mending_->top_up && desk.strength_ppm.contains(mending_->ingredient);
}

void Weigh::say_mending(Desk& desk, std::int64_t missing_ug) {
  if (is_weak(desk)) return;  // the hold says what to do
  std::string text = capitalised(so_much(desk, missing_ug, "more " + mending_->ingredient)) + ".";
  if (portioned_) text = "Empty the bowl where it goes and put it back. Then " + text;
  if (mending_->top_up && by_measure(desk)) {
    desk.cue("by_measure", text + " Say ok when it is in.", mending_->ingredient, missing_ug);
    return;
  }
  desk.cue("more", std::move(text), mending_->ingredient, missing_ug);
}

// To mend a ratio a spoon is near enough only where a scale looks on; what goes in by measure is
// topped up in the same spoons.
std::string Weigh::so_much(const Desk& desk, std::int64_t add_ug, const std::string& what) const {
  const auto* scale = active(desk);
  const std::int64_t interval_ug = scale == nullptr ? 0 : scale->interval_ug;
  if (by_measure(desk) && mending_->top_up) {
    return amount_of(desk.plan, current(desk), add_ug, 0, what);
  }
  return by_measure(desk) ? amount(add_ug, interval_ug) + " " + what
                          : amount_of(desk.plan, current(desk), add_ug, interval_ug, what);
}

// A late spoonful is not added to a mass that has been amended, and what an amendment breaks while
// nothing is poured yet is mended like anything else.
void Weigh::amended(Desk& desk) {
  before_.reset();
  if (done()) return;
  plan_top_ups_anew(desk);
  if (!ways_.empty()) {  // they were ways out of what is another batch by now
    forget_over();
    said_net_ug_ = 0;
    auto* scale = active(desk);
    if (scale != nullptr && !desk.paused && scale->pan.detector().quiet()) judge(desk, *scale);
    return;
  }
  if (mending_ || (stand_ == Stand::waiting && first_short_ratio(desk))) go_on_or_mend(desk);
}

std::string Weigh::how_to_mend(const Desk& desk, std::int64_t add_ug) const {
  if (is_weak(desk)) {
    return "Never more of the weak one: stop and begin with a bottle of 5 %, or accept with a "
           "reason; nothing of it then goes on a shelf.";
  }
  return "Add " + so_much(desk, add_ug, mending_->ingredient) +
         (by_measure(desk) ? " by measure, then accept with a reason."
                           : ", or accept with a reason.");
}

// An addition belongs to what was in of the same ingredient: `weighing` becomes that of both.
proto::Verdict Weigh::with_addition(const Desk& desk, const ScaleDesk& scale,
                                    proto::Weighing& weighing) const {
  for (const auto& done : desk.done) {
    if (done.mass.name != mending_->ingredient) continue;
    weighing.net_ug += done.mass.net_ug;
    weighing.standard_uncertainty_ug =
        std::llround(std::hypot(static_cast<double>(weighing.standard_uncertainty_ug),
                                static_cast<double>(done.mass.standard_uncertainty_ug)));
    weighing.expanded_uncertainty_ug = 2 * weighing.standard_uncertainty_ug;
  }
  weighing.corrects = true;
  weighing.how = portioned_         ? "in portions"
                 : mending_->top_up ? "topped up after an over-pour"
                                    : "added so that the " + mending_->about + " holds";
  auto of_both = budget(desk, scale, weighing.net_ug);
  of_both.indications += 2;
  return batch::judge(current(desk), weighing.net_ug, of_both);
}

proto::Weighing Weigh::book_addition(Desk& desk, const ScaleDesk& scale, std::int64_t net_ug) {
  auto weighing = weighing_of(desk, scale, net_ug);
  const auto verdict = with_addition(desk, scale, weighing);
  keep(desk, weighing, verdict);
  desk.emit(weighing);
  desk.emit(verdict);
  return weighing;
}

// What was added is booked with what was in; then the ratios are asked again.
void Weigh::judge_mending(Desk& desk, ScaleDesk& scale, std::int64_t net_ug) {
  if (mending_->top_up) {
    judge_top_up(desk, scale, net_ug);
    return;
  }
  learn_stop(desk, net_ug, scale.pan.interval_ug());
  if (net_ug < mending_->add_ug) {
    if (std::llabs(net_ug - said_net_ug_) <= scale.interval_ug) return;
    said_net_ug_ = net_ug;
    const std::int64_t missing = mending_->add_ug - net_ug;
    desk.update_hold("critical limit", how_to_mend(desk, missing));
    begin_stop(desk, mending_->ingredient, mending_->add_ug);
    desk.cue("more", capitalised(so_much(desk, missing, "more " + mending_->ingredient)) + ".",
             mending_->ingredient, missing);
    return;
  }
  const auto weighing = book_addition(desk, scale, net_ug);
  desk.emit(
      proto::Deviation{mending_->about, true, "short of its limit",
                       amount(net_ug, scale.interval_ug) + " " + mending_->ingredient + " added"});
  desk.cue("good",
           "Good: " + amount(weighing.net_ug, scale.interval_ug) + " " + mending_->ingredient +
               " in all.",
           mending_->ingredient, weighing.net_ug);
  go_on_or_mend(desk);
}

}  // namespace maslin::batch
