// Outcomes over batches. With a handful of batches no test means anything: a figure is told only
// where all batches of one outcome lie on one side of all batches of the other.
#include "daemon/review/outcomes.hpp"

#include <algorithm>
#include <optional>
#include <string>

#include "daemon/quantity/decimal.hpp"
#include "daemon/review/series.hpp"

namespace maslin::review {
namespace {

constexpr std::size_t least_rated = 3;   // fewer are no comparison
constexpr std::size_t most_figures = 3;  // of one pair of outcomes, the clearest ones

// One question of a rating: its words in their order, the one that was wanted among them.
struct Question {
  const char* what;
  std::string proto::Report::*answer;
  std::vector<std::string> words;
  std::string wanted;
};
const std::vector<Question>& questions() {
  static const std::vector<Question> all = {
      {"set", &proto::Report::set, {"runny", "soft", "good", "stiff"}, "good"},
      {"heat", &proto::Report::heat, {"too mild", "right", "too hot"}, "right"},
      {"pieces", &proto::Report::pieces, {"even", "floating", "sunk"}, "even"}};
  return all;
}

// One figure over the batches of one outcome.
struct Spread {
  std::size_t count = 0;
  double least = 0;
  double mean = 0;
  double greatest = 0;
};
std::optional<Spread> spread(const std::vector<const proto::Report*>& reports,
                             const BatchFigure& figure) {
  Spread found;
  double sum = 0;
  for (const auto* report : reports) {
    const auto has = figure.of(*report);
    if (!has) continue;
    const double value = has->value;
    found.least = found.count == 0 ? value : std::min(found.least, value);
    found.greatest = found.count == 0 ? value : std::max(found.greatest, value);
    sum += value;
    ++found.count;
  }
  if (found.count == 0) return std::nullopt;
  found.mean = sum / static_cast<double>(found.count);
  return found;
}

std::string text(const Spread& spread, const BatchFigure& figure) {
  const auto number = [&](double value) {
    const std::string plain = quantity::plain(value, figure.decimals);
    return plain == "-0" ? "0" : plain;
  };
  std::string out = number(spread.mean) + (figure.unit.empty() ? "" : " " + figure.unit);
  if (spread.count > 1 && number(spread.least) != number(spread.greatest)) {
    out += " (" + number(spread.least) + " to " + number(spread.greatest) + ")";
  }
  return out;
}

std::string batches(std::size_t count) {
  return std::to_string(count) + (count == 1 ? " batch" : " batches");
}

using Group = std::vector<const proto::Report*>;

void compare(const Question& question, const std::string& word, const Group& other,
             const Group& wanted, const std::vector<BatchFigure>& figures,
             std::vector<std::string>& lines) {
  struct Apart {
    double gap;
    std::string line;
  };
  std::vector<Apart> apart;
  const auto head = [&](const std::string& how, std::size_t count) {
    return std::string(question.what) + " " + how + ", " + batches(count);
  };
  for (const auto& figure : figures) {
    const auto one = spread(other, figure);
    const auto two = spread(wanted, figure);
    if (!one || !two) continue;
    const double gap = std::max(one->least - two->greatest, two->least - one->greatest);
    const double range = std::max(one->greatest, two->greatest) - std::min(one->least, two->least);
    if (gap <= 0) continue;
    apart.push_back({gap / range, figure.name + ": " + head(word, one->count) + ", " +
                                      text(*one, figure) + "; " +
                                      head(question.wanted, two->count) + ", " +
                                      text(*two, figure) + "."});
  }
  std::stable_sort(apart.begin(), apart.end(),
                   [](const Apart& a, const Apart& b) { return a.gap > b.gap; });
  if (apart.empty()) {
    lines.push_back("No figure stands apart between " + head(word, other.size()) + ", and " +
                    head(question.wanted, wanted.size()) + ".");
  }
  for (std::size_t i = 0; i < std::min(most_figures, apart.size()); ++i) {
    lines.push_back(std::move(apart[i].line));
  }
}

Group answered(std::span<const proto::Report* const> reports, const Question& question,
               const std::string& word) {
  Group found;
  for (const auto* report : reports) {
    if (report->*question.answer == word) found.push_back(report);
  }
  return found;
}

}  // namespace

std::vector<proto::ReviewOutcome> outcomes(std::span<const proto::Report* const> reports) {
  std::vector<proto::ReviewOutcome> found;
  for (const auto& question : questions()) {
    for (const auto& word : question.words) {
      const auto count = answered(reports, question, word).size();
      if (count > 0) found.push_back({question.what, word, static_cast<std::int64_t>(count)});
    }
  }
  return found;
}

std::vector<std::string> went_with(std::span<const proto::Report* const> reports) {
  std::vector<std::string> lines;
  const auto all = batch_figures(reports);
  for (const auto& question : questions()) {
    const Group wanted = answered(reports, question, question.wanted);
    std::size_t rated = 0;
    for (const auto& word : question.words) rated += answered(reports, question, word).size();
    if (rated < least_rated || wanted.empty()) continue;
    for (const auto& word : question.words) {
      const Group other = answered(reports, question, word);
      if (word == question.wanted || other.empty()) continue;
      compare(question, word, other, wanted, all, lines);
    }
  }
  return lines;
}

}  // namespace maslin::review
