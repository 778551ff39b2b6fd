// The stages of drying, what the cook answers, and what comes by the clock; see dry.hpp.
#include "daemon/batch/dry.hpp"

#include <algorithm>
#include <utility>

#include "daemon/batch/words.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {
namespace {

constexpr std::int64_t hour_ms = 3'600'000;
// Taken up again after conditioning: so much drier than before (common practice, no source).
constexpr double drier_again = 0.96;
// Called for, trays are brought within this time (common practice, no source).
constexpr std::int64_t brought_within_ms = hour_ms;
constexpr const char* cool_and_bare = "each tray cool, with what it was weighed with and no more";
constexpr const char* each_piece = "each piece with the string or hook it was weighed with";

}  // namespace

void Dry::begin(Desk& desk) {
  const auto& operation = planned(desk);
  desk.emit(proto::PhaseBegan{index(), operation.kind, "", operation.text});
  if (!operation.caution.empty()) desk.cue("caution", operation.caution);
  began_ms_ = desk.now_ms;
  place_.begin(desk, index(), Place::For::drying, 0);
  if (desk.room_mk()) place_.changed(desk);
  if (desk.scales.empty()) {
    stage_ = Stage::by_eye;
    late_ms_ = desk.now_ms + operation.longest_ms;
  } else if (desk.to_weight && desk.to_weight->begun()) {
    again_ = true;
    desk.to_weight->lower(drier_again);
    desk.to_weight->loads_ug.clear();
    stage_ = Stage::drying;
    late_ms_ = desk.now_ms + operation.longest_ms;
    call_next(desk, every_ms(desk));
  } else {
    desk.to_weight.emplace(operation.left_ppm, operation.water_ppm);
    if (operation.hung) stage_ = Stage::pieces;
  }
  say_again(desk);
}

void Dry::room_changed(Desk& desk) {
  if (done()) return;
  place_.changed(desk);
  end_if_quiet(desk);
}

bool Dry::weighs_in(const Desk& desk, const ScaleDesk& one) const {
  return stage_ != Stage::by_eye && &one == scale(desk);
}

// "the tray", "4 trays", "2 pieces"
std::string Dry::loads_word(const Desk& desk, std::size_t count) const {
  const std::string one = hung(desk) ? "piece" : "tray";
  return count == 1 ? "the " + one : std::to_string(count) + " " + one + "s";
}

const ScaleDesk* Dry::scale(const Desk& desk) const {
  for (const auto& one : desk.scales) {
    if (one.role == proto::Role::bench) return &one;
  }
  return desk.scales.empty() ? nullptr : &desk.scales.front();
}

void Dry::say_again(Desk& desk) {
  if (place_.say_again(desk)) return;
  const std::string& text = planned(desk).text;
  switch (stage_) {
    case Stage::by_eye:
      desk.cue("step", text + " Say ok when it is dry.");
      break;
    case Stage::empties:
      desk.cue(
          "weigh_in",
          "First the empty trays, with the paper or mesh that stays on them: each on the scale "
          "until the tone, one after the other. Then say ok.");
      break;
    case Stage::loading:
      desk.cue("weigh_in", text + " But first each loaded tray on the scale until the tone.");
      break;
    case Stage::pieces:
      desk.cue("weigh_in", text +
                               " But first each piece on the scale until the tone, with its string "
                               "or hook, one after the other. Then say ok.");
      break;
    case Stage::drying: {
      const auto* weight = scale(desk);
      desk.cue("step",
               (again_ ? "Back on the trays and into the drier. " : text + " ") + "Dry at " +
                   amount(desk.to_weight->target_ug(), weight->interval_ug) + "." +
                   (call_ms_ ? " The next weigh-in " +
                                   quantity::about_when(*call_ms_ + desk.local_less_ms,
                                                        desk.now_ms + desk.local_less_ms) +
                                   ", or whenever you like."
                             : ""),
               "", 0, Desk::not_asked);
      break;
    }
  }
}

// A hand on a tray is no answer.
bool Dry::take_press(Desk&) { return stage_ != Stage::by_eye && loads_.on(); }

