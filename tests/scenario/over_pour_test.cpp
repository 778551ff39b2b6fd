// Whole batches in which a pour went over, carried through each rung of the ladder: what is told,
// recorded and made of it, that no critical ratio is broken by true masses, and that it folds
// again.
#include <algorithm>

#include "daemon/plan/ratios.hpp"
#include "daemon/review/review.hpp"
#include "kitchens.hpp"

namespace maslin::scenario {
namespace {

kitchen::IngredientModel& ingredient(Setting& setting, const std::string& name) {
  auto& all = setting.kitchen.ingredients;
  const auto found =
      std::find_if(all.begin(), all.end(), [&](const auto& one) { return one.name == name; });
  if (found != all.end()) return *found;
  all.push_back({});
  all.back().name = name;
  return all.back();
}

// All of it goes in, scoop by scoop, whatever is said meanwhile.
void goes_in(Setting& setting, const std::string& name, double grams) {
  auto& one = ingredient(setting, name);
  one.style = "scoop";
  one.scoop_g = 30;
  one.has_g = grams;
}

// Presses where an over-pour is answered with these words.
void agrees(Setting& setting, const std::string& hears) {
  for (const char* cue : {"over", "undecided"}) {
    kitchen::AnswerModel answer;
    answer.cue = cue;
    answer.hears = hears;
    answer.does = kitchen::Does::press;
    answer.after_s = 6;
    setting.kitchen.answers.insert(setting.kitchen.answers.begin(), answer);
  }
}

void replace(std::string& text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  ASSERT_NE(at, std::string::npos) << from;
  text.replace(at, from.size(), to);
}

proto::Plan final_plan(const Stage& stage) {
  const auto all = stage.all<proto::PlanFinal>();
  return all.empty() ? stage.plan() : all.back().plan;
}

proto::WayOut way(const Stage& stage) {
  const auto all = stage.all<proto::WayOut>();
  EXPECT_FALSE(all.empty()) << stage.diary();
  return all.empty() ? proto::WayOut{} : all.back();
}

// By what truly went in, and by what the scale showed with its guard.
void expect_ratios_kept(const Stage& stage) {
  const auto plan = final_plan(stage);
  std::vector<plan::WeighedMass> masses;
  for (const auto& [name, weighing] : stage.weighings()) {
    masses.push_back({name, weighing.net_ug, weighing.standard_uncertainty_ug});
  }
  for (const auto& ratio : plan.ratios) {
    EXPECT_EQ(plan::check_ratio(ratio, masses, 0.02).state, plan::RatioState::satisfied);
    const auto truth = [&](const std::vector<std::string>& names) {
      double sum = 0;
      for (const auto& name : names) sum += stage.truth_g(name);
      return sum;
    };
    EXPECT_GE(truth(ratio.of_names),
              truth(ratio.per_names) * static_cast<double>(ratio.limit_ppm) / 1e6)
        << stage.diary();
  }
}

proto::Report report(const Stage& stage) {
  std::vector<proto::Entry> entries;
  proto::Start start;
  start.plan = stage.plan();
  entries.push_back({{1, 0, 0, 0}, proto::Input(start)});
  for (const auto& one : stage.said()) {
    entries.push_back({{0, one.at_ms, one.at_ms, 0}, one.outcome});
  }
  return review::report(entries, {}, "");
}

bool reports(const proto::Report& report, const std::string& what, const std::string& detail) {
  return std::any_of(report.deviations.begin(), report.deviations.end(), [&](const auto& one) {
    return one.what.find(what) != std::string::npos && one.detail.find(detail) != std::string::npos;
  });
}

TEST(OverPour, TakenOutAgain) {
  auto setting = refrigerator_evening();
  goes_in(setting, "sugar", 200);
  Stage stage(setting);
  stage.run(night_s);
  expect_complete(stage);
  EXPECT_EQ(way(stage).rung, "taken out") << stage.diary();
  EXPECT_EQ(way(stage).ingredient, "sugar");
  EXPECT_TRUE(reports(report(stage), "sugar over", "taken out"));
  expect_ratios_kept(stage);
}

TEST(OverPour, LeftOnTheSafeSide) {
  auto setting = refrigerator_evening();
  goes_in(setting, "cider vinegar", 435);
  agrees(setting, "safe side");
  Stage stage(setting);
  stage.run(night_s);
  expect_complete(stage);
  EXPECT_EQ(way(stage).rung, "accepted") << stage.diary();
  EXPECT_EQ(stage.all<proto::PlanFinal>().size(), 1u);
  EXPECT_TRUE(reports(report(stage), "cider vinegar", "accepted"));
  expect_ratios_kept(stage);
}

TEST(OverPour, ToppedUpWithWhatIsStillToCome) {
  auto setting = refrigerator_evening();
  replace(setting.formula, "least = \"0.8\"", "least = \"0.88\"");
  replace(setting.formula, "counts_as = \"low-acid food\"\nband = \"5 %\"",
          "counts_as = \"low-acid food\"\nband = \"30 %\"");
  goes_in(setting, "sweet pepper", 96);
  agrees(setting, "more cider vinegar");
  Stage stage(setting);
  stage.run(night_s);
  expect_complete(stage);
  EXPECT_EQ(way(stage).rung, "topped up") << stage.diary();
  EXPECT_TRUE(reports(report(stage), "sweet pepper over", "topped up"));
  expect_ratios_kept(stage);
}

TEST(OverPour, MadeALargerBatchWithItsTopUpsItsJarsAndItsReport) {
  auto setting = shelf_evening();
  goes_in(setting, "sugar", 196);
  agrees(setting, " % larger");
  Stage stage(setting);
  stage.run(night_s);
  expect_complete(stage);
  const auto taken = way(stage);
  ASSERT_EQ(taken.rung, "larger batch") << stage.diary();
  EXPECT_FALSE(taken.additions.empty());
  const auto plans = stage.all<proto::PlanFinal>();
  ASSERT_EQ(plans.size(), 2u);
  EXPECT_NEAR(plans[1].plan.factor, plans[0].plan.factor * taken.factor, 1e-9);
  EXPECT_GT(plans[1].plan.yield_ml, plans[0].plan.yield_ml);
  ASSERT_FALSE(stage.all<proto::Filled>().empty());
  EXPECT_EQ(stage.all<proto::Filled>().back().expected,
            static_cast<std::int64_t>(plans[1].plan.yield_ml / plans[1].plan.jar_ml + 0.12));
  // Everything, with its top-up, is within the plan it ended with.
  const auto weighed = stage.weighings();
  for (const auto& one : plans[1].plan.ingredients) {
    if (one.check != "weigh") continue;
    EXPECT_GE(weighed.at(one.name).net_ug, one.accept_lower_ug) << one.name << stage.diary();
    EXPECT_LE(weighed.at(one.name).net_ug, one.accept_upper_ug) << one.name << stage.diary();
  }
  EXPECT_TRUE(stage.all<proto::Deviation>().empty()) << stage.diary();
  const auto told = report(stage);
  EXPECT_TRUE(reports(told, "sugar over", "times as large"));
  EXPECT_TRUE(reports(told, "sugar over", "more onion"));
  EXPECT_NEAR(told.factor, plans[1].plan.factor, 1e-12);
  expect_ratios_kept(stage);
  expect_full_bath(stage);
}

TEST(OverPour, LeftWhereNoLargerBatchIsAllowed) {
  auto setting = refrigerator_evening();
  replace(setting.formula, "largest_multiple = 2", "largest_multiple = 1.1");
  goes_in(setting, "sugar", 215);
  agrees(setting, "leave it so");
  Stage stage(setting);
  stage.run(night_s);
  expect_complete(stage);
  const auto taken = way(stage);
  EXPECT_EQ(taken.rung, "accepted") << stage.diary();
  const auto blocked = std::find_if(taken.refused.begin(), taken.refused.end(),
                                    [](const auto& one) { return one.rung == "larger batch"; });
  ASSERT_NE(blocked, taken.refused.end());
  EXPECT_EQ(blocked->blocked_by, "largest multiple");
  EXPECT_FALSE(stage.told("over", "No larger batch").empty());
  expect_ratios_kept(stage);
}

// Neither out nor larger: what is left is the refrigerator, and no jar comes to the shelf.
TEST(OverPour, KeptForTheRefrigerator) {
  auto setting = shelf_evening();
  replace(setting.formula, "largest_multiple = 2", "largest_multiple = 1.1");
  replace(setting.formula, "least = \"0.8\"", "least = \"0.8\"\nkeeping = \"shelf\"");
  goes_in(setting, "sweet pepper", 150);
  agrees(setting, "refrigerator");
  Stage stage(setting);
  stage.run(night_s);
  expect_complete(stage);
  EXPECT_EQ(way(stage).rung, "refrigerator") << stage.diary();
  EXPECT_EQ(stage.status().may_be_called.rfind("Not for the shelf", 0), 0u);
  for (const auto& jars : stage.all<proto::JarsAre>()) EXPECT_NE(jars.where, "shelf");
  EXPECT_TRUE(reports(report(stage), "sweet pepper", "kept for the refrigerator"));
}

TEST(OverPour, StartedAgain) {
  auto setting = refrigerator_evening();
  replace(setting.formula, "largest_multiple = 2", "largest_multiple = 1.1");
  goes_in(setting, "sweet pepper", 150);
  agrees(setting, "start again");
  kitchen::AnswerModel twice;
  twice.cue = "ask";
  twice.hears = "started again";
  twice.does = kitchen::Does::press;
  setting.kitchen.answers.push_back(twice);
  Stage stage(setting);
  stage.run(night_s);
  EXPECT_EQ(stage.status().state, "stopped") << stage.diary();
  EXPECT_EQ(way(stage).rung, "start again");
  EXPECT_EQ(stage.folds_differently(), "");
}

TEST(OverPour, AfterANoTheNextWayIsTaken) {
  auto setting = refrigerator_evening();
  goes_in(setting, "sugar", 196);
  agrees(setting, "leave it so");
  kitchen::AnswerModel waits;  // does nothing until the other way is told
  waits.cue = "over";
  waits.hears = " % larger";
  setting.kitchen.answers.push_back(waits);
  Stage stage(setting);
  stage.on_cue("over", " % larger", 5, [&] { EXPECT_EQ(stage.say("no"), ""); });
  stage.run(night_s);
  expect_complete(stage);
  EXPECT_EQ(way(stage).rung, "accepted") << stage.diary();
  EXPECT_EQ(stage.all<proto::PlanFinal>().size(), 1u);
}

// Killed while the offer stands, and again in the middle of the top-ups.
TEST(OverPour, ALargerBatchIsCarriedThroughOverRestarts) {
  auto setting = refrigerator_evening();
  goes_in(setting, "sugar", 196);
  agrees(setting, " % larger");
  Stage stage(setting);
  stage.on_cue("plan_final", "% larger", 4, [&] { stage.restart(5); });
  stage.run(night_s);
  expect_complete(stage);
  EXPECT_EQ(way(stage).rung, "larger batch") << stage.diary();
  expect_ratios_kept(stage);
}

// Many evenings, every ingredient over by turns: whatever is agreed to, no ratio is left.
TEST(OverPour, NoBatchThatIsPutRightLeavesACriticalRatio) {
  int larger = 0;
  for (int i = 0; i < 60; ++i) {
    auto setting = refrigerator_evening();
    setting.kitchen.seed = static_cast<std::uint64_t>(1000 + i);
    const double share = 1.08 + 0.01 * (i % 20);
    const int which = i % 3;
    if (which == 0) goes_in(setting, "sugar", 161 * share);
    if (which == 1) goes_in(setting, "cider vinegar", 385 * (share + 0.1));
    if (which == 2) goes_in(setting, "sweet pepper", 80 * share);
    agrees(setting, " % larger");
    agrees(setting, "safe side");
    Stage stage(setting);
    stage.run(night_s);
    SCOPED_TRACE(i);
    expect_complete(stage);
    expect_ratios_kept(stage);
    for (const auto& one : stage.all<proto::WayOut>()) larger += one.rung == "larger batch";
  }
  EXPECT_GT(larger, 20);
}

}  // namespace
}  // namespace maslin::scenario
