// Amounts as the cook thinks of them, and what the scale shows beside them.
#include "daemon/batch/words.hpp"

#include <gtest/gtest.h>

#include "daemon/batch/desk.hpp"

#include "evening.hpp"

namespace maslin::batch {
namespace {

proto::Plan plan_in(const std::string& units) {
  proto::Plan plan;
  plan.units = units;
  plan.cups = "US customary";
  return plan;
}

proto::PlannedIngredient sugar() {
  proto::PlannedIngredient one;
  one.name = "sugar";
  one.kitchen = "1 cup";
  one.aim_ug = 200'000'000;
  one.cup_ug = 200'000'000;
  return one;
}

proto::PlannedIngredient pepper() {
  auto one = sugar();
  one.name = "sweet pepper";
  one.kitchen = "1/2 cup";
  one.form = "chopped";
  one.aim_ug = 75'000'000;
  return one;
}

constexpr std::int64_t gram = 1'000'000;

TEST(Words, SayCupsFirstAndGramsBesideThem) {
  const auto plan = plan_in("kitchen");
  EXPECT_EQ(ingredient_line(plan, sugar(), gram), "1 cup sugar: 200 g");
  EXPECT_EQ(ingredient_line(plan, pepper(), gram), "1/2 cup sweet pepper, chopped: 75 g");
  EXPECT_EQ(about_so_much(plan, pepper(), gram), "about 1/2 cup, chopped, 75 g");
  EXPECT_EQ(amount_of(plan, sugar(), 12'500'000, gram, "more sugar"), "1 tbsp more sugar, 13 g");
}

TEST(Words, OrGramsFirst) {
  const auto plan = plan_in("grams");
  EXPECT_EQ(ingredient_line(plan, sugar(), gram), "200 g sugar (1 cup)");
  EXPECT_EQ(ingredient_line(plan, pepper(), gram), "75 g sweet pepper (1/2 cup, chopped)");
  EXPECT_EQ(about_so_much(plan, pepper(), gram), "about 75 g (1/2 cup, chopped)");
  EXPECT_EQ(amount_of(plan, sugar(), 12'500'000, gram, "more sugar"), "13 g more sugar (1 tbsp)");
}

TEST(Words, GramsAloneWhereNobodyKnowsWhatACupOfItWeighs) {
  auto one = sugar();
  one.kitchen.clear();
  one.cup_ug = 0;
  for (const char* units : {"kitchen", "grams"}) {
    const auto plan = plan_in(units);
    EXPECT_EQ(ingredient_line(plan, one, gram), "200 g sugar");
    EXPECT_EQ(amount_of(plan, one, 12'500'000, gram, "more sugar"), "13 g more sugar");
  }
}

// Rounded to the steps of a coarse scale, 4.5 g with a band of a tenth would be 5 g: over it.
TEST(Words, RoundNoAmountOutOfItsBand) {
  proto::PlannedIngredient cure;
  cure.name = "curing salt";
  cure.aim_ug = 4'500'000;
  cure.lower_ug = 4'050'000;
  cure.upper_ug = 4'950'000;
  EXPECT_EQ(ingredient_line(plan_in("grams"), cure, gram), "4.5 g curing salt");
  EXPECT_EQ(about_so_much(plan_in("grams"), cure, gram), "about 4.5 g");
  cure.upper_ug = 5'100'000;
  EXPECT_EQ(ingredient_line(plan_in("grams"), cure, gram), "5 g curing salt");
}

TEST(Words, ThePlanTellsEachAmountAsItsOwnScaleShowsIt) {
  Desk desk;
  desk.plan = plan_in("grams");
  const auto scale = [&](proto::Role role, std::int64_t interval_ug) {
    desk.scales.push_back({0, role, interval_ug, 1000 * interval_ug, false, false, 0,
                           weighing::Pan({interval_ug, 0}),
                           weighing::PressDetector(interval_ug, 0)});
  };
  scale(proto::Role::bench, gram);
  scale(proto::Role::fine, gram / 10);
  proto::PlannedIngredient cure;
  cure.name = "curing salt";
  cure.check = "weigh";
  cure.role = "fine";
  cure.aim_ug = 4'700'000;
  cure.lower_ug = 4'200'000;
  cure.upper_ug = 5'200'000;
  auto meat = sugar();
  meat.check = "weigh";
  meat.role = "bench";
  meat.upper_ug = meat.aim_ug;
  desk.plan.ingredients = {meat, cure};
  EXPECT_EQ(plan_line(desk), "sugar 200 g, curing salt 4.7 g");
}

std::string first_cue(const Evening& evening, const std::string& id, const std::string& about) {
  for (const auto& cue : evening.all<proto::Cue>()) {
    if (cue.id == id && cue.ingredient == about) return cue.text;
  }
  return "";
}

void weigh_short_of_vinegar(Evening& evening) {
  evening.begin();
  evening.put(400);
  evening.pour(320);
  evening.say("ok");
  evening.pour(evening.aim_g("sweet pepper"));
  evening.pour(evening.aim_g("cider vinegar") - 15);
}

TEST(Words, TheCookIsToldInCupsAndSpoonsUnlessTheSettingsSayGrams) {
  Evening evening;
  weigh_short_of_vinegar(evening);
  EXPECT_EQ(first_cue(evening, "weigh", "onion"),
            "All the onion, prepared, about 2 cups, chopped, 320 g.");
  EXPECT_EQ(first_cue(evening, "more", "cider vinegar"),
            "1 tbsp more cider vinegar, 15 g; 344 g is in.");
}

TEST(Words, GramsComeFirstWhereTheSettingsSaySo) {
  Evening evening;
  evening.start.settings.units = "grams";
  weigh_short_of_vinegar(evening);
  EXPECT_EQ(first_cue(evening, "weigh", "onion"),
            "All the onion, prepared, about 320 g (2 cups, chopped).");
  EXPECT_EQ(first_cue(evening, "more", "cider vinegar"),
            "15 g more cider vinegar (1 tbsp); 344 g is in.");
}

}  // namespace
}  // namespace maslin::batch
