// What comes after a pour that went over: the ladder is told, one rung is offered and taken with
// one ok, and what a batch made anew needs more of is weighed before anything else.
#include <cstdlib>
#include <limits>

#include "daemon/batch/verdicts.hpp"
#include "daemon/batch/weigh.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/plan/limits.hpp"

namespace maslin::batch {
namespace {

// An ok while a way is offered takes it; this ends every offer.
constexpr char another_way[] = " No: another way.";

const char* not_so(Rung rung) {
  switch (rung) {
    case Rung::accept:
      return "Not left as it is";
    case Rung::top_up:
      return "Not topped up";
    case Rung::larger:
      return "No larger batch";
    case Rung::refrigerator:
      return "Not for the refrigerator";
    case Rung::take_out:
    case Rung::start_again:
      break;
  }
  return "Not so";
}

std::size_t first_that_works(const std::vector<Way>& ways, std::size_t from) {
  while (from < ways.size() && !ways[from].works) ++from;
  return from;
}

// Of what is asked for so much is not in yet.
std::int64_t left_ug(const Desk& desk, const std::string& ingredient) {
  std::int64_t left = desk.planned(ingredient)->aim_ug;
  for (const auto& done : desk.done) {
    if (done.mass.name == ingredient) left -= done.mass.net_ug;
  }
  return left;
}

}  // namespace

void Weigh::forget_over() {
  ways_.clear();
  offered_ = 0;
  pressed_ = false;
}

// What presses on the pan while something is weighed is no answer, unless one is waited for; nor
// where the cook is told to take some out, since then a hand is in the vessel.
bool Weigh::take_press(Desk& desk) {
  pressed_ = offers() && !ways_.front().works && !desk.paused;
  return true;
}

// What is offered is for the net that was told. Another one is judged first, once it is quiet.
bool Weigh::offer_stands(const ScaleDesk& scale) const {
  const auto net = scale.pan.net_ug();
  return net && scale.pan.detector().quiet() &&
         std::llabs(*net - said_net_ug_) <= scale.interval_ug;
}

// `weighing`: all that is in of it. What was asked for is its aim, or what was to be added.
void Weigh::say_over(Desk& desk, ScaleDesk& scale, const proto::Weighing& weighing,
                     bool undecided) {
  const auto& ingredient = current(desk);
  const std::int64_t asked_ug =
      mending_ ? weighing.net_ug - scale.pan.net_ug().value_or(0) + mending_->add_ug
               : ingredient.aim_ug;
  over_ = {ingredient.name,
           weighing.net_ug,
           weighing.standard_uncertainty_ug,
           weighing.net_ug - asked_ug,
           scale.interval_ug,
           Lies::alone,
           undecided};
  if (scale.pan.mixed()) {
    over_.lies = Lies::mixed;
  } else if (scale.pan.how() == weighing::How::from_vessel) {
    over_.lies = Lies::unseen;
  }
  ways_ = ways_out(desk, over_);
  offered_ = first_that_works(ways_, 1);
  pressed_ = false;  // a press was for the offer before
  std::string text =
      undecided ? "The scale cannot tell whether the " + ingredient.name + " is over. " +
                      (scale.pan.slid_ug() == 0 ? ""
                                                : "Lift the vessel off and put it back, and it "
                                                  "knows what slid. ")
                : capitalised(amount_of(desk.plan, ingredient, over_.excess_ug, scale.interval_ug,
                                        "too much " + ingredient.name)) +
                      ". ";
  const Way& out = ways_.front();
  text += (out.works ? out.text : out.why) + ".";
  desk.ask_anew();
  offer(desk, std::move(text));
  if (ingredient.unsafe_over && !undecided) {
    desk.hold({"critical limit",
               capitalised(ingredient.name) + " is over its critical limit by " +
                   amount(weighing.net_ug - ingredient.upper_ug, scale.interval_ug) + ".",
               ends_when(desk), "", 0});
  }
}

std::string Weigh::ends_when(const Desk& desk) const {
  return "Take it out, or say ok: " + ways_[offered_].text +
         (current(desk).counts_as == curing_salt
              ? "."
              : ". Accepted with a reason, the batch has left its critical limit.");
}

// Why there is no larger batch is worth a sentence where something lesser is offered; where nothing
// mends it, what blocks each rung.
void Weigh::offer(Desk& desk, std::string text) {
  const bool nothing_mends = ways_[offered_].rung == Rung::start_again;
  for (std::size_t i = 1; i < offered_; ++i) {
    const Way& way = ways_[i];
    if (way.works || way.blocked_by == "cook") continue;
    const bool same_as_next = i + 1 < offered_ && ways_[i + 1].why == way.why;
    if (way.rung == Rung::larger ? way.blocked_by != "band" : nothing_mends && !same_as_next) {
      text += " " + std::string(not_so(way.rung)) + ": " + way.why + ".";
    }
  }
  text += (ways_.front().works ? " Or say ok: " : " Say ok: ") + ways_[offered_].text + ".";
  if (first_that_works(ways_, offered_ + 1) < ways_.size()) text += another_way;
  desk.cue(over_.undecided ? "undecided" : "over", std::move(text), over_.ingredient,
           over_.excess_ug);
  desk.update_hold("critical limit", ends_when(desk));
}

std::optional<proto::Trouble> Weigh::refuses_no(const Desk& desk) const {
  if (!offers()) return Operation::refuses_no(desk);
  if (first_that_works(ways_, offered_ + 1) < ways_.size()) return std::nullopt;
  return proto::Trouble{"there is no other way", "", "take it out, or: maslin accept --reason"};
}

void Weigh::no(Desk& desk) {
  Way& refused = ways_[offered_];
  refused.works = false;
  refused.blocked_by = "cook";
  refused.why = "the cook wanted another way";
  offered_ = first_that_works(ways_, offered_ + 1);
  desk.ask_anew();
  offer(desk, "Another way.");
}

void Weigh::record_way(Desk& desk, std::size_t taken) const {
  const Way& way = ways_[taken];
  proto::WayOut record;
  record.ingredient = over_.ingredient;
  record.rung = name(way.rung);
  record.net_ug = over_.net_ug;
  record.over_ug = over_.excess_ug;
  if (way.plan) {
    record.factor = way.plan->factor;
    for (const auto& one : way.plan->top_ups) record.additions.push_back({one.name, one.add_ug});
  }
  for (std::size_t i = 0; i < taken; ++i) {
    if (ways_[i].works) continue;  // told too, and left alone
    record.refused.push_back({std::string(name(ways_[i].rung)), ways_[i].blocked_by, ways_[i].why});
  }
  desk.emit(std::move(record));
}

// Within its band after an over-pour: by taking out, or because the scale or an amendment said so.
void Weigh::record_taken_out(Desk& desk, std::int64_t net_ug) const {
  if (!ways_.empty() && over_.net_ug - net_ug > over_.interval_ug) record_way(desk, 0);
}

void Weigh::take_way(Desk& desk, ScaleDesk& scale) {
  const Way way = ways_[offered_];
  pressed_ = false;
  if (way.rung == Rung::start_again &&
      !desk.confirmed_twice("start again",
                            "This ends the batch. If it is to be started again, say ok again.")) {
    return;
  }
  record_way(desk, offered_);
  switch (way.rung) {
    case Rung::take_out:
      break;  // done by hand, never by a word
    case Rung::accept:
      accept(desk, over_.undecided ? "the scale cannot tell" : "not unsafe, left as offered");
      break;
    case Rung::top_up:
    case Rung::larger:
      make_anew(desk, scale, way);
      break;
    case Rung::refrigerator:
      for (const auto& ratio : desk.formula.ratios) {  // only critical on a shelf: not asked again
        if (ratio.holds_for(formula::Keeping::refrigerator)) continue;
        for (const auto& planned : desk.plan.ratios) {
          if (planned.of + " per " + planned.per == plan::title(ratio)) {
            desk.known_short[about(desk.plan, planned)] = {std::numeric_limits<std::int64_t>::min(),
                                                           true};
          }
        }
      }
      accept(desk, "kept for the refrigerator");
      break;
    case Rung::start_again:
      desk.gives_up = (over_.lies == Lies::mixed && current(desk).counts_as == curing_salt
                           ? "discarded, and started again after too much "
                           : "started again after too much ") +
                      over_.ingredient;
      break;
  }
}

// The plan is another one from here on; what it needs more of comes before what is still to come.
void Weigh::make_anew(Desk& desk, ScaleDesk& scale, const Way& way) {
  const std::string what = way.rung == Rung::larger ? larger_by(way.plan->factor) : "topped up";
  desk.plan = way.plan->plan;
  if (desk.told_yield_ml) desk.plan.yield_ml = *desk.told_yield_ml;
  desk.larger = true;
  top_ups_ = way.plan->top_ups;
  // What went in by measure is topped up by measure, though a scale could weigh all of it now.
  for (auto& one : desk.plan.ingredients) {
    const auto booked = desk.booked.find(one.name);
    if (booked == desk.booked.end() || booked->second.indications > 0) continue;
    one.check = "by measure";
    one.role.clear();
  }
  desk.emit(proto::PlanFinal{desk.plan, what + ", after too much " + over_.ingredient});
  desk.release("critical limit", way.rung == Rung::larger ? "a larger batch" : "topped up");
  desk.cue("plan_final", "The batch is " + what + ": " + plan_line(desk) +
                             (desk.plan.jars.empty() ? "." : "; " + desk.plan.jars + "."));
  const std::int64_t net_ug = scale.pan.net_ug().value_or(0);
  if (mending_) {
    (void)book_addition(desk, scale, net_ug);
    go_on_or_mend(desk);
    return;
  }
  const auto& ingredient = current(desk);
  const auto verdict = verdict_of(desk, scale, net_ug);
  if (verdict.verdict != "within") {
    // Not even for the batch made around it: told against the new plan, like any pour.
    forget_over();
    said_net_ug_ = 0;
    judge(desk, scale);
    return;
  }
  finish_ingredient(
      desk, weighing_of(desk, scale, net_ug), verdict,
      "Good: " + amount(net_ug, scale.interval_ug) + " " + ingredient.name + " is right for it.");
}

// Top-ups come before the ratios are asked: they are what keeps them.
std::optional<RatioShort> Weigh::next_mending(Desk& desk) {
  if (top_ups_.empty()) return first_short_ratio(desk);
  auto next = top_ups_.front();
  if (portioned_)
    next.add_ug = left_ug(desk, next.name) / static_cast<std::int64_t>(top_ups_.size());
  top_ups_.erase(top_ups_.begin());
  return RatioShort{
      .about = "batch", .ingredient = next.name, .add_ug = next.add_ug, .top_up = true};
}

// What is in has been amended: the top-ups that are left follow it, and what was already poured of
// the running one is in.
void Weigh::plan_top_ups_anew(Desk& desk) {
  if (mending_ && mending_->top_up && ways_.empty()) {
    const auto* scale = active(desk);
    const std::int64_t added_ug =
        scale == nullptr || by_measure(desk) ? 0 : scale->pan.net_ug().value_or(0);
    if (added_ug > 0) (void)book_addition(desk, *scale, added_ug);
    top_ups_.insert(top_ups_.begin(), {mending_->ingredient, mending_->add_ug, false});
  }
  if (portioned_) return;  // shared out anew when the next one is asked for
  std::erase_if(top_ups_, [&](plan::TopUp& one) {
    const auto* planned = desk.planned(one.name);
    if (planned->check != "weigh") return false;
    one.add_ug = left_ug(desk, one.name);
    return one.add_ug <= planned->aim_ug - planned->accept_lower_ug;
  });
}

// Judged as all that is in of it, like any weighing.
void Weigh::judge_top_up(Desk& desk, ScaleDesk& scale, std::int64_t net_ug) {
  auto weighing = weighing_of(desk, scale, net_ug);
  const auto verdict = with_addition(desk, scale, weighing);
  learn_stop(desk, net_ug, scale.pan.interval_ug());
  const std::int64_t missing = mending_->add_ug - net_ug;
  if (portioned_ && !top_ups_.empty() && missing <= net_ug / 20) {
    keep(desk, weighing, {});
    desk.emit(weighing);
    go_on_or_mend(desk);
    return;
  }
  if (verdict.verdict == "within") {
    record_taken_out(desk, weighing.net_ug);
    desk.release("critical limit", "weighed again");
    keep(desk, weighing, verdict);
    desk.emit(weighing);
    desk.emit(verdict);
    desk.cue("good",
             "Good: " + amount(weighing.net_ug, scale.interval_ug) + " " + mending_->ingredient +
                 " in all.",
             mending_->ingredient, weighing.net_ug);
    go_on_or_mend(desk);
    return;
  }
  stand_ = missing > 0 ? Stand::short_of : Stand::over;
  if (std::llabs(net_ug - said_net_ug_) <= scale.interval_ug) return;
  said_net_ug_ = net_ug;
  if (missing > 0) {
    said_ms_ = desk.now_ms;
    forget_over();
    begin_stop(desk, mending_->ingredient, mending_->add_ug);
    say_mending(desk, std::max(missing, scale.interval_ug));
    return;
  }
  desk.emit(weighing);
  desk.emit(verdict);
  say_over(desk, scale, weighing, verdict.verdict == "undecided");
}

void Weigh::accept_top_up(Desk& desk, const std::string& reason) {
  const auto* scale = active(desk);
  const std::int64_t added_ug =
      scale == nullptr || by_measure(desk) ? 0 : scale->pan.net_ug().value_or(0);
  const auto& ingredient = current(desk);
  std::int64_t in_ug = ingredient.nominal_ug;
  if (added_ug > 0) {
    in_ug = book_addition(desk, *scale, added_ug).net_ug;
  } else {
    for (const auto& mass : masses_in(desk)) {  // by measure counts as planned
      if (mass.name == ingredient.name) in_ug = mass.net_ug;
    }
  }
  const bool feared = in_ug > ingredient.aim_ug ? ingredient.unsafe_over : ingredient.unsafe_under;
  const bool outside = in_ug < ingredient.accept_lower_ug || in_ug > ingredient.accept_upper_ug;
  desk.emit(proto::Deviation{ingredient.name, outside && feared,
                             amount(in_ug, scale == nullptr ? 0 : scale->interval_ug) +
                                 " in all, not topped up as planned",
                             "accepted: " + reason});
  if (outside && feared) desk.limit_kept(ingredient.name, false);
  desk.release("critical limit", "accepted by the cook");
  go_on_or_mend(desk);
}

}  // namespace maslin::batch
