// A thousand simulated weighings against the true masses: is the stated interval true, is nothing
// judged while it runs, and how long does a verdict take. The seeds here were not used to tune
// anything.
#include <algorithm>
#include <cmath>
#include <cstdio>

#include "daemon/weighing/uncertainty.hpp"
#include "stage.hpp"

namespace maslin::scenario {
namespace {

constexpr int weighings = 1000;
constexpr std::uint64_t first_seed = 500'000;

enum class Style { pour, scoop, pinch };
constexpr const char* style_names[] = {"pour", "scoop", "pinch"};

struct Trial {
  kitchen::Scenario scenario;
  double amount_g = 0;
  Style style = Style::pour;
};

// linear: the scale's only errors are noise and rounding. Else it also has a span error, drawn so
// that the error of the net is as the budget says: even over the maximum permissible error of class
// III in service.
Trial draw(std::uint64_t seed, bool linear) {
  kitchen::Chance chance(seed, 77);
  Trial trial;
  constexpr double intervals[] = {0.1, 1, 2, 5};
  constexpr double rates[] = {5, 10, 20};
  constexpr double lags[] = {0.3, 0.5, 0.8};
  const auto pick = [&](const auto& list) {
    return list[static_cast<std::size_t>(chance.uniform() * static_cast<double>(std::size(list)))];
  };
  auto& s = trial.scenario;
  s.seed = seed;
  s.scale.interval_g = pick(intervals);
  s.scale.rate_hz = pick(rates);
  s.scale.lag_s = pick(lags);
  s.scale.noise_g = 0.1 * s.scale.interval_g;
  s.cook.vessel_g = 150 + 500 * chance.uniform();
  s.cook.reaction_s = 0.3 + 0.25 * chance.uniform();
  trial.style = static_cast<Style>(static_cast<int>(chance.uniform() * 3));
  const double least = std::max(20.0 * s.scale.interval_g, 10.0);
  kitchen::IngredientModel sugar;
  sugar.name = "sugar";
  switch (trial.style) {
    case Style::pour:
      trial.amount_g = least * 2 + 400 * chance.uniform();
      sugar.flow_g_s = 10 + 20 * chance.uniform();
      break;
    case Style::scoop:
      trial.amount_g = least * 2 + 400 * chance.uniform();
      sugar.style = "scoop";
      sugar.scoop_g = 20 + 60 * chance.uniform();
      break;
    case Style::pinch:
      trial.amount_g = least * (1.2 + chance.uniform());
      sugar.flow_g_s = std::max(2.0, 2 * s.scale.interval_g);
      break;
  }
  s.ingredients = {sugar};
  if (!linear) {
    const double limit =
        weighing::linearity_class3_g(trial.amount_g, s.scale.interval_g, s.scale.capacity_g);
    s.scale.span_ppm = (2 * chance.uniform() - 1) * limit / trial.amount_g * 1e6;
  }
  return trial;
}

std::string formula_for(double grams) {
  char text[512];
  std::snprintf(text, sizeof text,
                "name = \"Trial\"\nstatus = \"own\"\ninvented = true\n"
                "note = \"Invented, not tested for safety.\"\nkeeping = \"refrigerator\"\n"
                "[[ingredient]]\nname = \"sugar\"\namount = \"%.1f g\"\ncounts_as = "
                "\"sugar\"\nband = \"12 %%\"\n"
                "[[operation]]\nkind = \"weigh\"\ntext = \"Weigh.\"\n",
                grams);
  return text;
}

struct Tally {
  int weighed = 0;
  int covered = 0;
  int judged_while_running = 0;
  int not_finished = 0;
  std::vector<double> delays_s;  // from the last change of the load to the verdict

  double share() const { return static_cast<double>(covered) / weighed; }
  double delay_s(double part) {
    std::sort(delays_s.begin(), delays_s.end());
    return delays_s[static_cast<std::size_t>(part * static_cast<double>(delays_s.size() - 1))];
  }
};

void tally(const Trial& trial, std::initializer_list<Tally*> tallies) {
  Stage stage({trial.scenario, formula_for(trial.amount_g)});
  stage.run(600);
  const auto weighed = stage.weighings();
  const auto found = weighed.find("sugar");
  if (!stage.ended() || found == weighed.end() || found->second.device < 0) {
    for (auto* to : tallies) ++to->not_finished;
    return;
  }
  const double net_g = static_cast<double>(found->second.net_ug) / 1e6;
  const double half_g = static_cast<double>(found->second.expanded_uncertainty_ug) / 1e6;
  const bool covered = std::abs(net_g - stage.truth_g("sugar")) <= half_g;
  for (auto* to : tallies) {
    ++to->weighed;
    to->covered += covered ? 1 : 0;
    for (const auto& one : stage.said()) {
      if (!std::holds_alternative<proto::Verdict>(one.outcome)) continue;
      const double delay_s = static_cast<double>(one.at_ms - one.still_since_ms) / 1000;
      to->delays_s.push_back(delay_s);
      to->judged_while_running += delay_s < 0.5 ? 1 : 0;
    }
  }
  for (const auto& one : stage.said()) {
    const double delay_s = static_cast<double>(one.at_ms - one.still_since_ms) / 1000;
    if (!std::holds_alternative<proto::Verdict>(one.outcome) || delay_s >= 0.5) continue;
    std::printf("  seed %llu (%s): judged %.2f s after the load changed at %.2f s\n",
                static_cast<unsigned long long>(trial.scenario.seed),
                style_names[static_cast<int>(trial.style)], delay_s,
                static_cast<double>(one.at_ms) / 1000);
  }
}

class WeighingTruth : public ::testing::TestWithParam<bool> {};

TEST_P(WeighingTruth, TheStatedIntervalHoldsTheTrueMass) {
  const bool linear = GetParam();
  Tally all;
  Tally by_style[3];
  for (int i = 0; i < weighings; ++i) {
    const auto trial = draw(first_seed + static_cast<std::uint64_t>(i), linear);
    tally(trial, {&all, &by_style[static_cast<int>(trial.style)]});
  }
  std::printf(
      "%s scale: %d weighed, %.1f %% inside the 95 %% interval, %d judged while running, "
      "delay median %.1f s, 95th percentile %.1f s\n",
      linear ? "linear" : "class III", all.weighed, 100 * all.share(), all.judged_while_running,
      all.delay_s(0.5), all.delay_s(0.95));
  for (int i = 0; i < 3; ++i) {
    std::printf("  %s: %.1f %% of %d\n", style_names[i], 100 * by_style[i].share(),
                by_style[i].weighed);
  }
  EXPECT_EQ(all.not_finished, 0);
  // Four grams a second on a scale of 5 g: two steps of its display may lie further apart than its
  // rest takes, and one such pour in a thousand is judged before its end. It goes on as a late
  // spoonful.
  EXPECT_LE(all.judged_while_running, 1);
  // On a scale without linearity error the budget still counts the class's: more than 95 % are
  // inside. Drawn as the budget says, 93 to 97 % may be asked (bars of the design: 95 % nominal;
  // three standard errors of 1,000).
  EXPECT_GE(all.share(), 0.93);
  if (!linear) {
    EXPECT_LE(all.share(), 0.99);
  }
}

INSTANTIATE_TEST_SUITE_P(Scales, WeighingTruth, ::testing::Values(true, false),
                         [](const auto& tested) { return tested.param ? "Linear" : "ClassIII"; });

}  // namespace
}  // namespace maslin::scenario
