// The forecast of drying.hpp: over a row of guesses of what the air leaves in, each with the rate
// that the weigh-ins then tell, weighed by how well it explains them.
#include "daemon/preserving/drying.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "daemon/quantity/decimal.hpp"

namespace maslin::preserving {
namespace {

// All of these are common practice, no source: settled in simulation, see the README.
constexpr double rate_varies = 0.18;   // logarithm of the rate, between two weigh-ins
constexpr double rate_drifts = 0.25;   // the same, for each e-fold of water that has gone since
constexpr double usual_rate_h = 0.12;  // before anything was lost
constexpr double usual_rate_varies = 1.0;
constexpr int guesses = 25;  // of what the air leaves in
// Of the dry matter, where that is known: a few percent of water stay even in warm dry air, and no
// water content of a table is quite that of this food.
constexpr double least_stays = 0.94;
constexpr double most_stays = 1.17;
// Of the target, where it is not.
constexpr double least_of_target = 0.4;
constexpr double most_of_target = 0.97;
// A loss that the scale is surer of than this says nothing of the rate by itself.
constexpr double worth_sigmas = 3;
constexpr double shortest_hours = 0.5;
constexpr double in_tail = 0.05;  // on either side of the interval

double normal_cdf(double x) { return std::erfc(-x / std::sqrt(2.0)) / 2; }

// The rate that the weigh-ins tell where the air leaves `stays_g` in.
struct Guess {
  double stays_g = 0;
  double log_rate = 0;  // per hour
  double variance = 0;  // of it, as it may be from now on
  double evidence = 0;  // logarithm
};

struct Step {
  double log_rate;
  double variance;
};

// From weigh-in to weigh-in, as long as it takes for a loss to be sure.
std::vector<Step> steps(std::span<const DryPoint> all, double stays_g, double& jacobian) {
  std::vector<Step> found;
  const double now_g = all.back().mass_g - stays_g;
  std::size_t from = 0;
  for (std::size_t to = 1; to < all.size(); ++to) {
    const double before_g = all[from].mass_g - stays_g;
    const double after_g = all[to].mass_g - stays_g;
    const double hours = all[to].hours - all[from].hours;
    const double folds = std::log(before_g / after_g);
    const double unsure = std::hypot(all[from].standard_uncertainty_g / before_g,
                                     all[to].standard_uncertainty_g / after_g);
    if (hours < shortest_hours || folds < worth_sigmas * unsure) continue;
    const double ago = std::log(std::sqrt(before_g * after_g) / now_g);
    found.push_back({std::log(folds / hours), rate_varies * rate_varies +
                                                  std::pow(unsure / folds, 2) +
                                                  rate_drifts * rate_drifts * std::max(ago, 0.0)});
    jacobian -= std::log(folds * after_g);
    from = to;
  }
  return found;
}

std::optional<Guess> guess(std::span<const DryPoint> all, double stays_g) {
  Guess one;
  one.stays_g = stays_g;
  const auto lightest = std::min_element(
      all.begin(), all.end(), [](const auto& a, const auto& b) { return a.mass_g < b.mass_g; });
  if (lightest->mass_g <= stays_g) return std::nullopt;
  const auto told = steps(all, stays_g, one.evidence);
  if (told.empty()) return std::nullopt;
  double weight = 1 / (usual_rate_varies * usual_rate_varies);
  double sum = weight * std::log(usual_rate_h);
  for (const auto& step : told) {
    weight += 1 / step.variance;
    sum += step.log_rate / step.variance;
  }
  one.log_rate = sum / weight;
  for (const auto& step : told) {
    one.evidence -= std::pow(step.log_rate - one.log_rate, 2) / step.variance / 2;
    one.evidence -= std::log(step.variance) / 2;
  }
  one.evidence -= std::pow((one.log_rate - std::log(usual_rate_h)) / usual_rate_varies, 2) / 2;
  one.evidence -= std::log(weight) / 2;
  one.variance = 1 / weight + rate_varies * rate_varies;
  return one;
}

// Every guess with its weight; the weights sum to one.
std::vector<Guess> all_guesses(std::span<const DryPoint> all, double dry_g, double target_g) {
  const double least = dry_g > 0 ? dry_g * least_stays : target_g * least_of_target;
  const double most =
      std::min(dry_g > 0 ? dry_g * most_stays : target_g, target_g * most_of_target);
  std::vector<Guess> found;
  for (int i = 0; i < guesses; ++i) {
    const double share = (i + 0.5) / guesses;
    if (auto one = guess(all, least + share * std::max(most - least, 0.0))) found.push_back(*one);
  }
  double best = -INFINITY;
  for (const auto& one : found) best = std::max(best, one.evidence);
  double sum = 0;
  for (auto& one : found) sum += one.evidence = std::exp(one.evidence - best);
  for (auto& one : found) one.evidence /= sum;
  return found;
}

bool can_tell(std::span<const DryPoint> all, double target_g) {
  return all.size() >= 2 && target_g > 0 && all.back().mass_g > target_g;
}

}  // namespace

proto::Result<double> dried_g(double mass_g, double water_pct, double target_pct) {
  if (!(mass_g > 0 && water_pct > 0 && water_pct < 100 && target_pct >= 0)) {
    return proto::trouble("a mass with 0 to 100 % of water dries", "water-pct",
                          "give grams, and percent of water of the whole");
  }
  if (target_pct > water_pct) {
    return proto::trouble(
        "drying leads to less water, not to more", "target-pct",
        "give at most the " + quantity::plain(water_pct, 2) + " % that it begins with");
  }
  return mass_g * (100 - water_pct) / (100 - target_pct);
}

double water_left_pct(double water_pct, double left) {
  return std::max(0.0, 100 - (100 - water_pct) / left);
}

std::optional<DryingForecast> drying_forecast(std::span<const DryPoint> weigh_ins, double dry_g,
                                              double target_g) {
  if (!can_tell(weigh_ins, target_g)) return std::nullopt;
  const auto found = all_guesses(weigh_ins, dry_g, target_g);
  if (found.empty()) return std::nullopt;
  const auto& now = weigh_ins.back();
  // The share of belief in at most exp(x) hours.
  const auto reached = [&](double x) {
    double sum = 0;
    for (const auto& one : found) {
      const double left_g = now.mass_g - one.stays_g;
      const double folds = std::log(left_g / (target_g - one.stays_g));
      const double unsure = now.standard_uncertainty_g / left_g / folds;
      sum += one.evidence * normal_cdf((x - std::log(folds) + one.log_rate) /
                                       std::sqrt(one.variance + unsure * unsure));
    }
    return sum;
  };
  const auto point = [&](double share) {
    double low = -12;  // a twentieth of a second
    double high = 12;  // eighteen years
    for (int i = 0; i < 60; ++i) {
      const double middle = (low + high) / 2;
      (reached(middle) < share ? low : high) = middle;
    }
    return std::exp((low + high) / 2);
  };
  return DryingForecast{point(0.5), point(in_tail), point(1 - in_tail)};
}

std::optional<DryingExpected> drying_expected(std::span<const DryPoint> weigh_ins, double dry_g,
                                              double target_g, double hours) {
  if (!can_tell(weigh_ins, target_g)) return std::nullopt;
  const auto found = all_guesses(weigh_ins, dry_g, target_g);
  if (found.empty()) return std::nullopt;
  const auto& now = weigh_ins.back();
  double mean_g = 0;
  double square = 0;
  for (const auto& one : found) {
    const double folds = hours * std::exp(one.log_rate);
    const double left_g = (now.mass_g - one.stays_g) * std::exp(-folds);
    const double spread_g = left_g * folds * std::sqrt(one.variance);
    mean_g += one.evidence * (one.stays_g + left_g);
    square += one.evidence * (std::pow(one.stays_g + left_g, 2) + spread_g * spread_g);
  }
  return DryingExpected{mean_g, std::hypot(std::sqrt(std::max(0.0, square - mean_g * mean_g)),
                                           now.standard_uncertainty_g)};
}

}  // namespace maslin::preserving
