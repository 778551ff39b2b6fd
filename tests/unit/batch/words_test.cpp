// Amounts as the cook thinks of them, and what the scale shows beside them.
#include "daemon/batch/words.hpp"

#include <gtest/gtest.h>

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
