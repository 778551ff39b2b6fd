// Expected times and the steps of the canner; see the header.
#include "daemon/plan/evening.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "daemon/plan/jars.hpp"
#include "daemon/preserving/process_times.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::plan {
namespace {

using proto::Plan;
using proto::PlannedOperation;

// All of these say only when something is likely to be ready; nothing is ever released by them
// (common practice, no source).
constexpr double pan_w = 1200;         // that reach what is in the pan
constexpr double pan_j_gk = 3.6;       // of watery produce and syrup
constexpr double pan_warms_k = 80;     // from the kitchen to the boil
constexpr double burner_kw = 2.2;      // under the canner where nobody has told
constexpr double burner_share = 0.75;  // of it that reaches the water
constexpr double canner_warms_k = 85;  // from the tap to the boil
constexpr double usual_canner_l = 9;
constexpr std::int64_t prepare_ms = 600'000;
constexpr std::int64_t weigh_ms = 75'000;  // an ingredient
constexpr std::int64_t boil_down_ms = 900'000;
constexpr std::int64_t by_eye_ms = 300'000;
constexpr std::int64_t fill_ms = 60'000;
constexpr std::int64_t fill_jar_ms = 60'000;
constexpr std::int64_t load_ms = 240'000;  // jars in, and the boil back
constexpr std::int64_t rest_ms = 300'000;  // heat off, lid away: as in batch/bath
// Specific heat of water, joule per gram and kelvin.
constexpr double water_j_gk = 4.186;
// Empty jars are boiled first where the process is shorter than this: USDA Complete Guide to Home
// Canning (AIB 539), guide 1.
constexpr std::int64_t short_process_ms = 600'000;

std::int64_t whole_seconds(double seconds) { return std::llround(seconds) * 1000; }

double grams_of(const Plan& plan, const PlannedOperation& operation) {
  double grams = 0;
  for (const auto& name : operation.ingredients) {
    for (const auto& one : plan.ingredients) {
      if (one.name == name) grams += static_cast<double>(one.aim_ug) / 1e6;
    }
  }
  return grams;
}

std::int64_t expected(const Plan& plan, const PlannedOperation& operation) {
  if (operation.kind == "prepare") return prepare_ms;
  if (operation.kind == "weigh") {
    return weigh_ms *
           static_cast<std::int64_t>(std::max<std::size_t>(operation.ingredients.size(), 1));
  }
  if (operation.kind == "heat") {
    std::int64_t ms = whole_seconds(grams_of(plan, operation) * pan_j_gk * pan_warms_k / pan_w);
    if (operation.until == "above boil" || operation.until == "weight") ms += boil_down_ms;
    if (operation.until == "eye") ms += by_eye_ms;
    return ms;
  }
  if (operation.kind == "fill") {
    const double jars = plan.jar_ml > 0 ? plan.yield_ml / plan.jar_ml : 0;
    return fill_ms + static_cast<std::int64_t>(std::ceil(jars)) * fill_jar_ms;
  }
  if (operation.kind == "water bath") return load_ms + operation.duration_ms + rest_ms;
  if (operation.kind == "dry") return operation.longest_ms / 2;
  return operation.duration_ms;
}

std::int64_t sterilise_time(const Plan& plan, std::int64_t process_ms) {
  if (process_ms >= short_process_ms || !plan.altitude_m) return 0;
  // No kitchen stands higher than these minutes are known for.
  return preserving::sterilise_minutes(*plan.altitude_m).value() * 60'000;
}

std::int64_t canner_time(const proto::Facts& facts) {
  if (facts.canner_min) return whole_seconds(*facts.canner_min * 60);
  const double joule = facts.canner_l.value_or(usual_canner_l) * 1000 * water_j_gk * canner_warms_k;
  return whole_seconds(joule / (facts.canner_kw.value_or(burner_kw) * 1000 * burner_share));
}

}  // namespace

void arrange_evening(const proto::Facts& facts, Plan& plan) {
  const auto kind_is = [](const char* kind) {
    return [kind](const PlannedOperation& one) { return one.kind == kind; };
  };
  auto& operations = plan.operations;
  const auto bath = std::find_if(operations.begin(), operations.end(), kind_is("water bath"));
  if (bath != operations.end() && std::any_of(operations.begin(), bath, kind_is("heat"))) {
    plan.sterilise_ms = sterilise_time(plan, bath->duration_ms);
    plan.canner_ms = canner_time(facts);
    // Jars that do not fit in at once go in one load after the other.
    const PlannedOperation load = *bath;
    if (plan.canner_loads > 1) {
      auto at = bath;
      for (std::int64_t i = 1; i <= plan.canner_loads; ++i) {
        if (i > 1) at = operations.insert(at + 1, load);
        const std::int64_t before = (i - 1) * facts.canner_jars.value_or(0);
        const std::int64_t jars = std::min(facts.canner_jars.value_or(0),
                                           jars_for(plan.yield_ml, plan.jar_ml).whole - before);
        at->text += " Load " + std::to_string(i) + " of " + std::to_string(plan.canner_loads) +
                    ", " + std::to_string(jars) + (jars == 1 ? " jar." : " jars.");
        if (i > 1) at->caution.clear();
      }
    }
    const auto heat = std::find_if(operations.begin(), operations.end(), kind_is("heat"));
    if (heat != operations.end()) {
      PlannedOperation wait;
      wait.kind = "wait";
      wait.text = "The pan waits for the canner.";
      operations.insert(heat, wait);
    }
    PlannedOperation canner;
    canner.kind = "canner";
    canner.text = "The canner takes longest, so it comes first: " +
                  (facts.canner_l ? quantity::plain(*facts.canner_l, 1) + " L of water" : "water") +
                  " in, lid on, full heat" +
                  (plan.sterilise_ms > 0 ? ", the empty jars in it." : ".");
    operations.insert(operations.begin(), canner);
  }
  for (auto& operation : operations) operation.expect_ms = expected(plan, operation);
}

}  // namespace maslin::plan
