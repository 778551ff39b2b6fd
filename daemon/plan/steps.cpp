// Operations and cautions; see the header.
#include "daemon/plan/steps.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>

#include "daemon/preserving/cautions.hpp"
#include "daemon/preserving/setting.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::plan {
namespace {

using formula::Counts;
using formula::Formula;
using formula::Keeping;
using formula::Kind;
using formula::Operation;
using formula::Until;

// What is conditioned is shaken and looked at every day (common practice, no source).
constexpr std::int64_t a_day_ms = 24 * 3'600'000;

bool any(const Formula& formula, Counts counts) {
  return std::any_of(formula.ingredients.begin(), formula.ingredients.end(),
                     [&](const formula::Ingredient& i) { return i.counts_as == counts; });
}
bool acid_named(const Formula& formula, std::string_view what) {
  return std::any_of(formula.ingredients.begin(), formula.ingredients.end(), [&](const auto& i) {
    return i.counts_as == Counts::acid && i.speaks_of(what);
  });
}
bool any_hot(const Formula& formula) {
  return std::any_of(formula.ingredients.begin(), formula.ingredients.end(),
                     [](const formula::Ingredient& i) { return i.hot; });
}

// Each caution once a batch, at its first step.
class Cautions {
 public:
  explicit Cautions(proto::Plan& plan) : plan_(plan) {}

  // The text, or nothing where it was said before.
  std::string say(std::string_view id) {
    const auto& entry = preserving::caution(id);
    const bool said = std::any_of(plan_.cautions.begin(), plan_.cautions.end(),
                                  [&](const proto::Caution& c) { return c.text == entry.text; });
    if (said) return {};
    plan_.cautions.push_back(
        {std::string(entry.at), std::string(entry.text), std::string(entry.evidence)});
    return std::string(entry.text);
  }

