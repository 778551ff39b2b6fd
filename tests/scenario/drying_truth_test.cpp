// Forecasts of drying against the truth, over simulated loads whose rate bends with the hour, the
// weather and the tray, as the forecast does not know: how often does the interval hold, how wide
// is it, how far off is its middle. The seeds here were not used to tune anything.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <optional>
#include <vector>

#include "daemon/preserving/drying.hpp"
#include "plugins/kitchen/drier.hpp"

namespace maslin::scenario {
namespace {

using preserving::DryingForecast;
using preserving::DryPoint;

constexpr std::uint64_t measuring_seed = 2'300'000;
constexpr int loads = 2000;
constexpr double step_s = 120;
constexpr double longest_h = 240;

struct Told {
  DryingForecast forecast;
  double truth_h = 0;
  std::size_t weigh_ins = 0;
  bool holds() const { return truth_h >= forecast.from_hours && truth_h <= forecast.to_hours; }
};

// One load with its weigh-ins, some hours apart by day and none by night, and what was foretold at
// each. `by_water`: the dry matter is known from the water content, which the formula has about
// right.
std::vector<Told> one_load(std::uint64_t seed, bool by_water) {
  kitchen::Chance chance(seed, 41);
  const auto between = [&](double least, double most) {
    return least + (most - least) * chance.uniform();
  };
  kitchen::DrierModel model;
  model.trays = 1 + static_cast<int>(5 * chance.uniform());
  model.water_share = between(0.75, 0.94);
  model.rate_h = std::exp(between(std::log(0.1), std::log(0.6)));
  model.from_core = between(0.35, 1.2);
  model.uneven = between(0.02, 0.2);
  model.night = between(0, 0.35);
  model.weather = between(0.03, 0.2);
  model.stays = between(0.03, 0.10);
  kitchen::Drier drier(model, seed);
  const double food_g = between(400, 3000);
  drier.spread(food_g);
  const double target_pct = between(12, 25);
  const double told_pct = 100 * model.water_share + chance.normal(0, 0.7);
  const double left = by_water ? (100 - told_pct) / (100 - target_pct)
                               : (1 - model.water_share) / (1 - target_pct / 100);
  const double target_g = food_g * left;
  const double dry_g = by_water ? food_g * (100 - told_pct) / 100 : 0;
  const double unsure_g = between(0.5, 2.5);

  double hour = between(7, 21);
  double at_h = 0;
  double due_h = 0;
  std::vector<DryPoint> weighed;
  std::vector<Told> told;
  while (at_h < longest_h) {
    const double before_g = drier.food_g();
    if (before_g <= target_g) {
      for (auto& one : told) one.truth_h = at_h - one.truth_h;
      return told;
    }
    const double of_day = std::fmod(hour + at_h, 24);
    if (at_h >= due_h && of_day >= 7 && of_day < 23) {
      weighed.push_back({at_h, before_g + chance.normal(0, unsure_g), unsure_g});
      due_h = at_h + between(1.5, 6);
      if (chance.uniform() < 0.15) std::swap(drier.trays().front().rate, drier.trays().back().rate);
      if (const auto forecast = preserving::drying_forecast(weighed, dry_g, target_g)) {
        told.push_back({*forecast, at_h, weighed.size()});
      }
    }
    drier.advance(step_s, of_day);
    at_h += step_s / 3600;
  }
  return {};
}

struct Row {
  int count = 0;
  int held = 0;
  std::vector<double> off;   // middle over truth, as a share of the truth
  std::vector<double> wide;  // of the interval, as a share of the middle
  void add(const Told& one) {
    ++count;
    held += one.holds() ? 1 : 0;
    off.push_back(std::abs(one.forecast.hours / one.truth_h - 1));
    wide.push_back((one.forecast.to_hours - one.forecast.from_hours) / one.forecast.hours);
  }
  static double middle(std::vector<double> all) {
    if (all.empty()) return 0;
    std::sort(all.begin(), all.end());
    return all[all.size() / 2];
  }
  double share() const { return count > 0 ? static_cast<double>(held) / count : 0; }
  void print(const char* what) const {
    std::printf(
        "  %-12s %5d forecasts, interval held %.1f %%, middle off by %.0f %%, width %.0f %%\n",
        what, count, 100 * share(), 100 * middle(off), 100 * middle(wide));
  }
};

void measure(const char* what, bool by_water, std::uint64_t seed) {
  Row all;
  std::array<Row, 4> rows;
  for (std::uint64_t i = 0; i < loads; ++i) {
    for (const auto& one : one_load(seed + i, by_water)) {
      if (one.truth_h <= 0) continue;
      all.add(one);
      const std::size_t n = one.weigh_ins;
      rows[n <= 2 ? 0 : n == 3 ? 1 : n <= 5 ? 2 : 3].add(one);
    }
  }
  std::printf("%s, %d loads:\n", what, loads);
  all.print("all");
  rows[0].print("2 weigh-ins");
  rows[1].print("3");
  rows[2].print("4 or 5");
  rows[3].print("6 and more");
  EXPECT_GE(all.share(), 0.88);
  EXPECT_LE(all.share(), 0.97);
  for (const auto& row : rows) EXPECT_GE(row.share(), 0.85);
}

TEST(DryingForecast, IntervalHoldsWhereTheWaterContentIsKnown) {
  measure("to a water content", true, measuring_seed);
}
TEST(DryingForecast, IntervalHoldsWhereOnlyTheLossIsKnown) {
  measure("to a loss", false, measuring_seed);
}

}  // namespace
}  // namespace maslin::scenario
