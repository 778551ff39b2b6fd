// The stages of the seal check.
#include "daemon/batch/seal.hpp"

#include <algorithm>

#include "daemon/batch/limits.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {
namespace {

constexpr std::int64_t hour_ms = 3'600'000;
constexpr std::int64_t day_ms = 24 * hour_ms;
// Jars stand 12 to 24 hours before their seals are tested, and one that did not seal is processed
// again within 24 hours, frozen or refrigerated: USDA Complete Guide to Home Canning (AIB 539),
// guide 1.
constexpr std::int64_t stand_ms = 12 * hour_ms;
// Where no waking hour comes in time, the cook is asked so long before the day is over (common
// practice, no source).
constexpr std::int64_t before_day_ms = hour_ms;
// A jar that nobody answers for is not sealed (common practice, no source).
constexpr std::int64_t answer_within_ms = 60'000;
// Sooner than that nobody has gone to the next jar and pressed it (common practice, no source).
constexpr std::int64_t felt_after_ms = 2500;

}  // namespace

void SealCheck::begin(Desk& desk) {
  desk.emit(proto::PhaseBegan{index(), planned(desk).kind, "", planned(desk).text});
  const std::int64_t bath_ms = desk.bath_ended_ms.value_or(desk.now_ms - stand_ms);
  day_over_ms_ = desk.first_bath_ended_ms.value_or(bath_ms) + day_ms;
  jars_ = desk.jars.in("cooling");
  if (desk.jars.filled() && jars_.empty()) {  // none is left that could have sealed
    finish();
    return;
  }
  stood_ms_ = bath_ms + stand_ms;
  const std::int64_t earliest = std::max(desk.now_ms, stood_ms_);
  due_ms_ = std::min(desk.waking(earliest), day_over_ms_ - before_day_ms);
  if (desk.now_ms >= *due_ms_) call(desk);
}

// From here on the cook is waited for, and called once more before it is too late.
void SealCheck::stand_ready(const Desk& desk) {
  stage_ = Stage::ready;
  next_ = 0;
  open_.clear();
  due_ms_.reset();
  if (desk.now_ms < day_over_ms_ - before_day_ms) due_ms_ = day_over_ms_ - before_day_ms;
}

void SealCheck::call(Desk& desk) {
  stand_ready(desk);
  desk.ask_anew();
  if (!planned(desk).caution.empty()) desk.cue("caution", planned(desk).caution);
  say_again(desk);
}

std::int64_t SealCheck::left_ms(const Desk& desk) const {
  return std::max<std::int64_t>(due_ms_.value_or(0) - desk.now_ms, 0);
}

bool SealCheck::late(const Desk& desk) const { return desk.now_ms >= day_over_ms_; }

void SealCheck::say_again(Desk& desk) {
  switch (stage_) {
    case Stage::waiting:
      desk.cue("jars", "Leave the jars alone. Their seals are asked about in " +
                           quantity::span_of_time(left_ms(desk)) + ".");
      break;
    case Stage::ready:
      desk.cue("step",
               planned(desk).text +
                   (jars_.empty() ? " Say ok when every lid is down."
                                  : " Stand by the jars and say ok: each one is asked for."));
      break;
    case Stage::each:
      ask(desk);
      break;
    case Stage::deciding:
      desk.cue("jars", capitalised(quantity::jar_names(open_)) +
                           " did not seal. Into the refrigerator: say ok. Freezer, or a new lid "
                           "and the whole bath again: say so with maslin jar " +
                           desk.start.batch + ".");
      break;
  }
}

void SealCheck::ask(Desk& desk) {
  const std::string jar = "jar " + std::to_string(jars_[next_]);
  desk.ask_anew();
  due_ms_ = desk.now_ms + answer_within_ms;
  desk.cue("seal_asked",
           next_ == 0 ? capitalised(jar) +
                            ": press the middle of its lid. If it does not give, say "
                            "ok; a minute of silence says that it is not sealed."
                      : capitalised(jar) + ": firm? Say ok. Soft: wait.",
           jar);
}

