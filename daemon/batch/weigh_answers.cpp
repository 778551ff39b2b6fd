// The cook's words while something is weighed, and what there is to say when asked.
#include "daemon/batch/weigh.hpp"

#include <algorithm>

#include "daemon/batch/verdicts.hpp"
#include "daemon/batch/words.hpp"

namespace maslin::batch {
namespace {

// So much more than what mends a ratio is still shown as right (common practice, no source).
constexpr double mending_band = 0.05;

}  // namespace

std::optional<proto::Trouble> Weigh::refuses_ok(const Desk& desk) const {
  const auto* scale = active(desk);
  const bool lift = scale != nullptr && scale->pan.needs_lift();
  if (residue_ug_ > 0 && !lift) return std::nullopt;
  if (offers() && !lift) {
    if (scale != nullptr && offer_stands(*scale)) return std::nullopt;
    return proto::Trouble{"the scale is not at rest at what the offer was made for", "",
                          "wait until it is judged again, then say ok"};
  }
  if (mending_ && mending_->top_up && !lift) {
    if (by_measure(desk)) return std::nullopt;
    return proto::Trouble{"the batch needs more " + mending_->ingredient + " now", "",
                          "add it, or: maslin accept --reason \"...\""};
  }
  if (mending_ && !lift && is_weak(desk)) {
    return proto::Trouble{"the " + mending_->about + " does not hold with this bottle", "",
                          how_to_mend(desk, mending_->add_ug)};
  }
  if (mending_ && !lift) {
    return proto::Trouble{
        "the " + mending_->about + " does not hold", "",
        "add the " + mending_->ingredient + ", or: maslin accept --reason \"...\""};
  }
  if (done() || by_measure(desk)) return std::nullopt;
  if (lift) {
    if (!clear_said_) {
      return proto::Trouble{"the scale has a new zero", "",
                            "lift the vessel off, wait for the tone, put it back"};
    }
    if (scale->pan.detector().at_rest()) return std::nullopt;  // "everything is off"
    return proto::Trouble{"the scale is not at rest", "", "take everything off it, then say ok"};
  }
  if (scale != nullptr && !scale->pan.away() && !scale->pan.detector().at_rest()) {
    return proto::Trouble{"the scale is not at rest", "", "wait until it rests, then say ok"};
  }
  const auto& ingredient = current(desk);
  const auto net = scale == nullptr ? std::nullopt : scale->pan.net_ug();
  if (!net || *net <= 0) {
    return proto::Trouble{"nothing of the " + ingredient.name + " is weighed yet", "",
                          "weigh it; the tool goes on by itself"};
  }
  if (ingredient.lead) return lead_refused(desk, *net);
  if (both_asked_) return std::nullopt;
  if (stand_ == Stand::over || stand_ == Stand::undecided) {
    return proto::Trouble{"the " + ingredient.name + " is not inside its band", "",
                          "take some out, or: maslin accept --reason \"...\""};
  }
  if (ingredient.unsafe_under && *net < ingredient.accept_lower_ug) {
    return proto::Trouble{"the " + ingredient.name + " is short of its critical limit by " +
                              amount(ingredient.accept_lower_ug - *net, scale->interval_ug),
                          "", "add it, or: maslin accept --reason \"...\""};
  }
  return std::nullopt;
}

void Weigh::ok(Desk& desk) {
  if (done()) return;
  const auto& ingredient = current(desk);
  if (const auto* on = active(desk); residue_ug_ > 0 && on != nullptr && !on->pan.needs_lift()) {
    take_residue(desk, *on);
    return;
  }
  if (mending_ && by_measure(desk)) {
    desk.cue("good", capitalised(ingredient.name) + " by measure, noted.", ingredient.name);
    go_on_or_mend(desk);
    return;
  }
  if (by_measure(desk)) {
    proto::Weighing weighing;
    weighing.ingredient = ingredient.name;
    weighing.how = "by measure";
    weighing.indications = 0;
    proto::Verdict verdict{ingredient.name,     "undecided",         0, ingredient.aim_ug,
                           ingredient.lower_ug, ingredient.upper_ug, 0, ingredient.critical,
                           "by measure"};
    finish_ingredient(desk, weighing, verdict,
                      capitalised(ingredient.name) + " by measure, noted.");
    return;
  }
  auto* scale = active(desk);
  if (scale != nullptr && scale->pan.needs_lift()) {
    scale->pan.declare_empty();
    desk.cue("vessel", "Noted. Now put the vessel back.", ingredient.name);
    return;
  }
  const auto net = scale == nullptr ? std::nullopt : scale->pan.net_ug();
  if (!net) return;
  if (offers()) {
    take_way(desk, *scale);
    return;
  }
  if (both_asked_) {
    book_both(desk, *scale);
    return;
  }
  if (ingredient.lead) {
    finish_lead(desk, *scale);
    return;
  }
  const auto weighing = weighing_of(desk, *scale, *net);
  const auto verdict = verdict_of(desk, *scale, *net);
  if (verdict.verdict != "within") {
    desk.emit(
        proto::Deviation{ingredient.name, false,
                         amount(*net, scale->interval_ug) + ", " + verdict.verdict + " its band",
                         "left as it is by the cook"});
  }
  finish_ingredient(
      desk, weighing, verdict,
      capitalised(ingredient.name) + " left at " + amount(*net, scale->interval_ug) + ".");
}

std::optional<proto::Trouble> Weigh::refuses_accept(const Desk& desk) const {
  const auto* scale = active(desk);
  // No reason makes a nitrite limit another one.
  const bool cure = mending_ ? mending_->about.starts_with(curing_salt)
                             : !done() && current(desk).counts_as == curing_salt;
  if (cure) {
    return proto::Trouble{"curing salt is never accepted outside its limits", "",
                          "put it right, take what is offered, or discard it: maslin stop"};
  }
  if (mending_) {
    if (by_measure(desk) || scale == nullptr || scale->pan.away() ||
        scale->pan.detector().quiet()) {
      return std::nullopt;
    }
    return proto::Trouble{"the scale is not at rest", "", "wait until it rests, then accept"};
  }
  if (done() || by_measure(desk) || scale == nullptr || scale->pan.net_ug().value_or(0) <= 0 ||
      (stand_ != Stand::over && stand_ != Stand::undecided && stand_ != Stand::short_of)) {
    return proto::Trouble{"there is nothing to accept", "",
                          "accept is for an amount outside its band"};
  }
  if (!scale->pan.detector().quiet()) {
    return proto::Trouble{"the scale is not at rest", "", "wait until it rests, then accept"};
  }
  if (current(desk).lead) {
    return proto::Trouble{"the " + current(desk).name + " sets the size of the batch", "",
                          "take out what is too much, then say ok"};
  }
  return std::nullopt;
}

void Weigh::accept(Desk& desk, const std::string& reason) {
  if (mending_ && mending_->top_up) {
    accept_top_up(desk, reason);
    return;
  }
  if (mending_) {
    // What was added so far is in, whatever is decided.
    const auto* on = active(desk);
    const std::int64_t added_ug =
        on == nullptr || by_measure(desk) ? 0 : on->pan.net_ug().value_or(0);
    if (added_ug > 0) book_addition(desk, *on, added_ug);
    desk.emit(proto::Deviation{mending_->about, true, "beyond its limit or too near it",
                               "accepted: " + reason});
    desk.release("critical limit", "accepted by the cook");
    // What was added may not be all that was asked for, but it is never less than before.
    desk.known_short[mending_->about] = {mending_->margin_ug, true};
    desk.limit_kept(mending_->about, false);
    mending_.reset();
    go_on_or_mend(desk);
    return;
  }
  auto* scale = active(desk);
  const auto net = scale->pan.net_ug();
  const auto& ingredient = current(desk);
  const auto weighing = weighing_of(desk, *scale, *net);
  auto verdict = verdict_of(desk, *scale, *net);
  verdict.accepted = true;
  const bool feared = *net > ingredient.aim_ug ? ingredient.unsafe_over : ingredient.unsafe_under;
  const bool outside = *net < ingredient.accept_lower_ug || *net > ingredient.accept_upper_ug;
  const bool unsafe = outside && feared;
  desk.emit(proto::Deviation{ingredient.name, unsafe,
                             amount(*net, scale->interval_ug) + ", " + verdict.verdict,
                             "accepted: " + reason});
  desk.release("critical limit", "accepted by the cook");
  if (unsafe) desk.limit_kept(ingredient.name, false);
  finish_ingredient(desk, weighing, verdict,
                    capitalised(ingredient.name) + " accepted at " +
                        amount(*net, scale->interval_ug) + " of " +
                        amount(ingredient.aim_ug, scale->interval_ug) +
                        (unsafe ? "; the batch has left its critical limit." : "."));
}

// Also after a hold: what came to rest meanwhile is judged now.
void Weigh::say_again(Desk& desk) {
  if (done()) return;
  auto* scale = active(desk);
  if (scale == nullptr || by_measure(desk) || !scale->pan.needs_lift()) {
    announce(desk);
  } else {
    desk.cue("lift",
             "Still " + current(desk).name +
                 ": lift the vessel off, wait for the tone, put it back; the scale then knows what "
                 "is in.",
             current(desk).name);
  }
  if (scale != nullptr && !by_measure(desk) && !desk.paused && scale->pan.detector().quiet()) {
    judge(desk, *scale);
  }
}

bool Weigh::needs(const Desk& desk, proto::Role role) const {
  if (done() || by_measure(desk)) return false;
  const auto* scale = active(desk);
  return scale != nullptr && scale->role == role;
}

void Weigh::describe(const Desk& desk, proto::BatchStatus& status) const {
  if (done()) return;
  const auto& ingredient = current(desk);
  status.ingredient = ingredient.name;
  if (offers()) status.offer = ways_[offered_].text;
  // While a ratio is mended, what is weighed is the addition: at least so much of it.
  if (mending_ && by_measure(desk)) {
    status.by_measure = so_much(desk, mending_->add_ug, "more " + mending_->ingredient);
  }
  const double add_g = mending_ ? static_cast<double>(mending_->add_ug) / 1e6 : 0;
  status.aim_g = mending_ ? add_g : static_cast<double>(ingredient.aim_ug) / 1e6;
  status.lower_g = mending_ ? add_g : static_cast<double>(ingredient.lower_ug) / 1e6;
  status.upper_g =
      mending_ ? add_g * (1 + mending_band) : static_cast<double>(ingredient.upper_ug) / 1e6;
  if (mending_ && mending_->top_up && !by_measure(desk)) {
    // All that is in of it is judged: what is left of its band for the addition.
    double in_g = 0;
    for (const auto& done : desk.done) {
      if (done.mass.name == ingredient.name) in_g = static_cast<double>(done.mass.net_ug) / 1e6;
    }
    status.lower_g = std::max(0.0, static_cast<double>(ingredient.accept_lower_ug) / 1e6 - in_g);
    status.upper_g = static_cast<double>(ingredient.accept_upper_ug) / 1e6 - in_g;
  }
  if (at_ + 1 < names_.size()) status.next = "weigh " + names_[at_ + 1];
  if (const auto* scale = active(desk)) {
    status.at_rest = scale->pan.detector().at_rest();
    status.verdict = as_it_stands(desk, *scale);
    if (const auto net = scale->pan.live_net_ug()) status.net_g = static_cast<double>(*net) / 1e6;
  }
}

}  // namespace maslin::batch
