// The ledger of jars.hpp.
#include "daemon/batch/jars.hpp"

#include <algorithm>
#include <array>
#include <map>

#include "daemon/batch/desk.hpp"
#include "daemon/batch/limits.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/quantity/decimal.hpp"
#include "proto/trouble.hpp"

namespace maslin::batch {
namespace {

constexpr std::array places = {"shelf",  "refrigerator", "freezer", "given",
                               "opened", "discarded",    "remade"};
constexpr std::string_view not_there = "not there";     // it was counted and never filled
constexpr const char* in_the_making = "in the making";  // a lot that still cures or dries
// USDA Complete Guide to Home Canning, guide 1: a jar that did not seal is processed again, frozen
// or refrigerated within 24 hours.
constexpr std::int64_t mend_ms = 24 * 3'600'000;

bool gone(std::string_view where) { return where == "discarded" || where == "remade"; }

// An open jar belongs into the refrigerator; what went into another batch was warm for no longer.
bool cold(std::string_view where) {
  return where == "refrigerator" || where == "freezer" || where == "opened" || where == "remade";
}

}  // namespace

void Jars::fill(Desk& desk, const proto::Filled& filled) {
  jars_.assign(static_cast<std::size_t>(filled.jars + filled.part_filled), {"cooling", false, 0});
  part_number_ = filled.part_filled > 0 ? count() : 0;
  for_shelf_ = desk.plan.keeping == "shelf";
  filled_ms_ = desk.now_ms;
  unit_ = filled.unit;
  desk.emit(filled);
}

void Jars::begin_lot(Desk& desk) {
  if (filled()) return;
  fill(desk, {1, 0, 0, "as planned", has_meat(desk.plan) ? "piece" : "container"});
  jars_.front().where = in_the_making;
  if (!desk.left_limits.empty()) bar(desk, "outside the formula: " + desk.left_limits.front());
}

std::vector<std::int64_t> Jars::all() const { return named({}); }

// Nobody has put them anywhere yet.
std::vector<std::int64_t> Jars::waiting() const {
  return in(are_jars() ? "cooling" : in_the_making);
}

std::vector<std::int64_t> Jars::in(std::string_view where) const {
  std::vector<std::int64_t> found;
  for (std::size_t i = 0; i < jars_.size(); ++i) {
    if (jars_[i].where == where) found.push_back(static_cast<std::int64_t>(i + 1));
  }
  return found;
}

void Jars::put(Desk& desk, proto::JarsAre jars) {
  for (const auto number : jars.jars) {
    Jar& jar = jars_[static_cast<std::size_t>(number - 1)];
    if (cold(jars.where) && !cold(jar.where)) jar.warm_until_ms = desk.now_ms;
    jar.where = jars.where;
    if (jars.where == "shelf") jar.sealed = true;
    // A refrigerator leaves a seal as it is, and so does a neighbour.
    if (jars.where != "shelf" && jars.where != "refrigerator" && jars.where != "given") {
      jar.sealed = false;
    }
  }
  jars.unit = unit_;
  desk.emit(std::move(jars));
}

void Jars::day_over(Desk& desk, std::vector<std::int64_t> jars) {
  desk.cue("jars", capitalised(quantity::jar_names(jars)) +
                       " did not seal, and a day is over: discard what has not stood in the "
                       "refrigerator, and do not taste it.");
  put(desk, {std::move(jars), "not sealed", "more than a day after the bath",
             "Discard, unless it has stood in the refrigerator."});
}

bool Jars::discard(Desk& desk, const std::string& why) {
  if (!desk.confirmed_twice("discard",
                            "This ends the batch: all of it is discarded. Say ok again.")) {
    return false;
  }
  begin_lot(desk);  // what is not in jars yet
  put(desk,
      {all(), "discarded", why,
       count() == 1 ? "Discard it and do not taste it." : "Discard them and do not taste them."});
  desk.emit(proto::Condition{"discarded", "seen by the cook", 0});
  desk.gives_up = "discarded: " + why;
  return true;
}

void Jars::settle(Desk& desk) {
  const auto left = waiting();
  if (left.empty()) return;
  if (desk.standing.left()) {
    put(desk,
        {left, "discarded", "the food had stood for hours", "Discard them and do not taste them."});
    return;
  }
  // Only sealed jars stand on a shelf, and those were put there by the seal check.
  const bool freezer = desk.plan.keeping == "freezer";
  barred_ = barred_ || (!for_shelf_ && !desk.left_limits.empty());
  if (barred_) {
    proto::JarWord word;
    word.jars = left;
    word.where = freezer ? "freezer" : "refrigerator";
    word.text = "outside the formula";
    take(desk, word);
    return;
  }
  put(desk, {left, freezer ? "freezer" : "refrigerator", "as planned",
             freezer ? "Label, then into the freezer." : "Label, then into the refrigerator."});
}

std::vector<std::int64_t> Jars::named(const proto::JarWord& word) const {
  if (!word.jars.empty()) return word.jars;
  std::vector<std::int64_t> all;
  for (std::int64_t jar = 1; jar <= count(); ++jar) {
    if (where(jar) != not_there) all.push_back(jar);
  }
  return all;
}

std::optional<proto::Trouble> Jars::refuses(const proto::JarWord& word) const {
  if (jars_.empty()) {
    return proto::Trouble{"no jars are filled in this batch", "jars", "maslin jars lists all jars"};
  }
  for (const auto jar : word.jars) {
    if (jar >= 1 && jar <= count() && where(jar) != not_there) continue;
    return proto::Trouble{"there is no " + unit_ + " " + std::to_string(jar), "jars",
                          count() == 1
                              ? "the batch has one " + unit_ + ", number 1"
                              : "the batch has " + unit_ + "s 1 to " + std::to_string(count())};
  }
  if (word.what != "now") return std::nullopt;
  if (std::find(places.begin(), places.end(), word.where) == places.end()) {
    return proto::Trouble{
        "'" + proto::excerpt(word.where, 60) + "' is no place of a " + unit_, "where",
        "write one of: shelf, refrigerator, freezer, given, opened, discarded, remade"};
  }
  for (const auto jar : named(word)) {
    if (auto trouble = refuses(word, jar)) return trouble;
  }
  return std::nullopt;
}

std::optional<proto::Trouble> Jars::refuses(const proto::JarWord& word, std::int64_t number) const {
  const Jar& jar = at(number);
  const std::string name = unit_ + " " + std::to_string(number);
  if (word.where != jar.where && gone(jar.where)) {
    return proto::Trouble{name + " was " + jar.where, "jars", "it does not come back"};
  }
  if (word.where == "shelf" && barred_) {
    return proto::Trouble{name + " is of a batch outside its formula", "where",
                          "maslin jars --batch says what to do with it"};
  }
  if (word.where == "shelf" && !jar.sealed) {
    return proto::Trouble{name + " did not keep its seal for the shelf", "where",
                          "only a sealed jar of a batch for the shelf stands there"};
  }
  return std::nullopt;
}

// What belongs to the new place of a jar. `unsealed`: it comes there because it did not seal.
std::string Jars::todo(std::string_view where, std::int64_t at_ms, bool unsealed) const {
  if (where == "opened") return "Into the refrigerator.";
  const bool cold = where == "refrigerator" || where == "freezer";
  if (cold && unsealed && at_ms - filled_ms_ > mend_ms) {
    return "Only if it came into the cold within 24 hours of filling; else discard it.";
  }
  return "";
}

void Jars::take(Desk& desk, const proto::JarWord& word) {
  // To whom a jar went stays with the cook's own word and is copied nowhere.
  const std::string why = word.text.empty() || word.where == "given" ? "by the cook" : word.text;
  // Jars that did not seal may need another advice than those beside them.
  std::map<std::string, std::vector<std::int64_t>> by_todo;
  for (const auto number : named(word)) {
    Jar moved = at(number);
    const bool unsealed = moved.where == "not sealed";
    if (cold(word.where) && !cold(moved.where)) moved.warm_until_ms = desk.now_ms;
    moved.where = word.where;
    // With what is discarded nothing is left to be done.
    by_todo[word.where == "discarded" ? ""
            : barred_                 ? barred_todo(desk, moved)
                                      : todo(word.where, desk.now_ms, unsealed)]
        .push_back(number);
  }
  for (const auto& [todo, jars] : by_todo) {
    put(desk, {jars, word.where, why, todo, barred_ && !todo.empty()});
  }
}

std::int64_t Jars::whole() const {
  std::int64_t found = 0;
  for (std::int64_t jar = 1; jar <= count(); ++jar) {
    found += jar != part_number_ && where(jar) != not_there ? 1 : 0;
  }
  return found;
}

// The numbers stand on labels by now: none is given to another jar.
bool Jars::told(std::int64_t jar) const {
  const auto& is = where(jar);
  return is == "given" || is == "opened" || is == "discarded" || is == "remade";
}

void Jars::recount(Desk& desk, std::int64_t jars, const char* by) {
  const std::string why = (are_jars() ? "amended: " : "counted: ") + std::to_string(jars) +
                          (are_jars()  ? " were filled"
                           : jars == 1 ? " is there"
                                       : " are there");
  const std::string evidence = (are_jars() ? "amended by " : "counted by ") + std::string(by);
  std::vector<std::int64_t> changed;
  for (std::int64_t jar = count(); jar >= 1 && whole() > jars; --jar) {
    // What the cook has put somewhere was there.
    if (jar == part_number_ || where(jar) == not_there || told(jar)) continue;
    jars_[static_cast<std::size_t>(jar - 1)].where = not_there;
    changed.insert(changed.begin(), jar);
  }
  if (!changed.empty()) {
    desk.emit(proto::Filled{jars, part_number_ > 0 ? 1 : 0, 0, evidence, unit_});
    put(desk, {changed, std::string(not_there), why, ""});
    return;
  }
  const char* still = are_jars() ? "cooling" : in_the_making;
  const bool cooling = !waiting().empty();
  for (std::int64_t jar = 1; jar <= count() && whole() < jars; ++jar) {
    if (where(jar) != not_there) continue;
    jars_[static_cast<std::size_t>(jar - 1)] = {still, false, 0};
    changed.push_back(jar);
  }
  while (whole() < jars) {
    jars_.push_back({still, false, 0});
    changed.push_back(count());
  }
  desk.emit(proto::Filled{jars, part_number_ > 0 ? 1 : 0, 0, evidence, unit_});
  if (cooling) {
    put(desk, {changed, still, why, ""});
  } else if (for_shelf_) {
    put(desk, {changed, "not sealed", why,
               "Nobody has told its seal: into the refrigerator within 24 hours of filling, else "
               "discard it.",
               true});
  } else {
    put(desk, {changed, desk.plan.keeping, why, ""});
  }
  if (barred_) bar(desk, why);
}

bool Jars::stood_warm(const Jar& jar, std::int64_t at_ms) const {
  const std::int64_t until_ms = cold(jar.where) ? jar.warm_until_ms : at_ms;
  return until_ms - filled_ms_ > mend_ms;
}

std::string Jars::barred_todo(const Desk& desk, const Jar& jar) const {
  std::string todo;
  if (desk.ferment.not_sour) {
    todo = "Do not taste it: it is not sour. Discard it.";
  } else if (unit_ == "piece") {
    todo =
        "Do not eat it, it is outside its formula: discard it, or ask a process authority before "
        "anything else is done with it.";
  } else if (!for_shelf_) {
    todo = "Keep it in the " + desk.plan.keeping +
           "; it is outside its formula, and nothing safe can be said of it.";
  } else if (stood_warm(jar, desk.now_ms)) {
    todo = "Do not taste it; discard it. In doubt ask a process authority.";
  } else if (cold(jar.where)) {
    todo = "Not for the shelf: keep it cold and use it within days.";
  } else {
    todo =
        "Not for the shelf: into the refrigerator or freezer within 24 hours of filling. Later: do "
        "not taste it, discard it.";
  }
  if (jar.where == "remade") return "For what was made of it: " + todo;
  return jar.where == "given" ? "Tell who has it: " + todo : todo;
}

// In one outcome for all that stand in one place with one thing to do.
void Jars::tell_all(Desk& desk, const std::string& why,
                    const std::function<std::string(const Jar&)>& todo) {
  std::map<std::pair<std::string, std::string>, std::vector<std::int64_t>> alike;
  for (std::int64_t jar = 1; jar <= count(); ++jar) {
    if (where(jar) == not_there || where(jar) == "discarded") continue;
    alike[{where(jar), todo(at(jar))}].push_back(jar);
  }
  for (const auto& [key, jars] : alike) put(desk, {jars, key.first, why, key.second, true});
}

void Jars::tell(Desk& desk, const std::string& why, const std::string& todo) {
  tell_all(desk, why, [&](const Jar&) { return todo; });
}

void Jars::bar(Desk& desk, const std::string& why) {
  barred_ = true;
  tell_all(desk, why, [&](const Jar& jar) { return barred_todo(desk, jar); });
}

void Jars::unbar(Desk& desk) {
  barred_ = false;
  tell_all(desk, "put right", [](const Jar&) { return std::string(); });
}

}  // namespace maslin::batch