std::optional<proto::Trouble> SealCheck::refuses_ok(const Desk& desk) const {
  if (stage_ == Stage::each && desk.now_ms - desk.asked_ms() < felt_after_ms) {
    return proto::Trouble{"nobody presses a lid so quickly", "", "say ok again if it is firm"};
  }
  if (stage_ != Stage::waiting || desk.now_ms >= stood_ms_) return std::nullopt;
  return untouched(stood_ms_ - desk.now_ms);
}

void SealCheck::ok(Desk& desk) {
  switch (stage_) {
    case Stage::waiting:  // the cook is up
      call(desk);
      break;
    case Stage::ready:
      if (jars_.empty()) {
        desk.emit(proto::Condition{"seal check done", "seen by the cook", 0});
        finish();
        break;
      }
      stage_ = Stage::each;
      ask_or_judge(desk);
      break;
    case Stage::each:
      ++next_;
      ask_or_judge(desk);
      break;
    case Stage::deciding:
      desk.jars.put(desk, {open_, "refrigerator", "not sealed", "Into the refrigerator now."});
      finish();
      break;
  }
}

void SealCheck::ask_or_judge(Desk& desk) {
  if (next_ < jars_.size()) {
    ask(desk);
  } else {
    judge(desk);
  }
}

// What sealed may stand on the shelf if the batch may; what did not has until the day is over.
void SealCheck::judge(Desk& desk) {
  std::vector<std::int64_t> sealed;
  for (const auto jar : jars_) {
    if (std::find(open_.begin(), open_.end(), jar) == open_.end()) sealed.push_back(jar);
  }
  desk.emit(proto::Condition{"seal check done", "seen by the cook", 0});
  const std::string why_not = not_for_shelf(desk);
  if (!sealed.empty()) {
    if (desk.standing.left()) {
      desk.jars.put(desk, {sealed, "discarded", "the food had stood for hours",
                           "Discard them and do not taste them."});
    } else if (why_not.empty()) {
      desk.jars.put(desk, {sealed, "shelf", "sealed", "Wash, label and keep cool and dark."});
    } else {
      desk.jars.put(desk,
                    {sealed, "refrigerator", why_not, "Into the refrigerator: not for the shelf."});
      desk.cue("jars", capitalised(quantity::jar_names(sealed)) + " into the refrigerator: " +
                           why_not + ", so nothing of it is for the shelf.");
    }
  }
  if (open_.empty()) {
    finish();
    return;
  }
  if (late(desk)) {
    give_up(desk);
    return;
  }
  if (!why_not.empty()) {  // a second bath makes no shelf of it either
    desk.cue("jars",
             capitalised(quantity::jar_names(open_)) + " did not seal: into the refrigerator now.");
    desk.jars.put(desk, {open_, "refrigerator", "not sealed", "Into the refrigerator now."});
    finish();
    return;
  }
  desk.jars.put(desk, {open_, "not sealed", "its lid gave",
                       "Today: refrigerator, freezer, or a new lid and the whole bath again."});
  stage_ = Stage::deciding;
  due_ms_ = day_over_ms_;
  desk.ask_anew();
  say_again(desk);
}

void SealCheck::give_up(Desk& desk) {
  desk.jars.day_over(desk, open_);
  finish();
}

std::optional<proto::Trouble> SealCheck::refuses(const Desk& desk,
                                                 const proto::JarWord& word) const {
  if (stage_ == Stage::deciding && word.what == "process again") {
    if (desk.process_again_by_ms) {
      return proto::Trouble{"these jars went through the bath twice", "",
                            "into the refrigerator or the freezer with them"};
    }
    for (const auto jar : word.jars) {
      if (std::find(open_.begin(), open_.end(), jar) != open_.end()) continue;
      return proto::Trouble{"jar " + std::to_string(jar) + " is not one that did not seal", "jars",
                            "only those: " + quantity::jar_names(open_)};
    }
    return std::nullopt;
  }
  if (word.what != "sealed" && word.what != "not sealed") return Operation::refuses(desk, word);
  if (stage_ == Stage::waiting) {
    if (auto trouble = refuses_ok(desk)) return trouble;
  }
  if (stage_ == Stage::deciding) {
    return proto::Trouble{"the seals are told already", "", "maslin jar says where a jar goes"};
  }
  if (jars_.empty()) {
    return proto::Trouble{"it was never told how many jars there are", "", "say ok"};
  }
  for (const auto jar : word.jars) {
    if (std::find(jars_.begin(), jars_.end(), jar) == jars_.end()) {
      return proto::Trouble{"jar " + std::to_string(jar) + " was not in the bath", "jars",
                            "only those: " + quantity::jar_names(jars_)};
    }
  }
  if (word.count < 0 || word.count > static_cast<std::int64_t>(jars_.size())) {
    return proto::Trouble{"that is no number of these jars", "count",
                          "there are " + std::to_string(jars_.size())};
  }
  return std::nullopt;
}