void Dry::ok(Desk& desk) {
  if (place_.asks()) {
    place_.ok(desk);
    hold_late(desk);
    end_if_quiet(desk);
    return;
  }
  switch (stage_) {
    case Stage::by_eye:
      if (late_) {
        give_up(desk);
      } else {
        end(desk, "seen by the cook");
      }
      return;
    case Stage::empties: {
      if (loads_.taken().empty()) {
        if (desk.confirmed_twice("no trays",
                                 "No empty tray was weighed yet: put each on the scale until the "
                                 "tone. To dry by the eye instead, say ok again.")) {
          by_the_eye(desk);
        }
        return;
      }
      auto& account = *desk.to_weight;
      for (const auto& one : loads_.taken()) account.empties_ug.push_back(one.gross_ug);
      desk.emit(proto::Condition{"empty trays: " + std::to_string(account.empties_ug.size()) +
                                     ", " + amount(account.empty_ug(), scale(desk)->interval_ug),
                                 "measured", 0});
      loads_.begin();
      stage_ = Stage::loading;
      desk.ask_anew();
      say_again(desk);
      return;
    }
    case Stage::pieces: {
      const std::size_t pieces = loads_.taken().size();
      if (pieces == 0) {
        if (desk.confirmed_twice("no pieces",
                                 "No piece was weighed yet: put each on the scale until the tone. "
                                 "To dry by the eye instead, say ok again.")) {
          by_the_eye(desk);
        }
        return;
      }
      // A piece is its own load, with nothing empty under it.
      desk.to_weight->empties_ug.assign(pieces, 0);
      const auto weighed = weigh(desk, *scale(desk));
      loads_.begin();
      desk.ask_anew();
      if (!desk.jars.are_jars()) {
        desk.jars.recount(desk, static_cast<std::int64_t>(pieces), "the scale");
      }
      loaded(desk, weighed);
      return;
    }
    case Stage::loading:
      if (desk.confirmed_twice(
              "trays not loaded",
              "The loaded trays are not all weighed, " + std::to_string(seen(desk)) + " of " +
                  std::to_string(desk.to_weight->empties_ug.size()) +
                  ": put each on the scale until the tone, also one that stays empty. To dry by "
                  "the eye instead, say ok again.")) {
        by_the_eye(desk);
      }
      return;
    case Stage::drying:
      break;
  }
  const Asks asked = std::exchange(asks_, Asks::nothing);
  if (asked == Asks::missing) {
    go_without(desk);
  } else if (asked == Asks::lighter) {
    auto weighed = *std::exchange(doubted_, std::nullopt);
    desk.emit(
        proto::Condition{amount(weighed.less_ug, scale(desk)->interval_ug) + " taken out as food",
                         "seen by the cook", 0});
    take_out(desk, weighed);
    count(desk, weighed);
  } else if (asked == Asks::heavier) {
    const auto weighed = *std::exchange(doubted_, std::nullopt);
    desk.emit(proto::Condition{"the weigh-in before was too light", "seen by the cook", 0});
    desk.to_weight->strike_lighter(weighed.net_ug);
    count(desk, weighed);
  } else if (asked == Asks::empty) {
    desk.release("critical limit", "the cook");
    desk.jars.put(desk, {desk.jars.all(), "not there", "all of it was taken out as food", ""});
    desk.gives_up = "all of it was taken out before it was dry";
  } else if (late_) {
    give_up(desk);
  } else if (dry_since_ms_) {
    end(desk, "measured, and cool as the cook says");
  } else {
    const auto& account = *desk.to_weight;
    const std::int64_t interval = scale(desk)->interval_ug;
    const std::string stands = amount(account.last().net_ug, interval) + ", dry at " +
                               amount(account.target_ug(), interval);
    if (!desk.confirmed_twice("dry", "By the last weigh-in it is not dry: " + stands +
                                         ". To end it all the same, say ok again.")) {
      return;
    }
    desk.emit(proto::Deviation{"drying", false, "ended at " + stands, "by the cook's eye"});
    end(desk, "seen by the cook");
  }
}

// Without weigh-ins; its longest time counts from when the step began.
void Dry::by_the_eye(Desk& desk) {
  stage_ = Stage::by_eye;
  loads_.begin();
  asks_ = Asks::nothing;
  missing_ms_.reset();
  forget_ms_.reset();
  desk.to_weight.reset();
  late_ms_ = began_ms_ + planned(desk).longest_ms;
  desk.emit(proto::Deviation{"drying", false, "not weighed", "dried by the cook's eye"});
  desk.ask_anew();
  say_again(desk);
}

std::optional<proto::Trouble> Dry::refuses_no(const Desk& desk) const {
  if (place_.asks()) return place_.takes_no() ? std::nullopt : Operation::refuses_no(desk);
  if (asks_ != Asks::nothing && asks_ != Asks::missing) return std::nullopt;
  return Operation::refuses_no(desk);
}

