// Matches the moves that a tracker told with what the cook did: the confusion table.
#pragma once

#include <cmath>
#include <initializer_list>
#include <iomanip>
#include <map>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "bench_cook.hpp"
#include "daemon/weighing/moves.hpp"

namespace maslin::weighing {

struct MoveScore {
  std::map<std::string, std::map<std::string, int>> told_for;  // by truth, by what was told
  std::map<std::string, std::pair<int, int>> net_of;           // by style: within 2 d, of
  int events = 0;
  int right = 0;
  int extra = 0;

  // Not scored: less than three intervals, stirring of less than five.
  void add(const std::vector<Truth>& truth, const std::vector<Move>& moves, double interval_g) {
    std::vector<bool> used(moves.size(), false);
    // What counts is the last rest before the next move.
    const auto step_g = [&](std::size_t m) {
      const std::int64_t to_ug = m + 1 < moves.size() ? moves[m + 1].from_ug : moves[m].to_ug;
      return static_cast<double>(to_ug - moves[m].from_ug) / 1e6;
    };
    for (std::size_t t = 0; t < truth.size(); ++t) {
      const auto& one = truth[t];
      const std::int64_t until_ms = t + 1 < truth.size() ? truth[t + 1].from_ms : one.to_ms + 9000;
      const auto here = [&](const Move& m) {
        return m.began_ms >= one.from_ms - 700 && m.began_ms < until_ms - 700;
      };
      const bool small = (one.net_g != 0 && std::abs(one.net_g) < 3 * interval_g) ||
                         (one.style == "stir" && interval_g > 2);
      int best = -1;
      double net_g = 0;
      for (std::size_t m = 0; m < moves.size(); ++m) {
        if (used[m] || !here(moves[m])) continue;
        if (small) {
          used[m] = true;
          continue;
        }
        const bool same = name(moves[m].what) == one.what;
        if (best >= 0 && !same) continue;
        if (best >= 0 && name(moves[static_cast<std::size_t>(best)].what) != one.what)
          used[static_cast<std::size_t>(best)] = false;  // a better one
        best = static_cast<int>(m);
        used[m] = true;
        if (same) net_g += step_g(m);
      }
      if (small) continue;
      ++events;
      const std::string told =
          best < 0 ? "missed" : std::string(name(moves[static_cast<std::size_t>(best)].what));
      ++told_for[one.what][told];
      if (told == one.what) ++right;
      if (told == one.what && one.net_g != 0 && one.what != "drifted") {
        const std::string key = one.what == "added" ? one.style : one.what;
        auto& [within, of] = net_of[key];
        ++of;
        within += std::abs(net_g - one.net_g) <= 2 * interval_g ? 1 : 0;
      }
    }
    for (const bool u : used) extra += u ? 0 : 1;
  }

  int all(const std::string& what) const {
    int sum = 0;
    if (const auto row = told_for.find(what); row != told_for.end()) {
      for (const auto& [told, n] : row->second) sum += n;
    }
    return sum;
  }
  int wrong(const std::string& what) const {
    const auto row = told_for.find(what);
    if (row == told_for.end()) return 0;
    const auto it = row->second.find(what);
    return all(what) - (it == row->second.end() ? 0 : it->second);
  }
  double net_share(std::initializer_list<const char*> styles) const {
    int within = 0;
    int of = 0;
    for (const char* style : styles) {
      if (const auto it = net_of.find(style); it != net_of.end()) {
        within += it->second.first;
        of += it->second.second;
      }
    }
    return of == 0 ? 1 : static_cast<double>(within) / of;
  }

  // The confusion table, in percent of each row.
  std::string table() const {
    std::ostringstream out;
    out << std::fixed << std::setprecision(1);
    for (const auto& [what, row] : told_for) {
      out << what << ", " << all(what) << ":";
      for (const auto& [told, n] : row) out << "  " << told << ' ' << 100.0 * n / all(what);
      out << '\n';
    }
    for (const auto& [style, n] : net_of) {
      out << "net within 2 d of " << style << ", " << n.second << ": " << 100.0 * n.first / n.second
          << '\n';
    }
    out << std::setprecision(2) << events << " events, right " << 100.0 * right / events
        << ", extra " << 100.0 * extra / events << " in 100\n";
    return out.str();
  }
};

// Runs a tracker over what a cook did; what was mended is taken back.
inline std::vector<Move> moves_of(const std::vector<BenchReading>& readings,
                                  const BenchKind& kind) {
  MoveTracker tracker(std::llround(kind.interval_g * 1e6), std::llround(kind.lag_s * 1000));
  std::vector<Move> moves;
  for (const auto& one : readings) {
    if (one.unwatched) tracker.begin_epoch(one.reading.at_ms);
    const auto move = tracker.feed(one.reading.at_ms, one.mass_ug,
                                   (one.reading.state & proto::state::moving) != 0);
    if (!move) continue;
    for (int i = 0; i < move->mends && !moves.empty(); ++i) moves.pop_back();
    moves.push_back(*move);
  }
  return moves;
}

}  // namespace maslin::weighing
