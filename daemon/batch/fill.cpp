// The step of fill.hpp.
#include "daemon/batch/fill.hpp"

#include <algorithm>
#include <cmath>

#include "daemon/batch/brine.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/plan/jars.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {
namespace {

// Cooler than this is not filled hot, and longer than this jars do not stay hot (common practice,
// no source).
constexpr std::int64_t cool_mk = 82'000 + 273'150;
constexpr std::int64_t jars_hot_ms = 480'000;
// A count further off cannot have come from this pan without another word (common practice, no
// source).
constexpr double can_be_off = 0.34;
constexpr std::int64_t most_jars = 500;
// A forecast that is less sure than this says no number of jars (common practice, no source).
constexpr double most_u_share = 0.06;
constexpr double most_yield_ml = 100'000;

std::string jars_word(std::int64_t jars) {
  return std::to_string(jars) + (jars == 1 ? " jar" : " jars");
}

double yield_of(const Desk& desk, const proto::JarWord& word) {
  if (word.mass_ug == 0) return static_cast<double>(word.count);
  return 1000 * static_cast<double>(word.mass_ug) / static_cast<double>(desk.plan.litre_ug);
}

bool takes_more(const Desk& desk, const proto::PlannedOperation& operation) {
  const auto& in = operation.ingredients;
  return std::any_of(desk.more.begin(), desk.more.end(), [&](const auto& more) {
    return std::find(in.begin(), in.end(), more.name) != in.end();
  });
}

}  // namespace

void Fill::begin(Desk& desk) {
  const auto& operation = planned(desk);
  if (!operation.caution.empty()) desk.cue("caution", operation.caution);
  began_ms_ = desk.now_ms;
  desk.boil_limit.off();
  hot_ = desk.pan_on_heat;
  expect(desk, desk.plan.yield_ml);
  desk.emit(proto::PhaseBegan{index(), operation.kind, "", operation.text});
  foresee(desk);
  if (desk.plan.sterilise_ms > 0) {
    jars_boiled_ = desk.canner.jars_boiled(desk);
    if (jars_boiled_) desk.emit(proto::Condition{"empty jars boiled", desk.canner.evidence(), 0});
  }
  say_again(desk);
}

// What the pan gives by what boiled away is better than what the formula says of any pan.
void Fill::foresee(Desk& desk) {
  const auto yield = desk.solids.foreseen(desk);
  if (!yield) return;
  desk.solids.tell_yield(desk, *yield);
  if (yield->u_share > most_u_share) return;
  const std::string mass = quantity::plain(std::round(yield->mass_g / 10) * 10, 0) + " g";
  const std::string volume = quantity::plain(std::round(yield->volume_ml / 10) * 10, 0) + " mL";
  foreseen_ = "By what boiled away the pan holds about " + mass + ", " + volume + ".";
  expect(desk, yield->volume_ml);
}

void Fill::expect(const Desk& desk, double yield_ml) {
  yield_ml_ = yield_ml;
  if (yield_ml <= 0 || desk.plan.jar_ml <= 0) return;
  const auto jars = plan::jars_for(yield_ml, desk.plan.jar_ml);
  jars_ = jars.whole;
  part_filled_ = jars.part ? 1 : 0;
}

std::string Fill::expected_text() const {
  if (jars_ == 0) return "one part-filled jar, which goes to the refrigerator";
  return jars_word(jars_) +
         (part_filled_ > 0 ? " and one part-filled, which goes to the refrigerator" : "");
}

void Fill::say_again(Desk& desk) {
  std::string text = planned(desk).text;
  if (!jars_boiled_) {
    text += " The empty jars must have boiled for " +
            quantity::span_of_time(desk.plan.sterilise_ms) + ": say ok only if they have.";
  }
  if (!foreseen_.empty()) text += " " + foreseen_;
  if (covers_food(desk)) text += " If the brine does not cover all of it, say no.";
  if (jars_ + part_filled_ == 0) {
    desk.cue("step", text + " Say ok when it is done.");
    return;
  }
  desk.cue("step", text + " That should give " + expected_text() +
                       ". Say ok when it is so; any other number: maslin filled.");
}

