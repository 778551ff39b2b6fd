// From a plan and what is in to the problem of rescue.hpp, and from its answer to the plan that the
// batch goes on with; see enlarge.hpp.
#include "daemon/plan/enlarge.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "daemon/plan/build.hpp"
#include "daemon/plan/cure.hpp"
#include "daemon/plan/kitchen.hpp"
#include "daemon/plan/ratios.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/weighing/conformity.hpp"

namespace maslin::plan {
namespace {

using formula::Counts;
using formula::Formula;
using quantity::grams;
using quantity::plain;

constexpr double ug_per_g = 1e6;
double in_grams(std::int64_t micrograms) { return static_cast<double>(micrograms) / ug_per_g; }
std::int64_t in_micrograms(double grams) { return std::llround(grams * ug_per_g); }

// What no scale weighs is told in spoons, which nobody fills finer than this.
constexpr std::int64_t measured_step_ug = 100'000;
// A guard that the finished plan found too small is raised and tried again so often.
constexpr int most_tries = 8;

const Holding* held(std::span<const Holding> holdings, const std::string& name) {
  const auto found = std::find_if(holdings.begin(), holdings.end(),
                                  [&](const Holding& one) { return one.name == name; });
  return found == holdings.end() ? nullptr : &*found;
}

std::int64_t step_of(const Line& line) {
  return line.judge.interval_ug > 0 ? line.judge.interval_ug : measured_step_ug;
}

bool prepared_produce(const formula::Ingredient& one) {
  return !one.bought && (one.lead || one.counts_as == Counts::low_acid_food);
}

// The lines at the size as planned, the lead at what the formula asks for there.
std::vector<Line> lines_now(const Formula& formula, const Equipment& equipment,
                            const proto::Plan& current, std::span<const Holding> in) {
  Size size;
  size.factor = current.factor;
  auto lines = lines_of(formula, size, equipment);
  for (Line& line : lines) {
    const Holding* holding = held(in, line.ingredient->name);
    if (holding == nullptr) continue;
    line.in_ug = holding->in_ug;
    line.judge.standard_g =
        std::max(line.judge.standard_g, in_grams(holding->standard_uncertainty_ug));
  }
  return lines;
}

std::optional<std::int64_t> at_hand_ug(const std::vector<Have>& haves, const Line& line) {
  for (const Have& have : haves) {
    if (have.ingredient == line.ingredient && have.by_mass) return have.mass_ug;
  }
  return std::nullopt;
}

// The band as it will be shown and, for curing salt, accepted: a shown step and the guard inwards.
// What was good until now stays so.
RescueItem item_of(const Line& line, const Holding* holding, const std::vector<Have>& haves,
                   double spread) {
  const std::int64_t step = shown_step(line);
  double inwards = in_grams(step);
  if (line.ingredient->counts_as == Counts::curing_salt) {
    inwards += weighing::critical_guard_g(line.judge.standard_g, in_grams(line.nominal_ug), spread);
  }
  RescueItem item;
  item.name = line.ingredient->name;
  item.in_g = in_grams(line.in_ug);
  item.nominal_g = in_grams(line.nominal_ug);
  const double lower = in_grams(line.nominal_ug - line.below_ug);
  const double upper = in_grams(line.nominal_ug + line.above_ug);
  item.lower_g = std::min(lower + inwards, item.nominal_g);
  item.upper_g = std::max(upper - inwards, item.nominal_g);
  if (holding != nullptr) {
    const bool good = item.in_g >= lower && item.in_g <= upper;
    if (good || holding->accepted) {
      item.lower_g = std::min(item.lower_g, item.in_g);
      item.upper_g = std::max(item.upper_g, item.in_g);
    }
  }
  if (const auto there = at_hand_ug(haves, line)) {
    const std::int64_t left = std::max<std::int64_t>(*there - line.in_ug, 0);
    item.stock_g = in_grams(quantity::multiple_below(left, step_of(line)));
  }
  item.chopped = prepared_produce(*line.ingredient);
  return item;
}

std::vector<Have> haves_of(const Formula& formula, const proto::PlanRequest& request) {
  auto size = size_of(formula, request);
  return size ? std::move(size->haves) : std::vector<Have>{};
}

Blocked blocked(const Rescue& found, const RescueProblem& problem, const Formula& formula,
                const proto::Plan& current) {
  const std::string& of = found.blocked_name;
  const auto item = std::find_if(problem.items.begin(), problem.items.end(),
                                 [&](const RescueItem& one) { return one.name == of; });
  const std::string times = plain(current.factor * found.factor, 3) + " times the formula";
  switch (found.blocked_by) {
    case RescueLimit::largest_factor:
      return {"largest multiple", "",
              "it would be " + times + ", and " +
                  (formula.tested ? "the tested formula" : "the formula") + " ends at " +
                  plain(formula.largest_multiple, 3)};
    case RescueLimit::capacity:
      return {"pan", "", "the pan does not hold a batch of " + times};
    case RescueLimit::stock: {
      const double needed =
          item == problem.items.end() ? 0 : found.factor * item->lower_g - item->in_g;
      std::string text = "there is not enough " + of + " at hand";
      if (needed > 0) {
        text += ": " + grams(in_micrograms(needed)) + " more would be needed, and " +
                grams(in_micrograms(std::max(item->stock_g, 0.0))) + " is left";
      }
      return {"at hand", of, text};
    }
    case RescueLimit::ratio:
      return {"ratio", of, "no size keeps the " + of};
    case RescueLimit::band:
    case RescueLimit::none:
      break;
  }
  return {"band", of, "no amount that the scale can weigh keeps all bands"};
}

// What a scale weighed before and none weighs at the new size cannot be put right on one.
std::optional<Blocked> lost_scale(const proto::Plan& before, const proto::Plan& after) {
  for (std::size_t i = 0; i < before.ingredients.size(); ++i) {
    const auto& one = after.ingredients[i];
    if (before.ingredients[i].check != "weigh" || one.check == "weigh") continue;
    return Blocked{"scale", one.name, one.reason};
  }
  return std::nullopt;
}

class Enlarging {
 public:
  Enlarging(const Formula& formula, const proto::PlanRequest& request, const Equipment& equipment,
            const proto::Plan& current, std::span<const Holding> in)
      : formula_(formula),
        request_(request),
        equipment_(equipment),
        current_(current),
        in_(in),
        lines_(lines_now(formula, equipment, current, in)),
        problem_(rescue_problem(formula, request, equipment, current, in)) {
    for (const Line& line : lines_) steps_.push_back(in_grams(step_of(line)));
  }