// What was not believed and is not explained is weighed once more; the second time it counts.
void Dry::no(Desk& desk) {
  if (place_.asks()) {
    place_.no(desk);
    hold_late(desk);
    end_if_quiet(desk);
    return;
  }
  const Asks asked = std::exchange(asks_, Asks::nothing);
  const auto weighed = std::exchange(doubted_, std::nullopt);
  if (asked == Asks::lighter && denied_ && weighed) {
    desk.emit(proto::Deviation{
        "drying", false,
        amount(weighed->less_ug, scale(desk)->interval_ug) + " lighter than drying makes it",
        "weighed twice; the cook says that nothing was taken out"});
    count(desk, *weighed);
    return;
  }
  denied_ = asked == Asks::lighter;
  called_ms_ = desk.now_ms;
  desk.cue("weigh_in", "Then that weighing does not count. Weigh all of it once more, " +
                           std::string(hung(desk) ? each_piece : cool_and_bare) + ".");
}

std::optional<proto::Trouble> Dry::refuses_accept(const Desk& desk) const {
  if (late_ || place_.takes_accept()) return std::nullopt;
  return Operation::refuses_accept(desk);
}

void Dry::accept(Desk& desk, const std::string& reason) {
  if (place_.takes_accept()) {
    place_.accept(desk, reason);
    hold_late(desk);
    end_if_quiet(desk);
    return;
  }
  late_ = false;
  desk.emit(proto::Deviation{"drying time", true, "dried on after its longest time", reason});
  desk.release("critical limit", "the cook");
  say_again(desk);
}

std::optional<proto::Trouble> Dry::refuses_eaten(const Desk& desk, std::int64_t mass_ug) const {
  if (stage_ != Stage::drying) {
    return proto::Trouble{"nothing dries by weight yet", "",
                          "it is told once the loaded trays are weighed"};
  }
  if (mass_ug <= 0 || mass_ug + eaten_ug_ >= desk.to_weight->last().net_ug) {
    return proto::Trouble{"that is not what can be gone of " +
                              amount(desk.to_weight->last().net_ug, scale(desk)->interval_ug),
                          "amount", "give what was taken away as it was, such as \"30 g\""};
  }
  return std::nullopt;
}

void Dry::eaten(Desk& desk, std::int64_t mass_ug) {
  eaten_ug_ += mass_ug;
  const std::string grams = amount(mass_ug, scale(desk)->interval_ug);
  desk.emit(proto::Condition{grams + " taken out as food", "told by the cook", 0});
  desk.advice.push_back(grams +
                        " counts as food, not as water: at the next weigh-in the target "
                        "goes down with it.");
}

// What was weighed in turns out to have been another amount.
void Dry::amended(Desk& desk) {
  place_.amended(desk);
  if (desk.to_weight && desk.to_weight->begun() && booked_ug(desk) > 0) {
    desk.to_weight->amend(std::min(desk.to_weight->loaded_ug(), booked_ug(desk)));
  }
}

// The loads so far are no weigh-in: some may have come or gone meanwhile.
void Dry::unwatched(Desk& desk) {
  place_.unwatched(desk);
  asks_ = Asks::nothing;
  doubted_.reset();
  missing_ms_.reset();
  forget_ms_.reset();
  if (stage_ != Stage::empties && stage_ != Stage::pieces) loads_.begin();
  loads_.unwatched();
}

void Dry::unwatched_scale(Desk& desk, ScaleDesk& one) {
  if (&one == scale(desk)) loads_.unwatched();
}

// Somebody stands by the scale with trays.
bool Dry::awaited(const Desk& desk) const {
  return stage_ != Stage::drying || loads_.taken().size() > 1 ||
         (called_ms_ > 0 && desk.now_ms - called_ms_ <= brought_within_ms);
}

void Dry::ask(Desk& desk, Asks what, const char* cue, std::string text) {
  asks_ = what;
  desk.ask_anew();
  desk.cue(cue, std::move(text));
}

void Dry::call_next(Desk& desk, std::int64_t in_ms) { call_ms_ = desk.waking(desk.now_ms + in_ms); }

