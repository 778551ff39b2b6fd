// From loads on the scale to a weigh-in of drying: how many trays they are, whether it can be
// believed, what it says of the end. See dry.hpp.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <numeric>
#include <utility>

#include "daemon/batch/dry.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"
#include "daemon/weighing/scale_budget.hpp"

namespace maslin::batch {
namespace {

// All of these are common practice, no source.
constexpr std::int64_t hour_ms = 3'600'000;
constexpr std::int64_t minute_ms = 60'000;
// The next tray is on the scale by then, or there is none.
constexpr std::int64_t next_tray_ms = 2 * minute_ms;
constexpr std::int64_t forget_ms = 30 * minute_ms;
// A tray out of the drier is as cool as the kitchen after so long.
constexpr std::int64_t cools_ms = 20 * minute_ms;
constexpr std::int64_t once_more_ms = 30 * minute_ms;
constexpr std::int64_t soonest_ms = hour_ms;
constexpr std::int64_t usual_every_ms = 6 * hour_ms;
// What was dipped or rinsed takes so much water along; what lies on a tray besides is more.
constexpr double clings = 0.15;
constexpr double stayed_off = 0.10;
constexpr double too_far = 0.90;  // of the target
// Less than its dry matter, by a table that may be off: something is gone that was no water.
constexpr double under_dry = 0.88;
// From one tray to the next the rate, and what is known of its food, differ by about so much; and
// one that is behind still has this share of its food to lose when the others have done.
constexpr double uneven = 0.2;
constexpr double slower = 0.05;
constexpr std::size_t fewest = 4;  // trays, so that three can agree against one
// A question that is older is not answered by weighing again.
constexpr std::int64_t answers_within_ms = hour_ms;
constexpr double doubted_sigmas = 4;
constexpr double uneven_load = 2.2;  // a tray has at most so much more than its share

std::int64_t rounded_ms(double hours) {
  return std::llround(hours * 60) * minute_ms;  // no forecast is worth a second
}

}  // namespace

std::int64_t Dry::booked_ug(const Desk& desk) const {
  const auto& names = planned(desk).ingredients;
  std::int64_t sum = 0;
  for (const auto& [name, weighing] : desk.booked) {
    const bool goes_on =
        names.empty() || std::find(names.begin(), names.end(), name) != names.end();
    if (goes_on) sum += weighing.net_ug;
  }
  return sum;
}

void Dry::scale_changed(Desk& desk, ScaleDesk& one, const weighing::PanChange& change) {
  if (done() || stage_ == Stage::by_eye || &one != scale(desk)) return;
  const auto found = loads_.feed(desk.now_ms, one.pan, change);
  if (desk.paused) return;
  if (found.warm && awaited(desk)) {
    desk.cue("load_warm",
             std::string("The reading does not stand still, and is not counted: ") +
                 (hung(desk) ? "it swings, or a draught. Lay it down and put it on again."
                             : "a warm tray, or a draught. Let it cool, then put it on again."));
  }
  if (found.too_soon && awaited(desk)) {
    desk.cue("load_soon", "Too soon: put it on again and leave it until the tone.");
  }
  const auto& empties = desk.to_weight->empties_ug;
  const std::int64_t lightest =
      empties.empty() ? 0 : *std::min_element(empties.begin(), empties.end());
  if (stage_ == Stage::drying && found.removed_ug > 0 && 2 * found.removed_ug < lightest) {
    eaten_ug_ += found.removed_ug;
    desk.emit(proto::Condition{amount(found.removed_ug, one.interval_ug) + " taken out as food",
                               "measured", 0});
  }
  if (found.taken) take_load(desk, one);
}

// What else a cook weighs in two days is no tray.
bool Dry::is_tray(const Desk& desk, std::int64_t gross_ug) const {
  const auto& account = *desk.to_weight;
  const std::int64_t same_ug = 2 * scale(desk)->interval_ug;
  std::int64_t lightest = *std::min_element(account.empties_ug.begin(), account.empties_ug.end());
  // A piece that has lost most of its weight since the last time is another thing.
  if (hung(desk) && !account.loads_ug.empty()) {
    lightest = *std::min_element(account.loads_ug.begin(), account.loads_ug.end()) / 2;
  }
  if (gross_ug < lightest - same_ug) return false;
  return !account.begun() ||
         gross_ug <= account.empty_ug() + account.last().net_ug * 11 / 10 + same_ug;
}

// Trays that are set on the scale in a stack are as many as they weigh.
std::size_t Dry::trays_in(const Desk& desk, std::int64_t gross_ug) const {
  const auto& account = *desk.to_weight;
  const std::size_t all = account.empties_ug.size();
  const auto count = static_cast<double>(all);
  const std::int64_t food_ug = account.begun() ? account.last().net_ug : booked_ug(desk);
  if (all == 1 || food_ug == 0) return 1;
  double heaviest =
      static_cast<double>(*std::max_element(account.empties_ug.begin(), account.empties_ug.end())) +
      uneven_load * static_cast<double>(food_ug) / count;
  if (!account.loads_ug.empty()) {
    heaviest = 1.02 * static_cast<double>(
                          *std::max_element(account.loads_ug.begin(), account.loads_ug.end()));
  }
  const auto gross = static_cast<double>(gross_ug);
  auto lightest = account.empties_ug;
  std::sort(lightest.begin(), lightest.end());
  if (gross <= heaviest || gross_ug < lightest[0] + lightest[1]) return 1;
  const double usual_food =
      account.begun() ? 0.75 * static_cast<double>(food_ug) : static_cast<double>(food_ug);
  const double one = (static_cast<double>(account.empty_ug()) + usual_food) / count;
  return static_cast<std::size_t>(std::clamp(std::round(gross / one), 2.0, count));
}

std::size_t Dry::seen(const Desk& desk) const {
  std::size_t sum = 0;
  for (const auto& one : loads_.taken()) sum += trays_in(desk, one.gross_ug);
  return sum;
}

void Dry::take_load(Desk& desk, ScaleDesk& one) {
  const std::int64_t gross_ug = loads_.taken().back().gross_ug;
  if (stage_ == Stage::empties) {
    desk.cue("load_taken", "Empty tray " + std::to_string(loads_.taken().size()) + ": " +
                               amount(gross_ug, one.interval_ug) +
                               ". The next one, or say ok if that was the last.");
    return;
  }
  if (stage_ == Stage::pieces) {
    desk.cue("load_taken", "Piece " + std::to_string(loads_.taken().size()) + ": " +
                               amount(gross_ug, one.interval_ug) +
                               ". The next one, or say ok if that was the last.");
    return;
  }
  if (!is_tray(desk, gross_ug)) {
    loads_.drop();
    return;
  }
  const std::size_t all = desk.to_weight->empties_ug.size();
  const std::size_t so_far = seen(desk);
  missing_ms_.reset();
  forget_ms_.reset();
  if (asks_ != Asks::nothing) leave_unanswered(desk);
  if (so_far < all) {
    missing_ms_ = desk.now_ms + next_tray_ms;
    forget_ms_ = desk.now_ms + forget_ms;
    desk.cue("load_taken", (hung(desk) ? "Piece " : "Tray ") + std::to_string(so_far) + " of " +
                               std::to_string(all) + ".");
    return;
  }
  const auto weighed = weigh(desk, one);
  loads_.begin();
  if (stage_ == Stage::loading) {
    loaded(desk, weighed);
  } else {
    weighed_in(desk, weighed);
  }
}

// Who weighs again soon has found what was wrong. What nobody answered for is taken on the safe
// side: as food that is gone, which dries the rest further.
void Dry::leave_unanswered(Desk& desk) {
  const Asks asked = std::exchange(asks_, Asks::nothing);
  const auto weighed = std::exchange(doubted_, std::nullopt);
  desk.voice.acted();
  if (asked != Asks::lighter || !weighed) return;
  if (desk.now_ms - desk.asked_ms() < answers_within_ms) return;
  desk.emit(proto::Deviation{
      "drying", false,
      amount(weighed->less_ug, scale(desk)->interval_ug) + " lighter than drying makes it",
      "nobody answered; counted as food that was taken out"});
  take_out(desk, *weighed);
}

void Dry::take_out(Desk& desk, const Weighed& weighed) {
  desk.to_weight->keep(static_cast<double>(weighed.net_ug) /
                       static_cast<double>(weighed.net_ug + weighed.less_ug));
}

Dry::Weighed Dry::weigh(const Desk& desk, const ScaleDesk& one) const {
  const auto& account = *desk.to_weight;
  const auto& loads = loads_.taken();
  Weighed weighed;
  weighed.net_ug = loads_.sum_ug() - account.empty_ug();
  weighed.loads = static_cast<std::int64_t>(account.empties_ug.size());
  weighed.device = one.device;
  double repeatability_ug = 0;
  for (const auto& load : loads) {
    repeatability_ug = std::max(repeatability_ug, load.repeatability_ug);
    if (loads.size() == account.empties_ug.size()) weighed.loads_ug.push_back(load.gross_ug);
  }
  // Each load, and each empty tray, is a step between two indications.
  const std::size_t empty = hung(desk) ? 0 : account.empties_ug.size();
  const auto steps = static_cast<int>(loads.size() + empty);
  auto budget =
      weighing::scale_budget(weighed.net_ug, std::max(one.interval_ug, one.pan.interval_ug()),
                             one.capacity_ug, one.calibration);
  budget.indications = 2 * steps;
  budget.repeatability_g = std::max(budget.repeatability_g, repeatability_ug / 1e6);
  const auto known = weighing::net_uncertainty(budget);
  weighed.standard_uncertainty_ug = std::llround(known.standard_g * 1e6);
  weighed.guard_ug = std::llround(known.half90_g * 1e6);
  return weighed;
}

// The first weigh-in: what the target is a share of is what was weighed before, or less where not
// all of it is on the trays. What clings to it is water, and goes again.
void Dry::loaded(Desk& desk, const Weighed& weighed) {
  auto& account = *desk.to_weight;
  const std::int64_t booked = booked_ug(desk);
  const std::int64_t begin_ug = booked > 0 ? std::min(booked, weighed.net_ug) : weighed.net_ug;
  const std::int64_t interval = scale(desk)->interval_ug;
  if (begin_ug <= 0 || weighed.net_ug <= weighed.guard_ug) {
    desk.cue("weigh_in",
             "The trays are no heavier than empty. Spread the food on them, then weigh "
             "each again.");
    return;
  }
  account.begin(begin_ug, {desk.now_ms, weighed.net_ug, weighed.standard_uncertainty_ug});
  account.loads_ug = weighed.loads_ug;
  stage_ = Stage::drying;
  began_ms_ = desk.now_ms;
  late_ms_ = desk.now_ms + planned(desk).longest_ms;
  emit_weigh_in(desk, weighed);
  std::string text = amount(weighed.net_ug, interval) + (hung(desk) ? ", " : " on ") +
                     loads_word(desk, static_cast<std::size_t>(weighed.loads)) + ", dry at " +
                     amount(account.target_ug(), interval) + ".";
  const auto off = static_cast<double>(weighed.net_ug - booked);
  if (booked > 0 && off > clings * static_cast<double>(booked)) {
    text += " That is " + amount(weighed.net_ug - booked, interval) +
            " more than was weighed before: whatever else " +
            (hung(desk) ? "hangs on it" : "lies on the trays") +
            " must come off, or it will never look dry.";
  } else if (booked > 0 && -off > stayed_off * static_cast<double>(booked)) {
    text += " " + amount(booked - weighed.net_ug, interval) +
            " of what was weighed before is not on them; the target is for what is.";
  }
  call_next(desk, every_ms(desk));
  desk.cue("weighed_in",
           std::move(text) + (hung(desk) ? " Hang it where it dries." : " Into the drier."));
}

// No more than the scale can tell from empty trays is no weigh-in.
bool Dry::all_gone(Desk& desk, const Weighed& weighed) {
  if (weighed.net_ug > weighed.guard_ug) return false;
  ask(desk, Asks::empty, "weigh_in",
      "The trays are empty. Was all of it taken out? Say ok, and the batch ends here. Else say no, "
      "and weigh them with the food on.");
  call_next(desk, every_ms(desk));
  return true;
}

void Dry::weighed_in(Desk& desk, Weighed weighed) {
  if (all_gone(desk, weighed)) return;
  if (eaten_ug_ > 0) {
    desk.to_weight->keep(static_cast<double>(weighed.net_ug) /
                         static_cast<double>(weighed.net_ug + eaten_ug_));
    eaten_ug_ = 0;
  }
  if (doubt(desk, weighed)) {
    call_next(desk, every_ms(desk));
  } else {
    count(desk, weighed);
  }
}

std::int64_t Dry::every_ms(const Desk& desk) const {
  return planned(desk).every_ms > 0 ? planned(desk).every_ms : usual_every_ms;
}

// How much more one tray has lost than it would have at the pace of the others; 0: no more than
// trays differ, or it cannot be told. Trays are told apart by the order in which they come: where
// the cook keeps it, all but one agree; where not, nothing is made of it.
std::int64_t Dry::less_on_one_tray(const Desk& desk, const Weighed& weighed) const {
  const auto& account = *desk.to_weight;
  const auto& before = account.loads_ug;
  const auto& now = weighed.loads_ug;
  const std::size_t all = now.size();
  if (all < fewest || before.size() != all) return 0;
  const double empty = static_cast<double>(account.empty_ug()) / static_cast<double>(all);
  const auto unsure = static_cast<double>(weighed.standard_uncertainty_ug);
  // Which of the empty trays a load stands on is not known.
  double squares = 0;
  for (const auto one : account.empties_ug) {
    squares += std::pow(static_cast<double>(one) - empty, 2) / static_cast<double>(all);
  }
  const double trays_differ = std::sqrt(squares);
  const auto food = [&](std::size_t i) {
    return std::max(1.0, static_cast<double>(before[i]) - empty);
  };
  const auto lost = [&](std::size_t i) { return static_cast<double>(before[i] - now[i]); };
  std::int64_t found = 0;
  for (std::size_t one = 0; one < all; ++one) {
    double sum = 0;
    double foods = 0;
    for (std::size_t i = 0; i < all; ++i) {
      if (i == one) continue;
      sum += lost(i);
      foods += food(i);
    }
    const double pace = std::max(0.0, sum / foods);
    const auto differs = [&](std::size_t i) {
      return std::hypot(uneven * pace * food(i), pace * trays_differ, unsure) +
             slower * std::max(food(i), trays_differ);
    };
    bool agree = true;
    for (std::size_t i = 0; i < all; ++i) {
      if (i != one) agree = agree && std::abs(lost(i) - pace * food(i)) <= 2 * differs(i);
    }
    const double less = lost(one) - pace * food(one);
    if (agree && less > doubted_sigmas * differs(one)) found = std::llround(less);
  }
  return found;
}

// True where the cook is asked first, or the weigh-in before was wrong.
bool Dry::doubt(Desk& desk, Weighed& weighed) {
  auto& account = *desk.to_weight;
  const std::int64_t interval = scale(desk)->interval_ug;
  const auto unsure = std::hypot(static_cast<double>(weighed.standard_uncertainty_ug),
                                 static_cast<double>(account.last().standard_uncertainty_ug));
  const std::int64_t more_ug = weighed.net_ug - account.last().net_ug;
  if (static_cast<double>(more_ug) > std::max(3 * unsure, 2.0 * static_cast<double>(interval))) {
    if (dry_since_ms_) {
      // It had only looked dry: the trays were warm.
      desk.emit(proto::Condition{
          "the weigh-in before was too light, " + amount(more_ug, interval) + ": warm trays",
          "measured", 0});
      account.strike_lighter(weighed.net_ug);
      return false;
    }
    doubted_ = weighed;
    ask(desk, Asks::heavier, "heavier",
        amount(more_ug, interval) + " heavier than before, and what dries grows lighter. " +
            (hung(desk) ? "Is another piece among them, or does more hang on it than before? Put "
                          "it right and say no. If this one is right, say ok."
                        : "Were the trays warm then? Then this one is right: say ok. Is another "
                          "tray among them, or does something else lie on one? Put it right and "
                          "say no."));
    return true;
  }
  std::int64_t less_ug = less_on_one_tray(desk, weighed);
  if (less_ug == 0) {
    if (const auto expected = account.expected(desk.now_ms)) {
      const double less = expected->mass_g * 1e6 - static_cast<double>(weighed.net_ug);
      if (less > doubted_sigmas * expected->spread_g * 1e6) less_ug = std::llround(less);
    }
  }
  const bool impossible =
      account.dry_ug() > 0 &&
      static_cast<double>(weighed.net_ug) < under_dry * static_cast<double>(account.dry_ug());
  if (impossible) less_ug = std::max(less_ug, account.dry_ug() - weighed.net_ug);
  if (less_ug == 0) return false;
  weighed.less_ug = less_ug;
  doubted_ = weighed;
  ask(desk, Asks::lighter, "lighter",
      "About " + amount(less_ug, interval) +
          " lighter than drying makes it. Was some of it taken out or eaten? ok says yes: it "
          "counts as food. " +
          (hung(desk) ? "Is it another piece, or one without its string? Say no."
                      : "Is it another tray, a warm one, or one with less on it? Say no."));
  return true;
}

// Those trays that are there, and what they hold: which ones, their weights tell.
void Dry::go_without(Desk& desk) {
  auto& account = *desk.to_weight;
  const auto& loads = loads_.taken();
  std::vector<std::int64_t> there;
  there.reserve(loads.size());
  for (const auto& one : loads) there.push_back(one.gross_ug);
  std::sort(there.begin(), there.end());
  auto before = account.loads_ug;
  std::sort(before.begin(), before.end());
  const std::int64_t empty_ug =
      account.empty_ug() / static_cast<std::int64_t>(account.empties_ug.size());
  std::int64_t all_ug = 0;
  for (const auto one : before) all_ug += one - empty_ug;
  const std::size_t gone = account.empties_ug.size() - seen(desk);
  for (std::size_t n = 0; n < gone && before.size() > there.size(); ++n) {
    // The one without which the rest are lighter by the most even amount.
    std::size_t best = 0;
    double best_spread = INFINITY;
    for (std::size_t without = 0; without < before.size(); ++without) {
      std::vector<double> lost;
      for (std::size_t i = 0, j = 0; i < before.size() && j < there.size(); ++i) {
        if (i == without) continue;
        lost.push_back(static_cast<double>(before[i] - there[j++]));
      }
      const auto [least, most] = std::minmax_element(lost.begin(), lost.end());
      if (lost.empty() || *most - *least >= best_spread) continue;
      best_spread = *most - *least;
      best = without;
    }
    before.erase(before.begin() + static_cast<std::ptrdiff_t>(best));
  }
  std::int64_t left_ug = 0;
  for (const auto one : before) left_ug += one - empty_ug;
  const double share =
      all_ug > 0 && before.size() == there.size()
          ? static_cast<double>(left_ug) / static_cast<double>(all_ug)
          : static_cast<double>(seen(desk)) / static_cast<double>(account.empties_ug.size());
  desk.emit(proto::Condition{std::to_string(gone) + (hung(desk) ? " piece" : " tray") +
                                 (gone == 1 ? "" : "s") + " taken out for good, " +
                                 quantity::plain(100 * (1 - share), 0) + " % of the food",
                             "seen by the cook", 0});
  account.keep(share);
  for (std::size_t n = 0; n < gone; ++n) account.drop_tray();
  account.loads_ug.clear();
  missing_ms_.reset();
  forget_ms_.reset();
  const auto weighed = weigh(desk, *scale(desk));
  loads_.begin();
  if (!all_gone(desk, weighed)) count(desk, weighed);
}

void Dry::count(Desk& desk, const Weighed& weighed) {
  auto& account = *desk.to_weight;
  denied_ = false;
  account.add({desk.now_ms, weighed.net_ug, weighed.standard_uncertainty_ug});
  account.loads_ug = weighed.loads_ug;
  emit_weigh_in(desk, weighed);
  judge(desk, weighed);
}

void Dry::emit_weigh_in(Desk& desk, const Weighed& weighed) const {
  const auto& account = *desk.to_weight;
  proto::WeighIn one;
  one.of = planned(desk).kind;
  one.number = account.weigh_ins();
  one.net_ug = weighed.net_ug;
  one.standard_uncertainty_ug = weighed.standard_uncertainty_ug;
  one.begin_ug = account.begin_ug();
  one.target_ug = account.target_ug();
  one.loads = weighed.loads;
  one.device = weighed.device;
  if (const auto forecast = account.forecast()) {
    one.left_ms = rounded_ms(forecast->hours);
    one.left_from_ms = rounded_ms(forecast->from_hours);
    one.left_to_ms = rounded_ms(forecast->to_hours);
  }
  desk.emit(one);
}

std::string Dry::forecast_words(const Desk& desk) const {
  const auto forecast = desk.to_weight->forecast();
  if (!forecast) return " When that will be cannot be foretold yet.";
  const std::int64_t local_ms = desk.now_ms + desk.local_less_ms;
  const auto when = [&](double hours) {
    return quantity::about_when(local_ms + rounded_ms(hours), local_ms);
  };
  std::string text = " Probably " + when(forecast->hours) + "; likely between " +
                     when(forecast->from_hours) + " and " + when(forecast->to_hours) + ".";
  if (late_ms_ && desk.now_ms + rounded_ms(forecast->from_hours) > *late_ms_) {
    text += " That is after its longest time: warmer, thinner, or less on a tray.";
  }
  return text;
}

void Dry::judge(Desk& desk, const Weighed& weighed) {
  const auto& account = *desk.to_weight;
  const std::int64_t interval = scale(desk)->interval_ug;
  std::string text = amount(weighed.net_ug, interval) + " left of " +
                     amount(account.begin_ug(), interval) + ", " +
                     quantity::plain(account.lost_pct(), 0) + " % lost";
  if (const auto water = account.water_pct()) {
    text += ", about " + quantity::plain(*water, 0) + " % water in it";
  }
  text += ".";
  if (weighed.net_ug + weighed.guard_ug > account.target_ug()) {
    dry_since_ms_.reset();
    if (weighed.net_ug <= account.target_ug()) {
      call_next(desk, soonest_ms);
      desk.cue("weighed_in", std::move(text) +
                                 " So near its target that the scale cannot tell: an "
                                 "hour more.");
      return;
    }
    text += " Dry at " + amount(account.target_ug(), interval) + "." + forecast_words(desk);
    const auto forecast = account.forecast();
    call_next(desk, forecast ? std::clamp(rounded_ms(forecast->from_hours), soonest_ms,
                                          std::max(every_ms(desk), soonest_ms))
                             : every_ms(desk));
    desk.cue("weighed_in", std::move(text));
    return;
  }
  // What hangs, or dries in the cold, is cool.
  if (!dry_since_ms_ && !planned(desk).cold_chain && !hung(desk)) {
    dry_since_ms_ = desk.now_ms;
    call_next(desk, once_more_ms);
    desk.ask_anew();
    desk.cue(
        "weighed_in",
        std::move(text) +
            " Dry by this weighing. A warm tray weighs too little: leave them out of the drier "
            "for half an hour and weigh once more, or say ok if they were cool.");
    return;
  }
  if (dry_since_ms_ && desk.now_ms - *dry_since_ms_ < cools_ms) {
    desk.cue("weighed_in", std::move(text) +
                               " Still dry; once more when they are cool, or say ok "
                               "if they are.");
    return;
  }
  text += " It is dry.";
  if (static_cast<double>(weighed.net_ug) < too_far * static_cast<double>(account.target_ug())) {
    const std::string less = amount(account.target_ug() - weighed.net_ug, interval);
    desk.emit(proto::Deviation{"drying", false, less + " drier than asked for", "kept as it is"});
    text += " By " + less + " more than asked for: harder, and no less good to keep.";
  }
  desk.cue("weighed_in", std::move(text));
  end(desk, "measured");
}

}  // namespace maslin::batch