 private:
  proto::Plan& plan_;
};

// What has to be known before shopping and cutting. A line is left out where it cannot apply, so
// that those that stay are read.
void say_at_the_plan(const Formula& formula, Keeping keeping, Cautions& cautions) {
  if (!formula.tested) cautions.say("own formula");
  cautions.say("defer");
  if (acid_named(formula, "vinegar")) cautions.say("vinegar");
  if (acid_named(formula, "lemon juice") || acid_named(formula, "lime juice")) {
    cautions.say("bottled juice");
  }
  if (any(formula, Counts::acid)) cautions.say("metals");
  const bool acidified = std::any_of(
      formula.ratios.begin(), formula.ratios.end(),
      [](const auto& r) { return has(r.of, Counts::acid) || has(r.per, Counts::acid); });
  if (acidified) cautions.say("proportions");
  if (any(formula, Counts::pectin)) cautions.say("no doubling");
  if (keeping == Keeping::shelf) cautions.say("altitude");
  cautions.say("for sale");
}

std::string both(std::string first, const std::string& second) {
  if (!first.empty() && !second.empty()) first += ' ';
  return first + second;
}

// Sugar makes what boils stick and burn deeper. It goes in before the second boil where there are
// two, before the only one where there is one.
std::string heat_caution(const Formula& formula, int heat, Cautions& cautions) {
  const auto heats = std::count_if(formula.operations.begin(), formula.operations.end(),
                                   [](const Operation& o) { return o.kind == Kind::heat; });
  std::string text;
  if (heat == 1) text = cautions.say(any_hot(formula) ? "steam" : "hot pan");
  if (any(formula, Counts::sugar) && (heat > 1 || heats == 1)) {
    text = both(std::move(text), cautions.say("syrup"));
  }
  return text;
}

std::string caution_of(const Formula& formula, const Operation& operation, Keeping keeping,
                       std::int64_t bath_ms, int& heats, Cautions& cautions) {
  switch (operation.kind) {
    case Kind::prepare:
      return any_hot(formula) ? cautions.say("hot peppers") : std::string();
    case Kind::weigh:
      return both(any(formula, Counts::curing_salt) ? cautions.say("cure") : std::string(),
                  cautions.say("cold scale"));
    case Kind::heat:
      return heat_caution(formula, ++heats, cautions);
    case Kind::fill:
      // The process is under ten minutes: what boils in it later must be clean beforehand.
      if (bath_ms > 0 && bath_ms < 600'000) cautions.say("jars first");
      if (keeping == Keeping::freezer) return cautions.say("freezing");
      if (heats == 0) return {};  // what was never hot is filled cold
      if (keeping == Keeping::shelf) cautions.say("upright");
      return cautions.say("filling");
    case Kind::water_bath:
      cautions.say("bath end");
      return cautions.say("bath");
    case Kind::cool:
      return cautions.say(keeping == Keeping::shelf     ? "cooling"
                          : keeping == Keeping::freezer ? "keeping frozen"
                                                        : "keeping cold");
    case Kind::seal_check:
      return cautions.say("seal");
    case Kind::dry:
      if (operation.cold_chain) return cautions.say("cold chain");
      if (any(formula, Counts::meat)) return cautions.say("meat in a drier");
      return cautions.say("drying");
    case Kind::condition:
      return cautions.say("conditioning");
    case Kind::stand:
      if (operation.cold_chain) return cautions.say("cold chain");
      return any(formula, Counts::salt) ? cautions.say("under brine") : std::string();
    case Kind::dwell:
      break;
  }
  return {};
}

// The row for an altitude: edges are inclusive below, the foot is 0.3048 m exactly. A nanometre of
// rounding must not decide.
const formula::BathRow* bath_row(const std::vector<formula::BathRow>& rows, double altitude_m) {
  for (const formula::BathRow& row : rows) {
    if (!row.to_ft || altitude_m <= static_cast<double>(*row.to_ft) * 0.3048 + 1e-6) return &row;
  }
  return nullptr;
}

std::int64_t bath_time(const Formula& formula, Keeping keeping, const proto::Plan& plan,
                       proto::Troubles& troubles) {
  if (keeping != Keeping::shelf) return 0;
  for (const Operation& operation : formula.operations) {
    if (operation.kind != Kind::water_bath) continue;
    if (!plan.altitude_m) {
      troubles.push_back(
          {"the time in the water bath depends on the altitude, which is not known", "",
           "maslin settings --altitude \"METRES m\" sets it; or ask for --keeping refrigerator"});
      return 0;
    }
    if (const formula::BathRow* row = bath_row(operation.bath, *plan.altitude_m)) {
      return row->minutes * 60'000;
    }
    troubles.push_back({"the source has no time in the water bath for " +
                            quantity::plain(*plan.altitude_m, 0) + " m",
                        "", "ask for --keeping refrigerator"});
    return 0;
  }
  return 0;
}

// A jelly without added pectin: where both published rules say that it sets, beside what the
// formula asks for.
void note_setting(const proto::PlannedOperation& planned, proto::Plan& plan) {
  const bool added =
      std::any_of(plan.ingredients.begin(), plan.ingredients.end(),
                  [](const auto& one) { return one.counts_as == name(Counts::pectin); });
  const auto point =
      plan.altitude_m && !added ? preserving::setting_point(*plan.altitude_m) : proto::trouble("");
  if (!point) return;
  const auto shown = [](double celsius) { return quantity::plain(celsius, 1) + " °C"; };
  plan.notes.push_back("It ends at " + quantity::celsius(planned.target_mk) +
                       ". Here the printed gel table says " + shown(point->table_c) +
                       ", 8 °F over the boil is " + shown(point->rule_c) + ": they differ by " +
                       quantity::plain(std::abs(point->table_c - point->rule_c), 1) +
                       " K, so test the set as well.");
}

void resolve_heat(const Operation& operation, proto::Plan& plan, proto::PlannedOperation& planned) {
  planned.until = name(operation.until);
  planned.target_mk = operation.temperature_mk;
  // A target above the boil has no figure without the local boiling point, and none is guessed.
  if (operation.until != Until::above_boil) return;
  if (plan.boiling_point_mk > 0) {
    planned.target_mk = plan.boiling_point_mk + operation.above_boil_mk;
    note_setting(planned, plan);
  } else {
    planned.target_mk = 0;
    plan.notes.push_back("The altitude is not known, so " +
                         quantity::plain(static_cast<double>(operation.above_boil_mk) / 1000.0, 1) +
                         " °C above the boiling point has no figure here: maslin settings "
                         "--altitude \"METRES m\", or "
                         "judge by eye.");
  }
}

}  // namespace

proto::Troubles add_steps(const Formula& formula, Keeping keeping, proto::Plan& plan) {
  proto::Troubles troubles;
  Cautions cautions(plan);
  say_at_the_plan(formula, keeping, cautions);
  const std::int64_t bath_ms = bath_time(formula, keeping, plan, troubles);
  int heats = 0;
  std::int64_t temperature_mk = 0;  // that the pan was last brought to
  for (const Operation& operation : formula.operations) {
    // Kept cold, a bath and a seal check would only promise what the keeping does not need.
    const bool for_the_shelf =
        operation.kind == Kind::water_bath || operation.kind == Kind::seal_check;
    if (for_the_shelf && keeping != Keeping::shelf) continue;
    proto::PlannedOperation planned;
    planned.kind = name(operation.kind);
    planned.text = operation.text;
    planned.ingredients = operation.ingredients;
    planned.duration_ms = operation.kind == Kind::water_bath ? bath_ms : operation.duration_ms;
    planned.longest_ms = operation.longest_ms;
    planned.least_mk = operation.least_mk;
    planned.most_mk = operation.most_mk;
    planned.outside_ms = operation.outside_ms;
    planned.unmeasured_ms = operation.unmeasured_ms;
    planned.cold_chain = operation.cold_chain;
    planned.hung = operation.hung;
    planned.end_ph = operation.end_ph;
    planned.restarts = operation.begins_again;
    planned.left_ppm = operation.left_ppm;
    planned.water_ppm = operation.water_ppm;
    planned.every_ms = operation.kind == Kind::condition ? a_day_ms : operation.every_ms;
    if (operation.kind == Kind::dry) planned.until = name(operation.until);
    planned.target_ug = std::llround(static_cast<double>(operation.target_ug) * plan.factor);
    // Hot jars for the shelf cool untouched for at least twelve hours: USDA Complete Guide to Home
    // Canning (AIB 539), guide 1.
    if (operation.kind == Kind::cool && keeping == Keeping::shelf && bath_ms > 0) {
      planned.duration_ms = std::max<std::int64_t>(planned.duration_ms, 12 * 3'600'000);
    }
    if (operation.kind == Kind::heat) {
      resolve_heat(operation, plan, planned);
      temperature_mk = planned.target_mk;
    } else if (operation.kind == Kind::dwell) {
      planned.until = name(operation.until);
      if (operation.until == Until::temperature) planned.target_mk = temperature_mk;
    }
    planned.caution = caution_of(formula, operation, keeping, bath_ms, heats, cautions);
    plan.operations.push_back(std::move(planned));
  }
  if (keeping == Keeping::shelf) cautions.say("shelf");
  return troubles;
}

}  // namespace maslin::plan
