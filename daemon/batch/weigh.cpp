// One ingredient after the other. What a pan shows is judged when it is quiet; every way of working
// ends in finish_ingredient, which books the weighing and calls for the next.
#include "daemon/batch/weigh.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <utility>

#include "daemon/batch/verdicts.hpp"
#include "daemon/batch/words.hpp"

namespace maslin::batch {
namespace {

// An ingredient of fewer intervals than this is better weighed alone (common practice, no source).
constexpr std::int64_t small_intervals = 50;
// Asked to lift the vessel, a cook has done so by then; else the pan must be cleared (common
// practice, no source).
constexpr std::int64_t lifts_within_ms = 30'000;
// A scale that shows nothing for so long after "more" is asked about (common practice, no source).
constexpr std::int64_t answers_within_ms = 40'000;
// By then a hand has stopped and the display shows it; a pour that runs on is told again (common
// practice, no source).
constexpr std::int64_t stops_within_ms = 2000;
constexpr const char* stop_delay = "stop delay";
// Beyond that the vessels are forgotten first.
constexpr std::size_t most_learned = 500;

}  // namespace

Weigh::Weigh(const Desk& desk, int index)
    : Operation(index),
      names_(planned(desk).ingredients),
      stop_(desk.start.settings.scale_lag_s + desk.start.settings.cue_delay_s +
            desk.start.settings.reaction_s) {
  for (const auto& one : desk.learned) {
    if (one.what != stop_delay) continue;
    stop_.know({one.by, one.of, one.vessel_ug},
               {static_cast<double>(one.value_ms) / 1000, static_cast<double>(one.spread_ms) / 1000,
                static_cast<int>(one.times)});
  }
}

// What this pour has taught about the cook's stop is known from now on, in later batches too.
void Weigh::learn_stop(Desk& desk, std::int64_t net_ug, std::int64_t interval_ug) {
  if (!stop_.ended(net_ug, interval_ug)) return;
  std::erase_if(desk.learned, [](const auto& one) { return one.what == stop_delay; });
  for (const auto& [key, delay] : stop_.learned()) {
    desk.learned.push_back({stop_delay, key.ingredient, std::llround(delay.delay_s * 1000),
                            std::llround(delay.spread_s * 1000), delay.pours, key.cook,
                            key.vessel_ug, 0});
  }
  while (desk.learned.size() > most_learned) {
    const auto of_a_vessel = std::find_if(desk.learned.begin(), desk.learned.end(),
                                          [](const auto& one) { return one.vessel_ug > 0; });
    if (of_a_vessel == desk.learned.end()) break;
    desk.learned.erase(of_a_vessel);
  }
}

// Until where this ingredient is poured; 0: the cook decides.
std::int64_t Weigh::aim_of_pour(const Desk& desk) const {
  if (mending_) return mending_->add_ug;
  if (current(desk).lead) return 0;
  const std::int64_t portion = portion_ug(desk);
  return portion > 0 ? portion : current(desk).aim_ug;
}

void Weigh::begin_stop(const Desk& desk, const std::string& ingredient, std::int64_t aim_ug) {
  stop_.begin({desk.start.facts.cook, ingredient, vessel_ug_}, aim_ug);
}

const proto::PlannedIngredient& Weigh::current(const Desk& desk) const {
  return *desk.planned(mending_ ? mending_->ingredient : names_[std::min(at_, names_.size() - 1)]);
}

ScaleDesk* Weigh::active(Desk& desk) const {
  for (auto& scale : desk.scales) {
    if (scale.device == active_device_) return &scale;
  }
  return nullptr;
}

const ScaleDesk* Weigh::active(const Desk& desk) const { return active(const_cast<Desk&>(desk)); }

void Weigh::begin(Desk& desk) {
  if (!desk.more.empty()) {
    top_ups_ = std::exchange(desk.more, {});
    goes_on_with_ = desk.more_for;
    at_ = names_.size();
    desk.emit(proto::PhaseBegan{index(), "weigh", "", planned(desk).text});
    go_on_or_mend(desk);
    return;
  }
  if (!planned(desk).caution.empty()) desk.cue("caution", planned(desk).caution);
  if (names_.empty()) {
    finish();
    return;
  }
  begin_ingredient(desk);
}

void Weigh::begin_ingredient(Desk& desk) {
  const auto& ingredient = current(desk);
  desk.ask_anew();
  stand_ = Stand::waiting;
  said_net_ug_ = 0;
  forget_over();
  stuck_said_ = both_asked_ = false;
  residue_ug_ = 0;
  lead_asked_ = false;
  for (auto& scale : desk.scales) {
    scale.pan.begin_ingredient(ingredient.lead ? 0 : ingredient.aim_ug);
    if (proto::name(scale.role) == ingredient.role) active_device_ = scale.device;
  }
  if (active(desk) == nullptr && !desk.scales.empty()) active_device_ = desk.scales.front().device;
  begin_stop(desk, ingredient.name, aim_of_pour(desk));
  desk.emit(proto::PhaseBegan{index(), "weigh", ingredient.name, planned(desk).text});
  announce(desk);
}

void Weigh::announce(Desk& desk) {
  if (offers()) {
    offer(desk, capitalised(over_.ingredient) + " is still over.");
    return;
  }
  if (mending_) {
    say_mending(desk, mending_->add_ug);
    return;
  }
  const auto& ingredient = current(desk);
  if (by_measure(desk)) {
    desk.cue("by_measure",
             capitalised(ingredient.name) + " by measure: " + ingredient.amount + "." +
                 (ingredient.reason.empty() ? "" : " " + capitalised(ingredient.reason) + ".") +
                 " Say ok when it is in.",
             ingredient.name);
    return;
  }
  const auto* scale = active(desk);
  const std::int64_t interval = scale == nullptr ? 0 : scale->interval_ug;
  std::string text = ingredient.lead
                         ? "All the " + ingredient.name + ", " + ingredient.basis + ", " +
                               about_so_much(desk.plan, ingredient, interval) + "."
                         : capitalised(ingredient_line(desk.plan, ingredient, interval)) + ".";
  if (const std::int64_t portion = portion_ug(desk); portion > 0) {
    text += portions_text(desk, portion);
  }
  if (scale != nullptr && !scale->pan.has_tare()) {
    text += " Put its vessel on the scale.";
  } else if (!ingredient.lead && ingredient.aim_ug < small_intervals * interval) {
    text += " Better into a small vessel of its own.";
  }
  desk.cue("weigh", std::move(text), ingredient.name, ingredient.aim_ug);
}

void Weigh::scale_changed(Desk& desk, ScaleDesk& scale, const weighing::PanChange& change) {
  if (done()) {
    if (change.settling == weighing::Settling::quiet && before_ &&
        scale.device == before_->device) {
      if (const auto moved = scale.pan.change_ug()) take_late_spoonful(desk, scale, *moved);
    }
    return;
  }
  const bool new_load = change.vessel_on || change.settling == weighing::Settling::departed;
  if (new_load && scale.device != active_device_) {
    active_device_ = scale.device;  // the batch follows whichever scale the cook uses
  }
  if (scale.device != active_device_) return;
  say_trouble(desk, change);
  if (change.new_epoch) say_zero(desk, scale);
  if (desk.paused || by_measure(desk)) return;
  const auto& ingredient = current(desk);
  // Whoever pours, lifts or brings another vessel has answered nothing.
  if (new_load || change.lifted) residue_ug_ = 0;
  if (change.vessel_on) {
    if (!scale.pan.mixed()) vessel_ug_ = scale.pan.gross_ug();
    // What the scale can carry at once is known only with the vessel.
    const std::int64_t portion = portion_ug(desk);
    begin_stop(desk, ingredient.name, aim_of_pour(desk));
    // The cook hears what was taken: a vessel that was not empty is noticed by its mass.
    desk.cue("vessel_seen",
             (scale.pan.mixed() ? "The bowl with what is in it, " : "The empty vessel, ") +
                 amount(scale.pan.gross_ug(), scale.interval_ug) + ", is the tare. " +
                 (mending_ ? capitalised(so_much(desk, mending_->add_ug, "more " + ingredient.name))
                  : ingredient.lead
                      ? "Now the " + ingredient.name
                      : capitalised(ingredient_line(desk.plan, ingredient, scale.interval_ug))) +
                 "." + (portion > 0 ? portions_text(desk, portion) : ""),
             ingredient.name, mending_ ? mending_->add_ug : ingredient.aim_ug);
    if (change.stuck_ug > 0) ask_residue(desk, scale, change.stuck_ug);
  }
  if (change.lifted && ingredient.lead && !scale.pan.needs_lift() && lead_asked_) {
    finish_lead(desk, scale);
    return;
  }
  if (change.lifted && scale.pan.needs_lift()) {
    desk.cue("vessel", "Now put it back.", ingredient.name);
  }
  if (change.under_zero && scale.pan.needs_lift() && !zero_key_asked_) {
    zero_key_asked_ = true;
    desk.cue("vessel",
             "The scale shows nothing below zero. Pan empty: press its zero key, then put the "
             "vessel back.",
             ingredient.name);
  }
  if (scale.pan.needs_lift() && !clear_said_ && desk.now_ms - lift_said_ms_ > lifts_within_ms) {
    clear_said_ = true;
    desk.cue("clear", "Still not known what is in. Take everything off the scale, then say ok.",
             ingredient.name);
  }
  if (change.resolved) {
    zero_key_asked_ = false;
    desk.cue("scale_back",
             "The scale knows again what is in: " +
                 amount(scale.pan.net_ug().value_or(0), scale.interval_ug) + " " + ingredient.name +
                 ".",
             ingredient.name);
    if (offers()) offer(desk, "It is still over.");
  }
  if (change.move && take_back(desk, scale, *change.move)) return;
  if (pressed_ && offers() && offer_stands(scale)) {
    desk.emit(proto::Condition{"ok", "by a press of the scale", 0});
    desk.voice.acted();
    take_way(desk, scale);
    return;
  }
  if (change.settling == weighing::Settling::departed) stand_ = Stand::pouring;
  if (change.settling == weighing::Settling::quiet) {
    judge(desk, scale);
  } else if (!scale.pan.detector().at_rest()) {
    follow_pour(desk, scale);
  }
  if (!done() && scale.device == active_device_) {
    // A live figure only where the display would change.
    const auto net = scale.pan.live_net_ug();
    const bool at_rest = scale.pan.detector().at_rest();
    if (net && (*net != said_live_ug_ || at_rest != said_at_rest_)) {
      said_live_ug_ = *net;
      said_at_rest_ = at_rest;
      desk.emit(proto::Progress{current(desk).name, *net, at_rest, desk.pan_mk().value_or(0),
                                as_it_stands(desk, scale)});
    }
  }
}

// How what lies in the vessel at rest would be judged if it stayed so.
std::string Weigh::as_it_stands(const Desk& desk, const ScaleDesk& scale) const {
  const auto net = scale.pan.net_ug();
  if (!net || *net <= 0 || mending_ || current(desk).lead || scale.pan.away() ||
      !scale.pan.detector().at_rest() || scale.pan.how() == weighing::How::nothing_yet) {
    return "";
  }
  return verdict_of(desk, scale, *net).verdict;
}

void Weigh::say_trouble(Desk& desk, const weighing::PanChange& change) {
  const std::string& name = current(desk).name;
  if (change.over)
    desk.cue("scale_over", "More lies on the scale than it can weigh: take something off.", name);
  if (change.fault) {
    desk.cue("scale_fault",
             "The scale reports a fault. Switch it off and on, or change its battery.", name);
  }
  if (change.slides) {
    desk.cue("scale_slides",
             "The reading slides by itself and is not counted: heat, steam, a draught? What is "
             "trickled in has to come in one go.",
             name);
  }
  // Told to add and nothing moves: still load with identical readings is normal, so this only asks.
  if (stand_ == Stand::short_of && said_net_ug_ != 0 && !current(desk).lead && !stuck_said_ &&
      desk.now_ms - said_ms_ > answers_within_ms) {
    stuck_said_ = true;
    desk.cue(
        "scale_stuck",
        "The scale has not moved since. If something was added, lift the vessel and put it back.",
        name);
  }
}

void Weigh::follow_pour(Desk& desk, ScaleDesk& scale) {
  if (offers()) return;  // told already; what moves now is a spoon, or a hand that presses
  const auto net = scale.pan.live_net_ug();
  if (!net) return;
  const auto& ingredient = current(desk);
  const double flow_ug_s = scale.pan.detector().flow_ug_s();
  const auto say_stop = [&] {
    stop_said_ms_ = desk.now_ms;
    desk.cue("stop", "Stop.", ingredient.name);
  };
  if (stop_.runs_on(flow_ug_s) && desk.now_ms - stop_said_ms_ >= stops_within_ms) say_stop();
  switch (stop_.feed(*net, flow_ug_s)) {
    case weighing::StopCue::slow:
      desk.cue("slow", "Slow.", ingredient.name);
      break;
    case weighing::StopCue::stop:
      say_stop();
      break;
    case weighing::StopCue::none:
      break;
  }
}

proto::Weighing Weigh::weighing_of(const Desk& desk, const ScaleDesk& scale,
                                   std::int64_t net_ug) const {
  const auto& pan = scale.pan;
  proto::Weighing weighing;
  weighing.ingredient = current(desk).name;
  weighing.net_ug = net_ug;
  take_uncertainty(weighing, budget(desk, scale, net_ug));
  weighing.how = pan.how_text();
  weighing.device = scale.device;
  weighing.epoch = pan.epoch();
  weighing.from_reading = pan.tare_reading();
  weighing.to_reading = desk.reading;
  return weighing;
}

weighing::NetBudget Weigh::budget(const Desk& desk, const ScaleDesk& scale,
                                  std::int64_t net_ug) const {
  auto budget = budget_of(net_ug, scale);
  budget.sticking_g = static_cast<double>(sticks_ug(desk, current(desk).name)) / 1e6;
  return budget;
}

proto::Verdict Weigh::verdict_of(const Desk& desk, const ScaleDesk& scale,
                                 std::int64_t net_ug) const {
  return batch::judge(current(desk), net_ug, budget(desk, scale, net_ug));
}

void Weigh::judge(Desk& desk, ScaleDesk& scale) {
  const auto net = scale.pan.net_ug();
  if (!net || scale.pan.away()) return;
  const auto& ingredient = current(desk);
  if (scale.pan.how() == weighing::How::nothing_yet) return;
  if (mending_) {
    judge_mending(desk, scale, *net);
    return;
  }
  if (take_late_spoonful(desk, scale, *scale.pan.change_ug())) return;
  if (*net < 0) {
    say_missing(desk, scale, -*net);
    return;
  }
  if (ingredient.lead) {
    judge_lead(desk, scale, *net);
    return;
  }
  const auto weighing = weighing_of(desk, scale, *net);
  const auto verdict = verdict_of(desk, scale, *net);
  learn_stop(desk, *net, scale.pan.interval_ug());
  if (verdict.verdict == "within") {
    record_taken_out(desk, *net);
    desk.release("critical limit", "weighed again");
    finish_ingredient(desk, weighing, verdict,
                      "Good: " + amount(*net, scale.interval_ug) + " " + ingredient.name + ".");
    return;
  }
  if (take_portion(desk, weighing)) return;
  const bool low = *net < ingredient.aim_ug;
  if (low) {
    stand_ = Stand::short_of;
    both_asked_ = false;
    forget_over();
    if (std::llabs(*net - said_net_ug_) <= scale.interval_ug) return;
    said_net_ug_ = *net;
    said_ms_ = desk.now_ms;
    const std::int64_t portion = portion_ug(desk);
    const std::int64_t aim = portion > 0 ? portion : ingredient.aim_ug;
    const std::int64_t missing = std::max(aim - *net, scale.interval_ug);
    begin_stop(desk, ingredient.name, aim);
    desk.cue("more",
             capitalised(amount_of(desk.plan, ingredient, missing, scale.interval_ug,
                                   "more " + ingredient.name)) +
                 "; " + amount(*net, scale.interval_ug) + " is in.",
             ingredient.name, missing);
    return;
  }
  if (std::llabs(*net - said_net_ug_) > scale.interval_ug && take_both(desk, scale, weighing))
    return;
  if (both_asked_) return;
  const bool undecided = verdict.verdict == "undecided";
  stand_ = undecided ? Stand::undecided : Stand::over;
  if (std::llabs(*net - said_net_ug_) <= scale.interval_ug) return;
  said_net_ug_ = *net;
  desk.emit(weighing);
  desk.emit(verdict);
  say_over(desk, scale, weighing, undecided);
}

// Less lies in the bowl than was weighed into it. Nobody can tell of which ingredient.
void Weigh::say_missing(Desk& desk, const ScaleDesk& scale, std::int64_t missing_ug) {
  stand_ = Stand::waiting;
  if (std::llabs(-missing_ug - said_net_ug_) <= scale.interval_ug) return;
  said_net_ug_ = -missing_ug;
  desk.cue(
      "undecided",
      amount(missing_ug, scale.interval_ug) +
          " was taken out of what had been weighed. Put it back; if you cannot, stop the batch.",
      current(desk).name);
}

void Weigh::judge_lead(Desk& desk, ScaleDesk& scale, std::int64_t net_ug) {
  const auto& ingredient = current(desk);
  if (net_ug <= 2 * scale.pan.interval_ug()) return;  // the end of the display's lag
  stand_ = Stand::short_of;
  if (lead_asked_ && std::llabs(net_ug - said_net_ug_) <= scale.interval_ug) return;
  lead_asked_ = true;
  said_net_ug_ = net_ug;
  if (const auto refused = lead_refused(desk, net_ug)) {
    stand_ = Stand::over;
    desk.cue("over", capitalised(refused->what) + ". " + capitalised(refused->todo) + ".",
             ingredient.name, net_ug);
    return;
  }
  desk.cue("more",
           amount(net_ug, scale.interval_ug) + " " + ingredient.name +
               " so far. If that is all, lift the vessel or say ok.",
           ingredient.name);
}

void Weigh::finish_lead(Desk& desk, ScaleDesk& scale) {
  const auto net = scale.pan.net_ug();
  if (!net || *net <= 0 || lead_refused(desk, *net)) return;
  const auto weighing = weighing_of(desk, scale, *net);
  make_final(desk, *net);
  auto verdict = verdict_of(desk, scale, *net);
  verdict.verdict = "within";  // it is the size of the batch by definition
  verdict.rule = "sets the size";
  const std::string text =
      "Good: " + amount(*net, scale.interval_ug) + " " + weighing.ingredient + ".";
  desk.cue("plan_final", "The plan is final: " + plan_line(desk) + ".");
  finish_ingredient(desk, weighing, verdict, text);
}

void Weigh::finish_ingredient(Desk& desk, const proto::Weighing& weighing,
                              const proto::Verdict& verdict, std::string cue_text) {
  keep(desk, weighing, verdict);
  if (verdict.verdict == "within") desk.limit_kept(weighing.ingredient, true);
  desk.emit(weighing);
  desk.emit(verdict);
  desk.cue("good", std::move(cue_text), weighing.ingredient, weighing.net_ug);
  before_.reset();
  if (weighing.device >= 0) {
    before_ = Before{weighing.ingredient, weighing.net_ug, desk.now_ms,
                     static_cast<std::uint16_t>(weighing.device), weighing};
  }
  ++at_;
  go_on_or_mend(desk);
}

void Weigh::say_zero(Desk& desk, ScaleDesk& scale) {
  desk.emit(proto::ZeroEpoch{scale.device, scale.pan.epoch(), std::string(scale.pan.why())});
  if (scale.pan.needs_lift()) {
    lift_said_ms_ = desk.now_ms;
    clear_said_ = false;
    desk.cue("lift",
             "The scale has a new zero. Lift the vessel off, wait for the tone, put it back.",
             current(desk).name);
  } else {
    desk.cue("new_zero", "The scale has a new zero; it is taken from here on.");
  }
}

void Weigh::unwatched_scale(Desk& desk, ScaleDesk& scale) {
  if (!done() && !scale.lost && scale.device == active_device_) say_zero(desk, scale);
}

}  // namespace maslin::batch
