// What the cook says beside the commands, during the batch and long after it: how it turned out,
// where jars are, which facts were wrong.
#include <algorithm>

#include "daemon/batch/amend.hpp"
#include "daemon/batch/engine.hpp"
#include "daemon/batch/measured.hpp"
#include "daemon/batch/words.hpp"

namespace maslin::batch {
namespace {

// A jelly with pectin may take a day to two weeks to set (common practice, no source).
constexpr std::int64_t may_still_set_ms = 14LL * 86'400'000;

// What a remake with pectin is for: something that was to set. Common practice, no source, as to
// how much sugar makes a jelly or jam of it.
bool is_jelly(const proto::Plan& plan) {
  std::int64_t all = 0;
  std::int64_t sugar = 0;
  for (const auto& one : plan.ingredients) {
    if (one.counts_as == "pectin") return true;
    all += one.nominal_ug;
    if (one.counts_as == "sugar") sugar += one.nominal_ug;
  }
  return sugar > 0 && sugar * 5 >= all * 2;
}

}  // namespace

std::optional<proto::Trouble> Engine::refuses(const proto::Rating& rating) const {
  struct Field {
    const char* name;
    const std::string& value;
    std::vector<std::string> words;
  };
  const Field fields[] = {{"set", rating.set, {"runny", "soft", "good", "stiff"}},
                          {"heat", rating.heat, {"too mild", "right", "too hot"}},
                          {"pieces", rating.pieces, {"even", "floating", "sunk"}}};
  if (!ended_ || std::string_view(end_state_) != "complete") {
    return proto::Trouble{"only a batch that is complete can be rated", "batch",
                          "rate it a day after, when it has set"};
  }
  bool any = false;
  for (const auto& field : fields) {
    if (field.value.empty()) continue;
    any = true;
    if (std::find(field.words.begin(), field.words.end(), field.value) != field.words.end())
      continue;
    std::string known;
    for (const auto& word : field.words) known += (known.empty() ? "" : ", ") + word;
    return proto::Trouble{"'" + proto::excerpt(field.value, 60) + "' is no word for it", field.name,
                          "write one of: " + known};
  }
  if (!any) {
    return proto::Trouble{"nothing is rated", "", "give set, heat or pieces"};
  }
  return too_long(rating.text);
}

void Engine::take(const proto::Rating& rating) {
  if (refuses(rating)) return;
  const std::int64_t after_ms = desk_.now_ms - ended_ms_;
  desk_.emit(proto::Rated{rating, after_ms});
  if ((rating.set != "runny" && rating.set != "soft") || !is_jelly(desk_.plan)) return;
  if (after_ms < may_still_set_ms) {
    desk_.advice.push_back(
        "It may set yet: a jelly with pectin takes up to two weeks. After that it can be made "
        "again.");
  }
  for (const char* pectin : {"powdered", "liquid"}) {
    desk_.advice.push_back("Made again with " + std::string(pectin) +
                           " pectin: maslin start remake-with-" + pectin + "-pectin --parent " +
                           desk_.start.batch + " --have \"soft jelly=... g\"");
  }
}

std::optional<proto::Trouble> Engine::refuses(const proto::Input& input, std::int64_t at_ms) const {
  if (const auto* command = std::get_if<proto::Command>(&input)) return refuses(*command, at_ms);
  if (const auto* rating = std::get_if<proto::Rating>(&input)) return refuses(*rating);
  if (const auto* word = std::get_if<proto::JarWord>(&input)) return refuses(*word);
  if (const auto* amendment = std::get_if<proto::Amendment>(&input)) return refuses(*amendment);
  if (const auto* told = std::get_if<proto::Measured>(&input)) return refuses(*told, at_ms);
  return std::nullopt;
}

std::optional<proto::Trouble> Engine::refuses(const proto::JarWord& word) const {
  if (auto trouble = too_long(word.text)) return trouble;
  if (word.what == "now") return desk_.jars.refuses(word);
  if (!operation_ || ended_) {
    return proto::Trouble{"the batch does not ask for that now", "",
                          "how many there are: maslin amend BATCH --jars; where they are: maslin jar"};
  }
  return operation_->refuses(desk_, word);
}

std::optional<proto::Trouble> Engine::refuses(const proto::Amendment& amendment) const {
  if (auto trouble = too_long(amendment.text)) return trouble;
  return amendment_refused(desk_, amendment);
}

void Engine::take(const proto::Amendment& amendment) {
  if (refuses(amendment)) return;
  amend(desk_, amendment);
  if (ended_) return;
  if (before_) before_->amended(desk_);
  if (operation_) operation_->amended(desk_);
  // The first line is what the cook has said; the rest is news.
  std::string news;
  for (std::size_t i = 1; i < desk_.advice.size(); ++i) {
    news += (news.empty() ? "" : " ") + desk_.advice[i];
  }
  if (!news.empty()) desk_.cue("amended", news);
}

std::optional<proto::Trouble> Engine::refuses(const proto::Measured& measured,
                                              std::int64_t at_ms) const {
  if (!started_) return proto::Trouble{"no batch has begun", "batch", ""};
  return measured_refused(desk_, measured, std::max(at_ms, desk_.now_ms));
}

void Engine::take(const proto::Measured& measured) {
  if (refuses(measured, desk_.now_ms)) return;
  take_measured(desk_, measured);
  if (!ended_ && operation_) operation_->amended(desk_);
}

void Engine::take(const proto::JarWord& word) {
  if (refuses(word)) return;
  if (word.what == "now") {
    desk_.jars.take(desk_, word);
    if (operation_) operation_->jars_moved(desk_);
  } else {
    operation_->take(desk_, word);
  }
}

}  // namespace maslin::batch
