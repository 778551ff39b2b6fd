// Bands, critical limits and aims; see the header.
#include "daemon/plan/limits.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <string>

#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/rational.hpp"
#include "daemon/weighing/conformity.hpp"

namespace maslin::plan {
namespace {

using formula::Counts;
using formula::Formula;
using formula::Ratio;
using quantity::grams;
using quantity::Wide;

constexpr Wide kMillion = 1'000'000;
// How many of the cook's standard deviations the aim keeps from what would not be accepted: one
// pour in forty then falls short (common practice, no source).
constexpr double kSpreads = 2.0;

double in_grams(std::int64_t micrograms) { return static_cast<double>(micrograms) / 1e6; }
std::int64_t in_micrograms(double grams) {
  return static_cast<std::int64_t>(std::ceil(grams * 1e6));
}

// What the critical ratios leave to one ingredient while all others are as planned: the limit and
// how far inside it a net must lie.
struct Limit {
  std::int64_t at_ug = 0;
  std::int64_t guard_ug = 0;
};
struct Critical {
  std::optional<Limit> least;
  std::optional<Limit> most;
  std::string ratio;  // "acid per low-acid food", of the last limit set
};

std::string title(const Ratio& ratio) {
  return std::string(name(ratio.of)) + " per " + std::string(name(ratio.per));
}

struct Sums {
  Wide of = 0;
  Wide per = 0;
  double of_variance = 0;  // g^2
  double per_variance = 0;
  double worst = 0;  // greatest standard uncertainty in either group, g
};

Sums sums_of(const Ratio& ratio, const std::vector<Line>& lines) {
  Sums sums;
  for (const Line& line : lines) {
    const double u = line.judge.standard_g;
    if (line.ingredient->counts_as == ratio.of) {
      sums.of += line.nominal_ug;
      sums.of_variance += u * u;
    } else if (line.ingredient->counts_as == ratio.per) {
      sums.per += line.nominal_ug;
      sums.per_variance += u * u;
    } else {
      continue;
    }
    sums.worst = std::max(sums.worst, u);
  }
  return sums;
}

Wide divided_up(Wide n, Wide d) { return (n + d - 1) / d; }

// Narrows `critical` by one ratio that the line is in. The limit is rounded to the safe side.
void narrow(Critical& critical, const Ratio& ratio, const Line& line, const Sums& sums,
            double spread) {
  const bool in_of = line.ingredient->counts_as == ratio.of;
  if (!in_of && line.ingredient->counts_as != ratio.per) return;
  const double limit = static_cast<double>(ratio.limit_ppm) / 1e6;
  const Wide others = (in_of ? sums.of : sums.per) - line.nominal_ug;
  const bool is_least = ratio.least == in_of;
  Wide bound = 0;
  if (in_of) {
    bound = is_least ? divided_up(sums.per * ratio.limit_ppm, kMillion)
                     : sums.per * ratio.limit_ppm / kMillion;
  } else {
    bound = is_least ? divided_up(sums.of * kMillion, ratio.limit_ppm)
                     : sums.of * kMillion / ratio.limit_ppm;
  }
  // As in ratios.cpp: one pair of nets is taken to share an indication.
  const double of_u = std::sqrt(sums.of_variance + limit * limit * sums.per_variance +
                                limit * sums.worst * sums.worst);
  // The spread is that of all that was poured on the `of` side: a clove of garlic does not decide
  // how well the vinegar is known.
  const double of_guard =
      weighing::critical_guard_g(of_u, static_cast<double>(sums.of) / 1e6, spread);
  constexpr Wide kFar = std::numeric_limits<std::int64_t>::max() / 4;
  const Limit found{static_cast<std::int64_t>(std::clamp<Wide>(bound - others, 0, kFar)),
                    in_micrograms(in_of ? of_guard : of_guard / limit)};
  auto& side = is_least ? critical.least : critical.most;
  const std::int64_t sign = is_least ? 1 : -1;
  const auto reach = [&](const Limit& l) { return sign * l.at_ug + l.guard_ug; };
  if (side && reach(*side) >= reach(found)) return;
  side = found;
  critical.ratio = title(ratio);
}

// Curing salt is critical on both sides of its own band, whatever ratio it is in.
void guard_cure(proto::PlannedIngredient& planned, const Line& line, double spread,
                proto::Troubles& troubles) {
  const std::string& name = line.ingredient->name;
  if (line.judge.role == proto::Role::none) {
    troubles.push_back(
        {"no scale at hand can judge the curing salt \"" + name + "\": " + line.judge.reason, "",
         "use a finer scale, or a batch so large that this one can"});
    return;
  }
  const double guard =
      weighing::critical_guard_g(line.judge.standard_g, in_grams(line.nominal_ug), spread);
  planned.accept_lower_ug += in_micrograms(guard);
  planned.accept_upper_ug -= in_micrograms(guard);
  if (planned.accept_lower_ug <= planned.aim_ug && planned.aim_ug <= planned.accept_upper_ug)
    return;
  troubles.push_back({"the band of the curing salt \"" + name +
                          "\" leaves no room for the error of the scale at hand",
                      "", "use a finer scale, or a larger batch"});
}

// The aim: the formula's amount, moved off a critical limit by guard and usual spread, in steps
// that the scale shows and never across what is accepted.
void set_aim(proto::PlannedIngredient& planned, const Line& line, const Critical& critical,
             double spread) {
  const std::int64_t room = in_micrograms(kSpreads * spread * in_grams(line.nominal_ug));
  const std::int64_t middle =
      planned.accept_lower_ug + (planned.accept_upper_ug - planned.accept_lower_ug) / 2;
  std::int64_t aim = line.nominal_ug;
  if (critical.least) {
    const std::int64_t clear = critical.least->at_ug + critical.least->guard_ug + room;
    aim = std::max(aim, std::min(clear, middle));
  }
  if (critical.most) {
    const std::int64_t clear = critical.most->at_ug - critical.most->guard_ug - room;
    aim = std::min(aim, std::max(clear, middle));
  }
  const bool moved = aim != line.nominal_ug;
  const bool up = aim > line.nominal_ug;
  if (const std::int64_t step = line.judge.interval_ug; step > 0) {
    aim = !moved ? quantity::nearest_multiple(aim, step)
          : up   ? quantity::multiple_above(aim, step)
                 : quantity::multiple_below(aim, step);
    if (aim < planned.accept_lower_ug)
      aim = quantity::multiple_above(planned.accept_lower_ug, step);
    if (aim > planned.accept_upper_ug)
      aim = quantity::multiple_below(planned.accept_upper_ug, step);
    // A band narrower than a step has no step in it: better the figure as it is than one outside.
    if (aim < planned.accept_lower_ug)
      aim = std::clamp(line.nominal_ug, planned.accept_lower_ug, planned.accept_upper_ug);
  }
  planned.aim_ug = aim;
  if (moved && planned.reason.empty()) {
    planned.reason = "aimed " + std::string(up ? "above" : "below") + " the formula's " +
                     grams(line.nominal_ug) + " so that a usual pour keeps the " + critical.ratio;
  }
}

// Shown limits lie on a tenth of what the scale shows, inwards: printing them never moves one
// outwards.
std::int64_t shown_step(const Line& line) {
  if (line.judge.interval_ug > 0) return std::max<std::int64_t>(1, line.judge.interval_ug / 10);
  return line.nominal_ug >= 10'000'000 ? 100'000 : 10'000;
}

}  // namespace

std::vector<proto::PlannedRatio> planned_ratios(const Formula& formula) {
  std::vector<proto::PlannedRatio> all;
  for (const Ratio& ratio : formula.ratios) {
    proto::PlannedRatio planned;
    planned.of = name(ratio.of);
    planned.per = name(ratio.per);
    planned.least = ratio.least;
    planned.limit_ppm = ratio.limit_ppm;
    for (const formula::Ingredient& ingredient : formula.ingredients) {
      if (ingredient.counts_as == ratio.of) planned.of_names.push_back(ingredient.name);
      if (ingredient.counts_as == ratio.per) planned.per_names.push_back(ingredient.name);
    }
    all.push_back(std::move(planned));
  }
  return all;
}

proto::Troubles set_limits(const Formula& formula, const std::vector<Line>& lines, double spread,
                           std::vector<proto::PlannedIngredient>& planned) {
  proto::Troubles troubles;
  std::vector<Sums> sums;
  for (const Ratio& ratio : formula.ratios) sums.push_back(sums_of(ratio, lines));
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const Line& line = lines[i];
    proto::PlannedIngredient& out = planned[i];
    Critical critical;
    for (std::size_t r = 0; r < formula.ratios.size(); ++r) {
      const Ratio& ratio = formula.ratios[r];
      out.critical = out.critical || line.ingredient->counts_as == ratio.of ||
                     line.ingredient->counts_as == ratio.per;
      if (!line.sets_size) narrow(critical, ratio, line, sums[r], spread);
    }
    const std::int64_t step = shown_step(line);
    std::int64_t lower = line.nominal_ug - line.below_ug;
    std::int64_t upper = line.nominal_ug + line.above_ug;
    if (critical.least) lower = std::max(lower, critical.least->at_ug);
    if (critical.most) upper = std::min(upper, critical.most->at_ug);
    out.lower_ug = quantity::multiple_above(lower, step);
    out.upper_ug = quantity::multiple_below(upper, step);
    out.accept_lower_ug = out.lower_ug;
    out.accept_upper_ug = out.upper_ug;
    if (critical.least) {
      out.accept_lower_ug =
          std::max(out.lower_ug, critical.least->at_ug + critical.least->guard_ug);
    }
    if (critical.most) {
      out.accept_upper_ug = std::min(out.upper_ug, critical.most->at_ug - critical.most->guard_ug);
    }
    if (out.accept_lower_ug > out.accept_upper_ug) {
      troubles.push_back(
          {"no amount of " + out.name + " keeps both its band and the " + critical.ratio +
               ": from " + grams(out.accept_lower_ug) + " to " + grams(out.accept_upper_ug),
           "",
           "widen its band on the safe side in the formula, use a finer scale or a larger batch"});
      continue;
    }
    set_aim(out, line, critical, spread);
    if (line.ingredient->counts_as == Counts::curing_salt) {
      out.critical = true;
      guard_cure(out, line, spread, troubles);
    }
  }
  return troubles;
}

}  // namespace maslin::plan