  tl::expected<Enlarged, Blocked> run() {
    if (current_.provisional) {
      return tl::unexpected(Blocked{"plan", current_.lead,
                                    "the " + current_.lead + " sets the size and is not weighed"});
    }
    Blocked last;
    for (int i = 0; i < most_tries; ++i) {
      const Rescue found = rounded(problem_, rescue(problem_), steps_);
      if (!found.feasible) {
        return tl::unexpected(blocked(found, problem_, formula_, current_));
      }
      auto made = made_of(found);
      if (made) return made;
      last = made.error();
      if ((last.by != "ratio" && last.by != "plan") || problem_.ratios.empty()) break;
      for (auto& ratio : problem_.ratios) ratio.guard_g += raise_g_;
    }
    return tl::unexpected(last);
  }

 private:
  tl::expected<Enlarged, Blocked> made_of(const Rescue& found) {
    Enlarged answer;
    answer.factor = found.factor;
    for (std::size_t i = 0; i < lines_.size(); ++i) {
      const Line& line = lines_[i];
      const std::string& name = line.ingredient->name;
      const Holding* holding = held(in_, name);
      Holding wanted = holding == nullptr ? Holding{name} : *holding;
      const std::int64_t add = in_micrograms(found.top_up_g[i]);
      wanted.want_ug = wanted.in_ug + add;
      if (holding != nullptr && add > 0) {
        answer.top_ups.push_back({name, add, problem_.items[i].chopped});
      }
      answer.holdings.push_back(std::move(wanted));
    }
    auto plan = plan_around(formula_, request_, equipment_, current_.factor * found.factor,
                            answer.holdings);
    if (!plan) {
      raise_g_ = 1;
      return tl::unexpected(Blocked{"plan", "", plan.error().front().what});
    }
    if (auto lost = lost_scale(current_, *plan)) return tl::unexpected(*lost);
    follow(*plan, answer);
    answer.plan = std::move(*plan);
    if (auto bad = not_kept(answer)) return tl::unexpected(*bad);
    return answer;
  }

