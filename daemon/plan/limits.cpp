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
// Of what is in already the pour is only the rest, and never less than so much of the whole: a
// spoonful too is off by something (common practice, no source).
constexpr double kLeastPour = 0.1;

double in_grams(std::int64_t micrograms) { return static_cast<double>(micrograms) / 1e6; }
std::int64_t in_micrograms(double grams) {
  return static_cast<std::int64_t>(std::ceil(grams * 1e6));
}

// What the critical ratios leave to one ingredient. `limit`: the ratio's own limit while all others
// are as planned; `accept`: what still holds when every other ingredient lies at the end of what is
// accepted of it, guard included.
struct Bound {
  std::int64_t limit_ug = 0;
  std::int64_t accept_ug = 0;
};
struct Critical {
  std::optional<Bound> least;
  std::optional<Bound> most;
  std::string ratio;  // "acid per low-acid food", of the last bound set
};

// How far the bound of one ingredient may move from the end of its band that the ratio fears: first
// as far as leaves the aim alone, then as far as leaves room for a usual pour at the other end.
struct Give {
  double without_aim = 0;
  double in_all = 0;
};
Give give_of(const Line& line, bool large, double spread) {
  if (line.sets_size) return {};
  const double feared = static_cast<double>(large ? line.below_ug : line.above_ug);
  const double safe = static_cast<double>(large ? line.above_ug : line.below_ug);
  const double room = usual_room_ug(line, spread);
  const double first = std::max(0.0, feared - room);
  return {first, std::max(first, feared + safe - room)};
}

