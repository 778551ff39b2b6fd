// What happens on a pan against traces that another program has simulated: vessels, pours, pinches,
// slow slides, hands, new zeros, on scales of several intervals, rates and filters.
#include "daemon/weighing/moves.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "tests/reference/csv.hpp"
#include "tests/unit/weighing/move_score.hpp"

namespace maslin::weighing {
namespace {

// Their words for ours.
std::string told_as(const std::string& what, double net_g) {
  static const std::map<std::string, std::string> words = {
      {"add", "added"},         {"take", "taken"},    {"lift", "lifted"},
      {"disturb", "disturbed"}, {"drift", "drifted"}, {"newzero", "new zero"}};
  const auto it = words.find(what);
  if (what == "heavier" && net_g < 0) return "lighter";
  return it == words.end() ? what : it->second;
}

struct Trace {
  BenchKind kind;
  std::vector<BenchReading> readings;
  std::vector<Truth> truth;
};

std::map<std::string, Trace> traces() {
  std::map<std::string, Trace> all;
  for (const auto& row : reference::table("segment_traces.csv")) {
    auto& trace = all[row.text("sequence")];
    trace.kind.interval_g = row.number("interval_g");
    trace.kind.lag_s = row.number("lag_s");
    BenchReading one;
    one.reading.at_ms = std::llround(row.number("time_s") * 1000);
    one.mass_ug = std::llround(row.number("mass_g") * 1e6);
    // A scale that says nothing for so long is a lost one for the batch.
    one.unwatched =
        !trace.readings.empty() && one.reading.at_ms - trace.readings.back().reading.at_ms > 3000;
    trace.readings.push_back(one);
  }
  for (const auto& row : reference::table("segment_truth.csv")) {
    const double net_g = row.number("net_g");
    all[row.text("sequence")].truth.push_back({told_as(row.text("class"), net_g), row.text("style"),
                                               std::llround(row.number("from_s") * 1000),
                                               std::llround(row.number("to_s") * 1000), net_g});
  }
  return all;
}

TEST(MoveTraces, AreToldAsTheyWere) {
  MoveScore score;
  for (const auto& [sequence, trace] : traces()) {
    const int wrong = score.events - score.right;
    score.add(trace.truth, moves_of(trace.readings, trace.kind), trace.kind.interval_g);
    EXPECT_EQ(score.events - score.right, wrong) << "sequence " << sequence;
  }
  EXPECT_EQ(score.events, 117);
  EXPECT_EQ(score.extra, 0);
  EXPECT_EQ(score.net_share({"pour", "scoop", "lump", "pinch", "trickle"}), 1) << score.table();
}

}  // namespace
}  // namespace maslin::weighing
