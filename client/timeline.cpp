// Bars and words of timeline.hpp.
#include "client/timeline.hpp"

#include <algorithm>
#include <cstdlib>

#include "client/text.hpp"

namespace maslin::client {
namespace {

constexpr std::size_t label = 7;  // columns before a bar: "canner "

// Whole minutes where there are some: nobody cooks by the second here.
std::string about(std::int64_t ms) {
  return ms < 60'000 ? span_text(std::max<std::int64_t>(ms, 0) / 1000 * 1000)
                     : std::to_string((ms + 30'000) / 60'000) + " min";
}

}  // namespace

std::vector<std::string> timeline(const std::vector<proto::ScheduledSpan>& schedule,
                                  std::int64_t now_ms, std::size_t columns) {
  std::vector<std::string> lines;
  if (schedule.empty() || columns < label + 12) return lines;
  std::int64_t end_ms = now_ms + 1;
  for (const auto& span : schedule) end_ms = std::max(end_ms, span.to_ms);
  const std::size_t wide = columns - label;
  const auto place = [&](std::int64_t at_ms) {
    const double share = static_cast<double>(std::clamp<std::int64_t>(at_ms, 0, end_ms)) /
                         static_cast<double>(end_ms);
    return std::min(wide - 1, static_cast<std::size_t>(share * static_cast<double>(wide)));
  };
  for (const char* line : {"pan", "canner"}) {
    std::string bar(wide, ' ');
    for (const auto& span : schedule) {
      if (span.line != line) continue;
      const std::size_t from = place(span.from_ms);
      const std::size_t to = std::max(place(span.to_ms), from + 1);
      for (std::size_t i = from; i < to; ++i) {
        const bool over = span.state == "done" || (span.state == "now" && i < place(now_ms));
        bar[i] = over ? '=' : span.state == "now" ? '#' : '-';
      }
      bar[from] = '|';
    }
    std::string name = line;
    name.resize(label, ' ');
    lines.push_back(name + bar);
  }
  lines.push_back(std::string(label + place(now_ms), ' ') + "^now");
  if (lines.back().size() > columns) {
    lines.back() = std::string(label + place(now_ms) - 3, ' ') + "now^";
  }
  for (const char* line : {"pan", "canner"}) {
    if (auto words = line_words(schedule, line, now_ms); !words.empty()) {
      lines.push_back(cut(words, columns));
    }
  }
  return lines;
}

std::string line_words(const std::vector<proto::ScheduledSpan>& schedule, const std::string& line,
                       std::int64_t now_ms) {
  const proto::ScheduledSpan* now = nullptr;
  const proto::ScheduledSpan* next = nullptr;
  for (const auto& span : schedule) {
    if (span.line != line) continue;
    if (span.state == "now") now = &span;
    if (span.state == "next" && (next == nullptr || span.from_ms < next->from_ms)) next = &span;
  }
  if (now == nullptr && next == nullptr) return "";
  std::string text = line + ": ";
  if (now != nullptr) text += now->text + ", about " + about(now->to_ms - now_ms);
  if (next == nullptr) return text;
  if (now != nullptr) return text + "; then " + next->text;
  return text + next->text + " in about " + about(next->from_ms - now_ms);
}

std::string slack_words(std::int64_t slack_ms) {
  if (std::abs(slack_ms) < 60'000) return "canner ready when the jars are full";
  return slack_ms >= 0 ? "canner ready about " + about(slack_ms) + " before the jars are full"
                       : "canner late: about " + about(-slack_ms) + " after the jars are full";
}

}  // namespace maslin::client