// Bounds of all that are in one ratio, so that every combination of accepted masses keeps it: the
// bands as they are where that is enough, else each gives way in proportion to what it can. False
// where even all that they can give is not enough.
bool bound(const Ratio& ratio, const std::vector<Line>& lines, double spread,
           std::vector<Critical>& criticals) {
  const Sides sides = sides_of(ratio, lines, spread);
  double lacking = sides.guard_ug + sides.cure_ug;  // in mass of the large side
  Give total;
  Wide large_sum = ratio.least ? sides.cure_nominal_ug : 0;
  Wide small_sum = ratio.least ? 0 : sides.cure_nominal_ug;
  const auto count = [&](const std::vector<std::size_t>& side, bool large) {
    for (const std::size_t i : side) {
      const Line& line = lines[i];
      const double weight = large ? 1.0 : sides.k;
      const double band =
          line.sets_size ? 0 : static_cast<double>(large ? -line.below_ug : line.above_ug);
      const double end = static_cast<double>(line.nominal_ug) + band;
      lacking += large ? -end : sides.k * end;
      const Give give = give_of(line, large, spread);
      total.without_aim += weight * give.without_aim;
      total.in_all += weight * give.in_all;
      (large ? large_sum : small_sum) += line.nominal_ug;
    }
  };
  count(sides.large, true);
  count(sides.small, false);
  if (lacking > total.in_all) return false;

  // Shares of the first and of the second stretch that each must give.
  const double first = total.without_aim > 0 ? std::clamp(lacking / total.without_aim, 0.0, 1.0)
                                             : (lacking > 0 ? 1.0 : 0.0);
  const double rest = total.in_all - total.without_aim;
  const double second = rest > 0 ? std::clamp((lacking - total.without_aim) / rest, 0.0, 1.0) : 0.0;
  const auto set = [&](std::size_t i, bool large) {
    const Line& line = lines[i];
    if (line.sets_size) return;
    const Give give = give_of(line, large, spread);
    const double moved = first * give.without_aim + second * (give.in_all - give.without_aim);
    // Away from the feared end, a microgram further than the rounding of these doubles.
    const auto moved_ug = lacking > 0 ? static_cast<std::int64_t>(std::ceil(moved)) + 1 : 0;
    Bound found;
    found.accept_ug = large ? line.nominal_ug - line.below_ug + moved_ug
                            : line.nominal_ug + line.above_ug - moved_ug;
    // The limit with all others as planned, exact and rounded to the safe side.
    const Wide n = ratio.least == large ? ratio.limit_ppm : kMillion;
    const Wide d = ratio.least == large ? kMillion : ratio.limit_ppm;
    const Wide others = (large ? large_sum : small_sum) - line.nominal_ug;
    const Wide alone = large ? (small_sum * n + d - 1) / d : large_sum * n / d;
    constexpr Wide kFar = std::numeric_limits<std::int64_t>::max() / 4;
    found.limit_ug = static_cast<std::int64_t>(std::clamp<Wide>(alone - others, 0, kFar));
    auto& side = large ? criticals[i].least : criticals[i].most;
    if (side) {
      found.limit_ug = large ? std::max(found.limit_ug, side->limit_ug)
                             : std::min(found.limit_ug, side->limit_ug);
      found.accept_ug = large ? std::max(found.accept_ug, side->accept_ug)
                              : std::min(found.accept_ug, side->accept_ug);
    }
    side = found;
    if (moved_ug > 0) criticals[i].ratio = title(ratio);
  };
  for (const std::size_t i : sides.large) set(i, true);
  for (const std::size_t i : sides.small) set(i, false);
  return true;
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
  // What a ratio leaves has its own guard in it already.
  planned.accept_lower_ug =
      std::max(planned.accept_lower_ug, planned.lower_ug + in_micrograms(guard));
  planned.accept_upper_ug =
      std::min(planned.accept_upper_ug, planned.upper_ug - in_micrograms(guard));
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
  const std::int64_t room = in_micrograms(usual_room_ug(line, spread) / 1e6);
  const std::int64_t middle =
      planned.accept_lower_ug + (planned.accept_upper_ug - planned.accept_lower_ug) / 2;
  std::int64_t aim = line.nominal_ug;
  // A band's own end is no reason to move; only a bound that a ratio has set is.
  if (critical.least && critical.least->accept_ug > line.nominal_ug - line.below_ug) {
    aim = std::max(aim, std::min(planned.accept_lower_ug + room, middle));
  }
  if (critical.most && critical.most->accept_ug < line.nominal_ug + line.above_ug) {
    aim = std::min(aim, std::max(planned.accept_upper_ug - room, middle));
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

// Less of what a limit asks for at least is unsafe, and more of what that is measured by; for the
// other kind of limit the other way round. Curing salt is unsafe on both sides.
void set_unsafe_sides(proto::PlannedIngredient& planned, Counts counts,
                      const std::vector<Ratio>& ratios) {
  const bool cure = counts == Counts::curing_salt;
  planned.unsafe_under = cure;
  planned.unsafe_over = cure;
  for (const Ratio& ratio : ratios) {
    const bool of = formula::has(ratio.of, counts);
    const bool per = formula::has(ratio.per, counts);
    planned.unsafe_under = planned.unsafe_under || (ratio.least ? of : per);
    planned.unsafe_over = planned.unsafe_over || (ratio.least ? per : of);
  }
  planned.critical = planned.unsafe_under || planned.unsafe_over;
}

}  // namespace

Sides sides_of(const Ratio& ratio, const std::vector<Line>& lines, double spread) {
  const double limit = static_cast<double>(ratio.limit_ppm) / 1e6;
  Sides sides;
  sides.k = ratio.least ? limit : 1.0 / limit;
  double variance = 0;  // of (of - limit * per), g^2
  double worst = 0;
  double of_mass = 0;  // the least that may be accepted of it: the guard is largest there
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const Line& line = lines[i];
    const bool in_of = formula::has(ratio.of, line.ingredient->counts_as);
    if (!in_of && ratio.cure_ppm > 0 && line.ingredient->counts_as == Counts::curing_salt) {
      const double share = static_cast<double>(ratio.cure_ppm) / 1e6;
      variance += share * share * line.judge.standard_g * line.judge.standard_g;
      const double least = share * static_cast<double>(line.nominal_ug - line.below_ug);
      const double most = share * static_cast<double>(line.nominal_ug + line.above_ug);
      sides.cure_ug += ratio.least ? -least : sides.k * most;
      sides.cure_nominal_ug += static_cast<std::int64_t>(
          (Wide{line.nominal_ug} * ratio.cure_ppm + (ratio.least ? 0 : kMillion - 1)) / kMillion);
      continue;
    }
    if (!in_of && !formula::has(ratio.per, line.ingredient->counts_as)) continue;
    (in_of == ratio.least ? sides.large : sides.small).push_back(i);
    const double u = line.judge.standard_g * (in_of ? 1.0 : limit);
    variance += u * u;
    worst = std::max(worst, line.judge.standard_g);
    if (in_of) of_mass += in_grams(line.nominal_ug - line.below_ug);
  }
  // As in ratios.cpp: one pair of nets is taken to share an indication, and the spread is that of
  // all that was poured on the `of` side: a clove of garlic does not decide how well the vinegar is
  // known.
  const double of_guard =
      weighing::critical_guard_g(std::sqrt(variance + limit * worst * worst), of_mass, spread);
  sides.guard_ug = 1e6 * (ratio.least ? of_guard : of_guard / limit);
  return sides;
}