void Dry::time_passed(Desk& desk) {
  if (done()) return;
  const auto due = [&](std::optional<std::int64_t>& at_ms) {
    if (!at_ms || desk.now_ms < *at_ms) return false;
    at_ms.reset();
    return true;
  };
  if (due(forget_ms_)) {
    loads_.begin();
    if (asks_ == Asks::missing) {
      asks_ = Asks::nothing;
      call_next(desk, hour_ms);
    }
    if (stage_ == Stage::loading) say_again(desk);
  }
  if (due(missing_ms_) && !loads_.taken().empty() && awaited(desk)) {
    const std::string so_far = std::to_string(seen(desk)) + " of " +
                               loads_word(desk, desk.to_weight->empties_ug.size()) + " so far, " +
                               amount(loads_.sum_ug(), scale(desk)->interval_ug) +
                               (hung(desk) ? ". " : " with trays. ");
    ask(desk, stage_ == Stage::drying ? Asks::missing : Asks::nothing, "load_missing",
        so_far + (stage_ == Stage::drying
                      ? "Put the rest on the scale. If there is no more, because a " +
                            std::string(hung(desk) ? "piece" : "tray") +
                            " was taken out for good, say ok."
                      : "Put the rest on the scale, also one that stays empty."));
  }
  if (due(call_ms_)) {
    called_ms_ = desk.now_ms;
    desk.voice.acted();  // what nobody has answered gives way
    desk.cue("weigh_in",
             "Time for a weigh-in: " + std::string(hung(desk) ? each_piece : cool_and_bare) +
                 ", on the scale until the tone.");
    call_next(desk, 24 * hour_ms);  // a cook who is away is not called every hour
  }
  if (due(late_ms_)) say_late(desk);
  place_.open_due(desk);
  place_.ask_due(desk, false);
  end_if_quiet(desk);
}

void Dry::say_late(Desk& desk) {
  const std::int64_t late_at_ms = desk.waking(desk.now_ms);
  if (late_at_ms > desk.now_ms) {
    late_ms_ = late_at_ms;
    return;
  }
  late_ = true;
  const std::string span = quantity::span_of_time(desk.now_ms - began_ms_);
  std::string what = "Not dry after " + span;
  if (desk.to_weight && desk.to_weight->begun()) {
    what += ": " + amount(desk.to_weight->last().net_ug, scale(desk)->interval_ug) + ", dry at " +
            amount(desk.to_weight->target_ug(), scale(desk)->interval_ug);
  }
  late_what_ = what + ".";
  desk.emit(proto::Deviation{"drying time", true, "not dry after " + span,
                             "the cook was told to freeze or cook it"});
  desk.limit_kept("drying time", false);
  desk.ask_anew();
  hold_late(desk);
}

// Not while another question holds the batch: it comes after that.
void Dry::hold_late(Desk& desk) {
  if (!late_ || place_.asks() || desk.gives_up) return;
  desk.hold({"critical limit", late_what_,
             "Freeze it or cook it up now and say ok: the batch ends there. Sour smell, slime or "
             "mould: discard it. To dry on, maslin accept --reason.",
             "", 0});
}

std::optional<std::int64_t> Dry::deadline_ms() const {
  if (done()) return std::nullopt;
  auto next = place_.deadline_ms(false);
  for (const auto& one : {missing_ms_, forget_ms_, call_ms_, late_ms_}) {
    if (one && (!next || *one < *next)) next = one;
  }
  return next;
}

void Dry::give_up(Desk& desk) {
  desk.release("critical limit", "the cook");
  desk.jars.tell(
      desk, "not dry in its longest time",
      "It is not dry: keep it only if it went into the freezer or was cooked up at once, "
      "and say so (maslin jar); else discard it.");
  desk.gives_up = "not dry in its longest time; frozen or cooked";
}

// Not before what is asked of the place is answered: a broken cold chain is not dried away.
void Dry::end(Desk& desk, const char* evidence) {
  ended_by_ = evidence;
  end_if_quiet(desk);
}

void Dry::end_if_quiet(Desk& desk) {
  if (ended_by_.empty() || !place_.quiet() || desk.gives_up || done()) return;
  place_.leave(desk);
  if (!place_.quiet()) return;
  late_ = false;
  desk.release("critical limit", "dry");
  place_.tell(desk, true);
  desk.emit(proto::Condition{"dry", ended_by_, 0});
  finish();
}

void Dry::describe(const Desk& desk, proto::BatchStatus& status) const {
  if (stage_ == Stage::drying) status.to_weight = desk.to_weight->status();
  if (!done()) place_.describe(desk, status);
  if (asks_ == Asks::lighter) status.offer = "some was taken out";
}

}  // namespace maslin::batch
