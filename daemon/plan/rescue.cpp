// The closed form of rescue.hpp. What every ingredient must weigh at least grows with the factor,
// and convexly; what it may weigh at most grows too, and concavely. So where a ratio lacks room the
// factor is found by Newton's method from below, which is exact after as many steps as there are
// corners; and whatever stock, pan and largest factor refuse there, they refuse at every larger
// one.
#include "daemon/plan/rescue.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace maslin::plan {
namespace {

// Doubles of a few kilograms differ by less after the handful of sums made here.
constexpr double kSame = 1e-12;        // relative
constexpr double kHolds_g = 1e-9;      // a constraint holds that is missed by less
constexpr double kStepNoise_g = 1e-7;  // so little more than a multiple is that multiple
constexpr int kMostRounds = 200;       // more corners than any formula has

bool reaches(double a, double b) { return a >= b - kSame * std::max(1.0, std::abs(b)); }

// A figure and how fast it grows with the factor, to the right.
struct Line {
  double at = 0;
  double slope = 0;
};

Line least_of(const RescueItem& item, double s) {
  const double lower = s * item.lower_g;
  return reaches(lower, item.in_g) ? Line{std::max(lower, item.in_g), item.lower_g}
                                   : Line{item.in_g, 0};
}
Line most_of(const RescueItem& item, double s) {
  const double upper = s * item.upper_g;
  const double all = item.in_g + item.stock_g;
  return reaches(upper, all) ? Line{std::min(upper, all), 0} : Line{upper, item.upper_g};
}

// What each group of the ratios must weigh together, beginning with what its items weigh.
class Groups {
 public:
  explicit Groups(const RescueProblem& problem) : problem_(problem) {
    for (const auto& ratio : problem.ratios) {
      sides_.emplace_back(index_of(ratio.large), index_of(ratio.small));
    }
  }
  std::size_t size() const { return members_.size(); }
  const std::vector<std::size_t>& members(std::size_t group) const { return members_[group]; }
  bool in_any(std::size_t item) const {
    return std::any_of(members_.begin(), members_.end(), [&](const auto& group) {
      return std::find(group.begin(), group.end(), item) != group.end();
    });
  }
  const std::string& raised_by(std::size_t group) const { return raised_by_[group]; }

  // `weights`: by item. False where the ratios drive each other up without end.
  bool demand(std::span<const Line> weights, std::vector<Line>& groups) {
    groups.assign(size(), {});
    raised_by_.assign(size(), "");
    for (std::size_t g = 0; g < size(); ++g) {
      for (const std::size_t i : members_[g]) {
        groups[g].at += weights[i].at;
        groups[g].slope += weights[i].slope;
      }
    }
    for (int round = 0; round <= kMostRounds; ++round) {
      bool raised = false;
      for (std::size_t r = 0; r < sides_.size(); ++r) {
        const auto& ratio = problem_.ratios[r];
        auto& large = groups[sides_[r].first];
        const auto& small = groups[sides_[r].second];
        const Line needed{ratio.least * small.at + ratio.guard_g, ratio.least * small.slope};
        if (!reaches(large.at, needed.at)) {
          large = needed;
          raised = true;
          raised_by_[sides_[r].first] = ratio.name;
        } else if (reaches(needed.at, large.at) && needed.slope > large.slope * (1 + kSame)) {
          large.slope = needed.slope;
          raised = true;
          raised_by_[sides_[r].first] = ratio.name;
        }
      }
      if (!raised) return true;
    }
    return false;
  }

  // Gives what a group needs more than its items weigh to those of its items that have room.
  void share_out(std::span<const Line> groups, double s, std::vector<double>& weights) const {
    for (std::size_t g = 0; g < size(); ++g) {
      double lacking = groups[g].at;
      double room = 0;
      for (const std::size_t i : members_[g]) {
        lacking -= weights[i];
        room += std::max(0.0, most_of(problem_.items[i], s).at - weights[i]);
      }
      if (lacking <= kHolds_g) continue;
      for (const std::size_t i : members_[g]) {
        const double own = std::max(0.0, most_of(problem_.items[i], s).at - weights[i]);
        weights[i] +=
            room > 0 ? lacking * (own / room) : lacking / static_cast<double>(members_[g].size());
      }
    }
  }

 private:
  std::size_t index_of(const std::vector<std::size_t>& group) {
    const auto known = std::find(members_.begin(), members_.end(), group);
    if (known != members_.end()) return static_cast<std::size_t>(known - members_.begin());
    members_.push_back(group);
    return members_.size() - 1;
  }