  // Where the plan keeps more off a limit than was foreseen, the top-up follows it, as far as there
  // is more.
  void follow(const proto::Plan& plan, Enlarged& answer) const {
    for (TopUp& one : answer.top_ups) {
      for (std::size_t i = 0; i < lines_.size(); ++i) {
        const auto& planned = plan.ingredients[i];
        if (planned.name != one.name) continue;
        const double stock_g = problem_.items[i].stock_g;
        std::int64_t add = std::max(one.add_ug, planned.aim_ug - lines_[i].in_ug);
        if (std::isfinite(stock_g)) add = std::min(add, in_micrograms(stock_g));
        one.add_ug = std::max(one.add_ug, add);
      }
    }
  }

  // Everything that is in, with its top-up, must be accepted by the new plan, and every ratio whose
  // ingredients are all known must hold with its guard.
  std::optional<Blocked> not_kept(const Enlarged& answer) {
    std::vector<WeighedMass> masses;
    for (const auto& planned : answer.plan.ingredients) {
      const Holding* holding = held(in_, planned.name);
      const auto top_up = std::find_if(answer.top_ups.begin(), answer.top_ups.end(),
                                       [&](const TopUp& one) { return one.name == planned.name; });
      const bool more = top_up != answer.top_ups.end();
      const std::int64_t mass =
          holding == nullptr ? planned.aim_ug : holding->in_ug + (more ? top_up->add_ug : 0);
      double u = 0;
      for (const Line& line : lines_) {
        if (line.ingredient->name == planned.name) u = line.judge.standard_g;
      }
      if (more && holding != nullptr) u = std::hypot(u, in_grams(holding->standard_uncertainty_ug));
      masses.push_back({planned.name, mass, in_micrograms(u)});
      const bool accepted = holding != nullptr && holding->accepted && !more;
      if (holding == nullptr || accepted) continue;
      if (mass >= planned.accept_lower_ug && mass <= planned.accept_upper_ug) continue;
      raise_g_ = 1;
      return Blocked{planned.critical ? "ratio" : "band", planned.name,
                     "the " + planned.name + " would not be inside its band"};
    }
    for (const auto& ratio : answer.plan.ratios) {
      const auto check = check_ratio(ratio, masses, equipment_.settings.usual_spread);
      if (check.state == RatioState::satisfied) continue;
      raise_g_ = in_grams(check.add_ug) + 0.1;
      return Blocked{"ratio", ratio.of + " per " + ratio.per,
                     "no size keeps the " + ratio.of + " per " + ratio.per};
    }
    return std::nullopt;
  }