void SealCheck::take(Desk& desk, const proto::JarWord& word) {
  if (word.what == "process again") {
    const auto& jars = word.jars.empty() ? open_ : word.jars;
    std::vector<std::int64_t> left;
    for (const auto jar : open_) {
      if (std::find(jars.begin(), jars.end(), jar) == jars.end()) left.push_back(jar);
    }
    if (!left.empty()) {
      desk.jars.put(desk, {left, "refrigerator", "not sealed", "Into the refrigerator now."});
    }
    desk.jars.put(desk, {jars, "cooling", "new lid, the whole bath again", ""});
    again_ = true;
    desk.process_again_by_ms = day_over_ms_;
    desk.first_bath_ended_ms.reset();
    finish();
    return;
  }
  open_ = word.jars;
  if (word.what == "sealed") {  // all that are named; none named means all
    open_.clear();
    for (const auto jar : jars_) {
      if (!word.jars.empty() &&
          std::find(word.jars.begin(), word.jars.end(), jar) == word.jars.end()) {
        open_.push_back(jar);
      }
    }
  } else if (open_.empty()) {  // a count: jars without labels are as good as one another
    open_.assign(jars_.end() - static_cast<std::ptrdiff_t>(word.count), jars_.end());
  }
  judge(desk);
}

// The cook has said where jars went: what is gone is not asked about.
void SealCheck::jars_moved(Desk& desk) {
  if (done()) return;
  if (stage_ == Stage::deciding) {
    std::erase_if(open_, [&](auto jar) { return desk.jars.where(jar) != "not sealed"; });
    if (open_.empty()) finish();
    return;
  }
  const auto gone = [&](auto jar) { return desk.jars.where(jar) != "cooling"; };
  const bool asked = stage_ == Stage::each && gone(jars_[next_]);
  next_ -= static_cast<std::size_t>(
      std::count_if(jars_.begin(), jars_.begin() + static_cast<std::ptrdiff_t>(next_), gone));
  std::erase_if(jars_, gone);
  std::erase_if(open_, gone);
  if (jars_.empty()) {
    finish();
  } else if (asked) {
    ask_or_judge(desk);
  }
}

void SealCheck::time_passed(Desk& desk) {
  if (done() || !due_ms_ || desk.now_ms < *due_ms_) return;
  switch (stage_) {
    case Stage::waiting:
      call(desk);
      break;
    case Stage::ready:
      due_ms_.reset();
      say_again(desk);
      break;
    case Stage::each:
      open_.push_back(jars_[next_++]);
      ask_or_judge(desk);
      break;
    case Stage::deciding:
      give_up(desk);
      break;
  }
}

// Nobody could be heard meanwhile: the jars are gone through anew.
void SealCheck::unwatched(Desk& desk) {
  if (stage_ == Stage::each) stand_ready(desk);
}

std::optional<std::int64_t> SealCheck::deadline_ms() const {
  if (done()) return std::nullopt;
  return due_ms_;
}

void SealCheck::describe(const Desk& desk, proto::BatchStatus& status) const {
  if (stage_ == Stage::waiting || stage_ == Stage::each) {
    status.left_ms = left_ms(desk);
  }
}

std::optional<int> SealCheck::goes_back(const Desk& desk) const {
  if (!again_) return std::nullopt;
  for (int i = index() - 1; i >= 0; --i) {
    if (desk.plan.operations[static_cast<std::size_t>(i)].kind == "water bath") return i;
  }
  return std::nullopt;
}

}  // namespace maslin::batch