void Fill::pan_changed(Desk& desk) {
  const auto temperature = desk.pan_mk();
  if (done() || pan_cool_said_ || !hot_ || !temperature || *temperature >= cool_mk) return;
  // A thermometer that was taken out shows the kitchen, not the pan.
  if (*temperature < 50'000 + 273'150) return;
  pan_cool_said_ = true;
  desk.cue("pan_cool", "The pan has cooled to " + quantity::celsius(*temperature) +
                           ": bring it back to the boil before the next jar.");
  desk.emit(proto::Condition{"pan too cool to fill", "measured", *temperature});
}

void Fill::time_passed(Desk& desk) {
  if (done() || jars_cool_said_ || !hot_ || desk.now_ms - began_ms_ < jars_hot_ms) return;
  jars_cool_said_ = true;
  desk.cue("jars_cool", "Filling takes long: " + quantity::span_of_time(jars_hot_ms) +
                            ". Empty jars back into hot water, and the pan back to the boil.");
  desk.emit(proto::Condition{"jars out of hot water for long", "by the clock", 0});
}

std::optional<std::int64_t> Fill::deadline_ms() const {
  if (done() || jars_cool_said_ || !hot_) return std::nullopt;
  return began_ms_ + jars_hot_ms;
}

void Fill::filled(Desk& desk, std::int64_t jars, std::int64_t part_filled, const char* evidence) {
  if (!jars_boiled_) {
    desk.emit(proto::Condition{"empty jars boiled", "seen by the cook", 0});
  }
  desk.emit(proto::Condition{"fill done", "seen by the cook", 0});
  finish();
  desk.standing.filled(desk);
  if (jars + part_filled == 0) {
    if (desk.plan.keeping != "shelf") desk.jars.begin_lot(desk);
    return;
  }
  desk.jars.fill(desk, {jars, part_filled, jars_, evidence});
  if (desk.plan.keeping != "shelf") return;
  if (part_filled > 0) {
    desk.jars.put(desk, {{desk.jars.count()},
                         "refrigerator",
                         "part-filled",
                         "Into the refrigerator as soon as it is cool."});
  }
  // What has no new lid or no place in the bath cannot stand on a shelf.
  const auto& facts = desk.start.facts;
  const std::int64_t room =
      facts.canner_jars ? desk.plan.canner_loads * *facts.canner_jars : most_jars;
  const std::int64_t lids = facts.lids.value_or(most_jars);
  const std::int64_t most = std::min(room, lids);
  if (jars <= most) return;
  std::vector<std::int64_t> without;
  for (std::int64_t jar = most + 1; jar <= jars; ++jar) without.push_back(jar);
  desk.cue("jars", std::string(lids <= room ? "New lids" : "Room in the canner") + " for " +
                       jars_word(most) + " only: " + std::to_string(without.size()) +
                       " into the refrigerator.");
  desk.jars.put(desk,
                {without, "refrigerator", lids <= room ? "no new lid" : "no room in the canner",
                 "Into the refrigerator as soon as it is cool."});
}

void Fill::amended(Desk& desk) {
  if (done() || !desk.told_yield_ml || *desk.told_yield_ml == yield_ml_) return;
  expect(desk, *desk.told_yield_ml);
  say_again(desk);
}

std::optional<proto::Trouble> Fill::refuses_no(const Desk& desk) const {
  if (!covers_food(desk)) return Operation::refuses_no(desk);
  if (more_brine_ug(desk) > 0) return std::nullopt;
  return proto::Trouble{
      "more of this brine would break a critical limit of the formula, or is more than its largest "
      "batch has",
      "",
      "press the food down with a weight, or take some of it out into the refrigerator; never "
      "water alone"};
}