double usual_room_ug(const Line& line, double spread) {
  const auto nominal = static_cast<double>(line.nominal_ug);
  const double pour =
      line.in_ug == 0 ? nominal
                      : std::max(nominal - static_cast<double>(line.in_ug), kLeastPour * nominal);
  return kSpreads * spread * pour;
}

std::int64_t shown_step(const Line& line) {
  if (line.judge.interval_ug > 0) return std::max<std::int64_t>(1, line.judge.interval_ug / 10);
  return line.nominal_ug >= 10'000'000 ? 100'000 : 10'000;
}

std::string title(const Ratio& ratio) {
  return formula::text(ratio.of) + " per " + ratio.per_text();
}

std::vector<proto::PlannedRatio> planned_ratios(const Formula& formula) {
  std::vector<proto::PlannedRatio> all;
  for (const Ratio& ratio : formula.ratios) {
    proto::PlannedRatio planned;
    planned.of = formula::text(ratio.of);
    planned.per = ratio.per_text();
    planned.share_ppm = ratio.share_ppm;
    planned.least = ratio.least;
    planned.limit_ppm = ratio.limit_ppm;
    for (const formula::Ingredient& ingredient : formula.ingredients) {
      if (formula::has(ratio.of, ingredient.counts_as)) {
        planned.of_names.push_back(ingredient.name);
        planned.of_ppm.push_back(1'000'000);
      } else if (ratio.cure_ppm > 0 && ingredient.counts_as == Counts::curing_salt) {
        planned.of_names.push_back(ingredient.name);
        planned.of_ppm.push_back(ratio.cure_ppm);
      }
      if (formula::has(ratio.per, ingredient.counts_as)) {
        planned.per_names.push_back(ingredient.name);
      }
    }
    if (ratio.cure_ppm == 0) planned.of_ppm.clear();
    all.push_back(std::move(planned));
  }
  return all;
}

proto::Troubles set_limits(const Formula& formula, const std::vector<Line>& lines, double spread,
                           std::vector<proto::PlannedIngredient>& planned) {
  proto::Troubles troubles;
  std::vector<Critical> criticals(lines.size());
  for (const Ratio& ratio : formula.ratios) {
    if (bound(ratio, lines, spread, criticals)) continue;
    troubles.push_back(
        {"the bands leave no room for the " + title(ratio) +
             " that the formula asks for, with the error of the scales at hand",
         "",
         "widen the bands on the safe side in the formula, use a finer scale or make a "
         "larger batch"});
  }
  if (!troubles.empty()) return troubles;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const Line& line = lines[i];
    const Critical& critical = criticals[i];
    proto::PlannedIngredient& out = planned[i];
    set_unsafe_sides(out, line.ingredient->counts_as, formula.ratios);
    std::int64_t lower = line.nominal_ug - line.below_ug;
    std::int64_t upper = line.nominal_ug + line.above_ug;
    if (critical.least) lower = std::max(lower, critical.least->limit_ug);
    if (critical.most) upper = std::min(upper, critical.most->limit_ug);
    const std::int64_t step = shown_step(line);
    // One such ingredient is one too many: that of all others would only say the same again.
    if (quantity::multiple_above(line.nominal_ug - line.below_ug, step) >
        quantity::multiple_below(line.nominal_ug + line.above_ug, step)) {
      return {{"this batch is too small to be weighed: nothing here can show the band of the " +
                   out.name + " at " + grams(line.nominal_ug),
               "", "make a larger batch"}};
    }
    out.lower_ug = quantity::multiple_above(lower, step);
    out.upper_ug = quantity::multiple_below(upper, step);
    out.accept_lower_ug = out.lower_ug;
    out.accept_upper_ug = out.upper_ug;
    if (critical.least) out.accept_lower_ug = std::max(out.lower_ug, critical.least->accept_ug);
    if (critical.most) out.accept_upper_ug = std::min(out.upper_ug, critical.most->accept_ug);
    if (out.accept_lower_ug > out.accept_upper_ug) {
      troubles.push_back({"no amount of " + out.name + " keeps both its band and the " +
                              critical.ratio + ": from " + grams(out.accept_lower_ug) + " to " +
                              grams(out.accept_upper_ug),
                          "",
                          "widen its band on the safe side in the formula, use a finer scale or "
                          "make a larger batch"});
      continue;
    }
    set_aim(out, line, critical, spread);
    if (line.ingredient->counts_as == Counts::curing_salt) {
      guard_cure(out, line, spread, troubles);
    }
  }
  return troubles;
}

}  // namespace maslin::plan