  const RescueProblem& problem_;
  std::vector<std::vector<std::size_t>> members_;
  std::vector<std::pair<std::size_t, std::size_t>> sides_;  // large and small, by ratio
  std::vector<std::string> raised_by_;                      // the ratio that set a group's demand
};

class Solver {
 public:
  explicit Solver(const RescueProblem& problem) : problem_(problem), groups_(problem) {}

  Rescue run() {
    begin();
    if (!meet_ratios() || !fits_the_pan()) return std::move(found_);
    found_.feasible = true;
    top_up();
    return std::move(found_);
  }

 private:
  bool block(RescueLimit by, std::string name) {
    found_.blocked_by = by;
    found_.blocked_name = std::move(name);
    return false;
  }

  void begin() {
    for (const auto& item : problem_.items) {
      const double needed = item.in_g / item.upper_g;
      if (needed <= found_.factor || reaches(found_.factor, needed)) continue;
      found_.factor = needed;
      found_.limited_by = RescueLimit::band;
      found_.limited_name = item.name;
    }
  }

  std::vector<Line> least_set() const {
    std::vector<Line> weights;
    for (const auto& item : problem_.items) weights.push_back(least_of(item, found_.factor));
    return weights;
  }

  // What is not allowed at this factor is not at any larger one.
  bool allowed() {
    if (found_.factor > problem_.largest_factor * (1 + kSame)) {
      return block(RescueLimit::largest_factor, "");
    }
    for (const auto& item : problem_.items) {
      const bool lacking = found_.factor * item.lower_g > item.in_g + item.stock_g + kHolds_g;
      if (lacking || item.stock_g < -kHolds_g) return block(RescueLimit::stock, item.name);
    }
    return true;
  }

  bool meet_ratios() {
    for (int round = 0; round < kMostRounds; ++round) {
      if (!allowed()) return false;
      if (!groups_.demand(least_set(), demand_)) {
        return block(RescueLimit::ratio, problem_.ratios.front().name);
      }
      double next = found_.factor;
      std::string by;
      for (std::size_t g = 0; g < groups_.size(); ++g) {
        Line most;
        std::string out_of_stock;
        bool all_out = true;
        for (const std::size_t i : groups_.members(g)) {
          const Line one = most_of(problem_.items[i], found_.factor);
          most.at += one.at;
          most.slope += one.slope;
          all_out = all_out && one.slope == 0;
          if (one.slope == 0) out_of_stock = problem_.items[i].name;
        }
        if (reaches(most.at, demand_[g].at)) continue;
        const double closing = most.slope - demand_[g].slope;
        if (closing <= kSame) {
          return all_out ? block(RescueLimit::stock, out_of_stock)
                         : block(RescueLimit::ratio, groups_.raised_by(g));
        }
        const double needed = found_.factor + (demand_[g].at - most.at) / closing;
        if (needed <= next) continue;
        next = needed;
        by = groups_.raised_by(g);
      }
      if (next == found_.factor) return true;
      found_.factor = next;
      found_.limited_by = RescueLimit::ratio;
      found_.limited_name = by;
    }
    return block(RescueLimit::ratio, found_.limited_name);
  }

  bool fits_the_pan() {
    least_.clear();
    for (const auto& one : least_set()) least_.push_back(one.at);
    groups_.share_out(demand_, found_.factor, least_);
    if (sum(least_) > problem_.capacity_g + kHolds_g) return block(RescueLimit::capacity, "");
    return true;
  }

  static double sum(std::span<const double> weights) {
    double all = 0;
    for (const double weight : weights) all += weight;
    return all;
  }

  // From the least set towards the formula's proportions, all by one share. Both ends keep the
  // ratios, so everything between does.
  void top_up() {
    const double s = found_.factor;
    std::vector<double> best;
    std::vector<Line> weights;
    for (std::size_t i = 0; i < least_.size(); ++i) {
      const auto& item = problem_.items[i];
      const double nominal = std::min(s * item.nominal_g, most_of(item, s).at);
      best.push_back(item.chopped ? least_[i] : std::max(least_[i], nominal));
      weights.push_back({best.back(), 0});
    }
    if (groups_.demand(weights, demand_)) {
      groups_.share_out(demand_, s, best);
    } else {
      best = least_;
    }
    double share = 1;
    const auto stay_below = [&](double most, double from, double to) {
      if (to > most && to > from)
        share = std::min(share, std::max(0.0, (most - from) / (to - from)));
    };
    for (std::size_t i = 0; i < least_.size(); ++i) {
      stay_below(most_of(problem_.items[i], s).at, least_[i], best[i]);
    }
    stay_below(problem_.capacity_g, sum(least_), sum(best));
    for (std::size_t i = 0; i < least_.size(); ++i) {
      const double in = problem_.items[i].in_g;
      found_.least_g.push_back(std::max(0.0, least_[i] - in));
      found_.top_up_g.push_back(std::max(0.0, least_[i] + share * (best[i] - least_[i]) - in));
    }
  }