// It is weighed like what was weighed before, and then poured on.
void Fill::no(Desk& desk) {
  const std::int64_t brine_ug = more_brine_ug(desk);
  std::string parts;
  for (const auto& [part, more_ug] : brine_of(desk)->parts_of(brine_ug)) {
    parts += (parts.empty() ? "" : ", ") + quantity::grams(more_ug) + " of " + part->name;
  }
  desk.emit(
      proto::Condition{"the brine does not cover: " + quantity::grams(brine_ug) + " more are made",
                       "seen by the cook", 0});
  desk.cue("advice", "Make more of it in the same proportion: " + parts +
                         ". Never water alone: it would thin what is in.");
  make_more_brine(desk, brine_ug);
  more_brine_ = true;
  desk.more_for = goes_on_with(desk);
  finish();
}

std::optional<int> Fill::goes_back(const Desk& desk) const {
  if (!more_brine_) return std::nullopt;
  for (int i = index() - 1; i >= 0; --i) {
    const auto& one = desk.plan.operations[static_cast<std::size_t>(i)];
    if (one.kind == "weigh" && takes_more(desk, one)) return i;
  }
  return std::nullopt;
}

// What was boiled before it was poured on is boiled again: the first heat that takes it in, and all
// that follows; this step where there is none.
int Fill::goes_on_with(const Desk& desk) const {
  for (int i = goes_back(desk).value_or(index()); i < index(); ++i) {
    const auto& one = desk.plan.operations[static_cast<std::size_t>(i)];
    if (one.kind == "heat" && (one.ingredients.empty() || takes_more(desk, one))) return i;
  }
  return index();
}

void Fill::ok(Desk& desk) { filled(desk, jars_, part_filled_, "as expected"); }

std::optional<proto::Trouble> Fill::refuses(const Desk& desk, const proto::JarWord& word) const {
  if (word.what == "yield") {
    if (word.mass_ug > 0 && desk.plan.litre_ug == 0) {
      return proto::Trouble{"the formula does not say what a litre of it weighs", "amount",
                            "measure the volume: maslin yield \"900 mL\""};
    }
    const double ml = yield_of(desk, word);
    if (desk.plan.jar_ml > 0 && ml >= 1 && ml <= most_yield_ml) return std::nullopt;
    return proto::Trouble{"that is no volume to fill jars with", "amount",
                          desk.plan.jar_ml > 0 ? "give what the pan holds, up to 100 L"
                                               : "tell the size of the jars first: maslin facts "
                                                 "--jar, and say maslin filled here"};
  }
  if (word.what != "filled") return Operation::refuses(desk, word);
  if (word.count < 0 || word.part_filled < 0 || word.part_filled > 1 ||
      word.count + word.part_filled == 0 || word.count > most_jars) {
    return proto::Trouble{"that is no number of jars", "count",
                          "give how many whole jars there are, and whether one is part-filled"};
  }
  return std::nullopt;
}

void Fill::take(Desk& desk, const proto::JarWord& word) {
  if (word.what == "yield") {
    expect(desk, yield_of(desk, word));
    foreseen_.clear();
    if (word.mass_ug > 0) desk.solids.weighed(desk, word.mass_ug, true);
    desk.emit(proto::Condition{"the pan gave " +
                                   (word.mass_ug > 0 ? quantity::grams(word.mass_ug) + ", " : "") +
                                   quantity::plain(yield_ml_, 0) + " mL",
                               "seen by the cook", 0});
    say_again(desk);
    return;
  }
  const double expected = desk.plan.jar_ml > 0 ? yield_ml_ / desk.plan.jar_ml : 0;
  const double off = std::abs(static_cast<double>(word.count) - expected) - 1;
  if (expected > 0 && off > can_be_off * expected &&
      !desk.confirmed_twice("filled " + std::to_string(word.count),
                            jars_word(word.count) + " is not what this pan should give, about " +
                                quantity::plain(expected, 1) +
                                ". Count again, and say it once more if it is so.")) {
    return;
  }
  filled(desk, word.count, word.part_filled, "counted by the cook");
}

}  // namespace maslin::batch
