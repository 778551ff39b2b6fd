// What was told, recorded and true, asked after an evening.
#include <algorithm>
#include <cstdio>

#include "stage.hpp"

namespace maslin::scenario {
namespace {

bool holds(const std::string& text, std::string_view words) {
  return text.find(words) != std::string::npos;
}

double in_s(std::int64_t ms) { return static_cast<double>(ms) / 1000; }

std::string text_of(const Said& one) {
  return proto::entry_text({{0, one.at_ms, 0, 0}, one.outcome});
}

}  // namespace

std::vector<proto::Cue> Stage::told(std::string_view id, std::string_view words) const {
  auto cues = all<proto::Cue>();
  std::erase_if(cues, [&](const proto::Cue& one) {
    return (!id.empty() && one.id != id) || !holds(one.text, words);
  });
  return cues;
}

std::vector<proto::Condition> Stage::conditions(std::string_view what) const {
  auto found = all<proto::Condition>();
  std::erase_if(found, [&](const proto::Condition& one) { return one.what != what; });
  return found;
}

double Stage::told_s(std::string_view id, std::string_view words) const {
  for (const auto& one : said_) {
    const auto* cue = std::get_if<proto::Cue>(&one.outcome);
    if (cue != nullptr && cue->id == id && holds(cue->text, words)) return in_s(one.at_ms);
  }
  return -1;
}

double Stage::began_s(std::string_view phase) const {
  for (const auto& one : said_) {
    const auto* began = std::get_if<proto::PhaseBegan>(&one.outcome);
    if (began != nullptr && began->kind == phase) return in_s(one.at_ms);
  }
  return -1;
}

double Stage::condition_s(std::string_view what) const {
  for (const auto& one : said_) {
    const auto* condition = std::get_if<proto::Condition>(&one.outcome);
    if (condition != nullptr && condition->what == what) return in_s(one.at_ms);
  }
  return -1;
}

bool Stage::deviation(std::string_view about, std::string_view what) const {
  const auto found = all<proto::Deviation>();
  return std::any_of(found.begin(), found.end(), [&](const proto::Deviation& one) {
    return one.about == about && holds(one.what, what);
  });
}

std::string Stage::diary() const {
  std::string text = "\n";
  for (const auto& one : said_) {
    char time[32];
    std::snprintf(time, sizeof time, "%10.1f ", in_s(one.at_ms));
    if (const auto* cue = std::get_if<proto::Cue>(&one.outcome)) {
      text += time + cue->id + ": " + cue->text + "\n";
    } else if (!std::holds_alternative<proto::PlanFinal>(one.outcome)) {
      text += time + text_of(one) + "\n";
    }
  }
  return text;
}

std::map<std::string, proto::Weighing> Stage::weighings() const {
  std::map<std::string, proto::Weighing> last;
  for (const auto& weighing : all<proto::Weighing>()) last[weighing.ingredient] = weighing;
  return last;
}

double Stage::truth_g(const std::string& ingredient) const {
  for (const auto& one : world_.truth()) {
    if (one.ingredient == ingredient) return one.grams;
  }
  return 0;
}

TrueBath Stage::true_bath() const {
  struct Span {
    std::int64_t from_ms, to_ms;
  };
  std::vector<Span> spans;  // that counted in the end
  std::optional<std::int64_t> since_ms;
  for (const auto& one : said_) {
    const auto* condition = std::get_if<proto::Condition>(&one.outcome);
    if (condition == nullptr) continue;
    const auto& what = condition->what;
    if (what == "water bath began" || what == "boil lost") spans.clear();
    if (what == "boil lost") since_ms.reset();
    if (what == "water bath began" || what == "water bath went on") since_ms = one.at_ms;
    if (since_ms && (what == "water bath not watched" || what == "water bath done")) {
      spans.push_back({*since_ms, one.at_ms});
      since_ms.reset();
    }
  }
  TrueBath bath;
  for (const auto& span : spans) bath.credited_s += in_s(span.to_ms - span.from_ms);
  for (std::size_t i = 1; i < under_.size(); ++i) {
    const bool counted = std::any_of(spans.begin(), spans.end(), [&](const Span& span) {
      return under_[i].at_ms > span.from_ms && under_[i].at_ms <= span.to_ms;
    });
    if (!counted) continue;
    if (under_[i].kelvin < 0.5) bath.boiled_s += in_s(under_[i].at_ms - under_[i - 1].at_ms);
    bath.worst_under_k = std::max(bath.worst_under_k, under_[i].kelvin);
  }
  return bath;
}

// All that was fed, into an engine that is new; "" where it says what was said.
std::string Stage::fold(batch::Engine& engine) const {
  std::size_t next = 0;
  for (const auto& fed : fed_) {
    const auto outcomes =
        fed.input ? engine.input(fed.at_ms, *fed.input) : engine.reading(fed.reading);
    for (const auto& outcome : outcomes) {
      if (proto::effect_of(outcome) == proto::Effect::live) continue;
      const std::string again = text_of({engine.now_ms(), 0, outcome});
      if (next >= said_.size()) return "more is said: " + again;
      const std::string first = text_of(said_[next++]);
      if (first != again) return first + "\nis said again as\n" + again;
    }
  }
  return next == said_.size() ? "" : "not said again: " + text_of(said_[next]);
}

std::string Stage::folds_differently() const {
  batch::Engine engine;
  return fold(engine);
}

}  // namespace maslin::scenario