  const RescueProblem& problem_;
  Groups groups_;
  Rescue found_;
  std::vector<Line> demand_;   // by group
  std::vector<double> least_;  // by item
};

// A smaller addition is lost in what the scale itself is off by (common practice, no source).
constexpr double kSmallestSteps = 4;

double weighable(double steps, double step_g) {
  return steps > 0 ? std::max(steps, kSmallestSteps) * step_g : 0;
}
double steps_above(double value_g, double step_g) {
  return weighable(std::ceil((value_g - kStepNoise_g) / step_g), step_g);
}
double steps_below(double value_g, double step_g) {
  return weighable(std::floor((value_g + kStepNoise_g) / step_g), step_g);
}

// The factor at which these top-ups keep everything, not below `factor`; 0 where there is none.
double factor_for(const RescueProblem& problem, std::span<const double> top_up_g, double factor) {
  double most = problem.largest_factor;
  double all = 0;
  std::vector<double> weights;
  for (std::size_t i = 0; i < problem.items.size(); ++i) {
    const auto& item = problem.items[i];
    const double weight = item.in_g + top_up_g[i];
    if (top_up_g[i] > item.stock_g + kHolds_g) return 0;
    factor = std::max(factor, weight / item.upper_g);
    if (item.lower_g > 0) most = std::min(most, weight / item.lower_g);
    all += weight;
    weights.push_back(weight);
  }
  if (factor > most * (1 + kSame) || all > problem.capacity_g + kHolds_g) return 0;
  const auto together = [&](const std::vector<std::size_t>& group) {
    double sum = 0;
    for (const std::size_t i : group) sum += weights[i];
    return sum;
  };
  for (const auto& ratio : problem.ratios) {
    if (together(ratio.large) < ratio.least * together(ratio.small) + ratio.guard_g - kHolds_g) {
      return 0;
    }
  }
  return factor;
}

// The same once that much has been added. More than there is leaves a stock below zero, which no
// factor helps.
RescueProblem with_added(RescueProblem problem, std::span<const double> added_g) {
  for (std::size_t i = 0; i < problem.items.size(); ++i) {
    problem.items[i].in_g += added_g[i];
    problem.items[i].stock_g -= added_g[i];
  }
  return problem;
}

}  // namespace

Rescue rescue(const RescueProblem& problem) { return Solver(problem).run(); }

Rescue rounded(const RescueProblem& problem, const Rescue& found, std::span<const double> step_g) {
  if (!found.feasible) return found;
  const std::size_t n = problem.items.size();
  std::vector<double> up(n);
  std::vector<double> near(n);
  std::vector<double> least(n);
  for (std::size_t i = 0; i < n; ++i) {
    up[i] = steps_above(found.top_up_g[i], step_g[i]);
    least[i] = steps_above(found.least_g[i], step_g[i]);
    near[i] = std::max(least[i], steps_below(found.top_up_g[i], step_g[i]));
  }
  Rescue blocked = found;
  for (auto& tried : {up, near, least}) {
    auto top_up = tried;
    double factor = found.factor;
    // What was rounded up may ask for a little more of another, and that again.
    for (int round = 0; round < kMostRounds; ++round) {
      if (const double fits = factor_for(problem, top_up, factor); fits > 0) {
        Rescue answer = found;
        answer.factor = fits;
        answer.least_g = least;
        answer.top_up_g = top_up;
        return answer;
      }
      const auto more = rescue(with_added(problem, top_up));
      if (!more.feasible) {
        blocked.blocked_by = more.blocked_by;
        blocked.blocked_name = more.blocked_name;
        break;
      }
      factor = std::max(factor, more.factor);
      bool any = false;
      for (std::size_t i = 0; i < n; ++i) {
        const double total = steps_above(top_up[i] + more.least_g[i], step_g[i]);
        any = any || total > top_up[i] + kStepNoise_g;
        top_up[i] = std::max(top_up[i], total);
      }
      if (!any && factor_for(problem, top_up, factor) == 0) {
        blocked.blocked_by = RescueLimit::band;
        blocked.blocked_name = more.limited_name;
        break;
      }
    }
  }
  blocked.feasible = false;
  blocked.least_g.clear();
  blocked.top_up_g.clear();
  return blocked;
}

}  // namespace maslin::plan