  const Formula& formula_;
  const proto::PlanRequest& request_;
  const Equipment& equipment_;
  const proto::Plan& current_;
  std::span<const Holding> in_;
  std::vector<Line> lines_;
  RescueProblem problem_;
  std::vector<double> steps_;
  double raise_g_ = 0;
};

}  // namespace

RescueProblem rescue_problem(const Formula& formula, const proto::PlanRequest& request,
                             const Equipment& equipment, const proto::Plan& current,
                             std::span<const Holding> in) {
  const Formula all = with_nitrite(formula, equipment.facts);
  const auto lines = lines_now(all, equipment, current, in);
  const auto haves = haves_of(all, request);
  const double spread = equipment.settings.usual_spread;
  RescueProblem problem;
  for (const Line& line : lines) {
    problem.items.push_back(item_of(line, held(in, line.ingredient->name), haves, spread));
  }
  // What is aimed at keeps the guard and a usual pour's width from the limit.
  for (const formula::Ratio& ratio : all.ratios) {
    // Which of them count is the plan's to say.
    const bool counts = std::any_of(
        current.ratios.begin(), current.ratios.end(), [&](const proto::PlannedRatio& one) {
          return one.of == formula::text(ratio.of) && one.per == ratio.per_text() &&
                 one.least == ratio.least && one.limit_ppm == ratio.limit_ppm;
        });
    if (!counts) continue;
    const Sides sides = sides_of(ratio, lines, spread);
    RescueRatio one{title(ratio), sides.large, sides.small, sides.k,
                    (sides.guard_ug + std::max(0.0, sides.cure_ug)) / ug_per_g};
    for (const std::size_t i : sides.large) {
      if (lines[i].in_ug == 0) one.guard_g += usual_room_ug(lines[i], spread) / ug_per_g;
    }
    for (const std::size_t i : sides.small) {
      if (lines[i].in_ug == 0) one.guard_g += sides.k * usual_room_ug(lines[i], spread) / ug_per_g;
    }
    problem.ratios.push_back(std::move(one));
  }
  if (const auto room_kg = pan_room_kg(formula, equipment.facts)) {
    problem.capacity_g = *room_kg * 1000;
  }
  problem.largest_factor = std::max(1.0, formula.largest_multiple / current.factor);
  return problem;
}

tl::expected<Enlarged, Blocked> enlarge(const Formula& formula, const proto::PlanRequest& request,
                                        const Equipment& equipment, const proto::Plan& current,
                                        std::span<const Holding> in) {
  return Enlarging(formula, request, equipment, current, in).run();
}

proto::Results<proto::Plan> plan_around(const Formula& formula, const proto::PlanRequest& request,
                                        const Equipment& equipment, double factor,
                                        std::span<const Holding> holdings) {
  auto size = size_of(formula, request);
  if (!size) return tl::unexpected(size.error());
  size->factor = factor;
  size->lead_known = true;
  size->lead_ug = 0;
  return build(formula, request, equipment, *size, true, holdings);
}

void take_in(Line& line, std::span<const Holding> holdings) {
  const Holding* holding = held(holdings, line.ingredient->name);
  if (holding == nullptr) return;
  line.in_ug = holding->in_ug;
  if (holding->in_ug > 0) {
    line.judge.standard_g =
        std::max(line.judge.standard_g, in_grams(holding->standard_uncertainty_ug));
  }
  line.sets_size = holding->in_ug > 0 && holding->want_ug <= holding->in_ug;
  if (line.sets_size) line.nominal_ug = holding->in_ug;
}

void keep_in(const std::vector<Line>& lines, std::span<const Holding> holdings, proto::Plan& plan) {
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const Line& line = lines[i];
    auto& planned = plan.ingredients[i];
    const Holding* holding = held(holdings, planned.name);
    if (holding == nullptr) continue;
    const std::int64_t step = step_of(line);
    if (line.sets_size) {
      planned.nominal_ug = line.asked_ug;
      planned.aim_ug = quantity::nearest_multiple(planned.nominal_ug, step);
      const std::int64_t shown = shown_step(line);
      planned.lower_ug = quantity::multiple_above(planned.nominal_ug - line.below_ug, shown);
      planned.upper_ug = quantity::multiple_below(planned.nominal_ug + line.above_ug, shown);
      planned.accept_lower_ug = planned.lower_ug;
      planned.accept_upper_ug = planned.upper_ug;
    } else if (holding->want_ug > 0 && holding->want_ug < planned.nominal_ug - step) {
      planned.aim_ug =
          std::clamp(holding->want_ug, planned.accept_lower_ug, planned.accept_upper_ug);
      planned.reason = "enough for the batch as it is by now";
    }
  }
}

}  // namespace maslin::plan
