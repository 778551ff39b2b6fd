// The rules of voice.hpp.
#include "daemon/batch/voice.hpp"

#include <algorithm>
#include <utility>

namespace maslin::batch {
namespace {

constexpr int urgent = 3;
constexpr int now = 4;
constexpr int most_repeats = 2;
// What is insisted on is not said for ever (common practice, no source).
constexpr std::int64_t longest_insisting_ms = 300'000;
constexpr std::int64_t minute_ms = 60'000;
constexpr std::int64_t day_min = 24 * 60;

}  // namespace

void Voice::begin(const proto::Settings& settings, std::int64_t local_less_ms) {
  always_quiet_ = settings.quiet;
  quiet_from_min_ = settings.quiet_from_min;
  quiet_to_min_ = settings.quiet_to_min;
  local_less_ms_ = local_less_ms;
}

bool Voice::quiet(std::int64_t now_ms) const {
  if (always_quiet_) return true;
  const std::int64_t minutes = (now_ms + local_less_ms_) / minute_ms;
  const std::int64_t minute = (minutes % day_min + day_min) % day_min;
  if (quiet_from_min_ <= quiet_to_min_) {
    return minute >= quiet_from_min_ && minute < quiet_to_min_;
  }
  return minute >= quiet_from_min_ || minute < quiet_to_min_;  // over midnight
}

proto::Cue Voice::quietened(proto::Cue cue, std::int64_t now_ms) const {
  cue.quietly = cue.urgency < now && quiet(now_ms);
  return cue;
}

std::optional<proto::Cue> Voice::say(proto::Cue cue, const proto::CueKind& kind,
                                     std::int64_t now_ms) {
  const Open open{
      cue, cue.urgency, kind.again_s, now_ms, now_ms + 1000 * std::int64_t{kind.again_s}, 0, false};
  switch (kind.unanswered) {
    case proto::Unanswered::asked:
      if (question_ && question_->urgency >= urgent && cue.urgency < question_->urgency) {
        waiting_ = open;
        return std::nullopt;
      }
      question_ = open;
      break;
    case proto::Unanswered::until_act:
      insisting_ = open;
      break;
    case proto::Unanswered::answers:
      question_.reset();
      break;
    case proto::Unanswered::once:
      break;
  }
  return quietened(std::move(cue), now_ms);
}

void Voice::acted() {
  question_.reset();
  insisting_.reset();
}

void Voice::new_step() {
  acted();
  waiting_.reset();
}

void Voice::answered(std::string_view id) {
  for (auto* open : {&question_, &waiting_, &insisting_}) {
    if (*open && (*open)->cue.id == id) open->reset();
  }
}

std::optional<proto::Cue> Voice::next_in_turn(std::int64_t now_ms) {
  if (!waiting_ || question_) return std::nullopt;
  auto open = *std::exchange(waiting_, std::nullopt);
  open.since_ms = now_ms;
  open.next_ms = now_ms + 1000 * std::int64_t{open.again_s};
  question_ = open;
  return quietened(std::move(open.cue), now_ms);
}

std::vector<proto::Cue> Voice::time_passed(std::int64_t now_ms, bool answerable) {
  std::vector<proto::Cue> again;
  if (insisting_ && !insisting_->stands && now_ms >= insisting_->next_ms) {
    insisting_->next_ms = now_ms + 1000 * std::int64_t{insisting_->again_s};
    insisting_->stands = insisting_->next_ms - insisting_->since_ms > longest_insisting_ms;
    again.push_back(quietened(insisting_->cue, now_ms));
  }
  if (question_ && !question_->stands && now_ms >= question_->next_ms) {
    if (!answerable) {
      question_.reset();
      return again;
    }
    auto& open = *question_;
    open.cue.urgency = ++open.repeats == 1 ? std::min(open.cue.urgency + 1, urgent) : urgent;
    open.next_ms = open.since_ms + 3000 * std::int64_t{open.again_s};
    open.stands = open.repeats == most_repeats;
    again.push_back(quietened(open.cue, now_ms));
  }
  return again;
}

std::optional<std::int64_t> Voice::deadline_ms() const {
  std::optional<std::int64_t> next;
  for (const auto* open : {&question_, &insisting_}) {
    if (*open && !(*open)->stands && (!next || (*open)->next_ms < *next)) next = (*open)->next_ms;
  }
  return next;
}

}  // namespace maslin::batch
