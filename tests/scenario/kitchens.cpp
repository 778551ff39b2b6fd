// See the header. What the cooks answer is a scenario file where it is shared with the
// demonstration, else here.
#include "kitchens.hpp"

#include <algorithm>

namespace maslin::scenario {
namespace {

// Both refrigerator recipes are cooked with it.
constexpr const char* pan_only = R"(
seed = 41
[scale]
sleep_s = 180
[pot]
power_w = 1800
boils_at_c = 100.2
[[ingredient]]
name = "onion"
style = "scoop"
scoop_g = 70
has_g = 344
[[ingredient]]
name = "sweet pepper"
style = "scoop"
scoop_g = 30
[[ingredient]]
name = "jalapeno"
style = "scoop"
scoop_g = 15
[[answer]]
hears = "chop both fine"
does = "vessel"
after_s = 90
[[answer]]
hears = "chop them fine"
does = "vessel"
after_s = 90
[[answer]]
hears = "Everything into the pan"
does = "heat"
after_s = 12
[[answer]]
hears = "pectin into the pan"
does = "heat"
of = ["sweet pepper", "jalapeno", "cider vinegar", "powdered pectin"]
after_s = 12
[[answer]]
hears = "Sugar in all at once"
does = "heat"
after_s = 6
[[answer]]
hears = "Say ok when it is there"
does = "look"
after_s = 60
[[answer]]
cue = "off_boil"
hears = "ay ok when it boils."
does = "look"
after_s = 5
[[answer]]
cue = "pan_asked"
does = "look"
after_s = 5
[[answer]]
cue = "dwell_done"
does = "off"
after_s = 2
[[answer]]
hears = "adle"
does = "press"
after_s = 150
[[answer]]
hears = "cool"
does = "press"
after_s = 60
)";

}  // namespace

Setting shelf_evening() {
  Setting setting;
  setting.kitchen = kitchen_of(file_text("plugins/kitchen/quayside-evening.toml"));
  setting.formula = file_text("plugins/kitchen/quayside-shelf-relish.toml");
  setting.kitchen.slips.clear();
  setting.kitchen.faults.clear();
  setting.kitchen.troubles.clear();
  setting.kitchen.unsealed.clear();
  setting.facts.vinegar_pct = 5;
  setting.facts.jar_ml = 250;
  setting.facts.jars = 6;
  setting.facts.lids = 6;
  return setting;
}

Setting refrigerator_evening() {
  Setting setting;
  setting.kitchen = kitchen_of(pan_only);
  setting.formula = file_text("daemon/formula/shipped/quayside-onion-relish.toml");
  return setting;
}

Setting jelly_evening() {
  Setting setting;
  setting.kitchen = kitchen_of(pan_only);
  setting.formula = file_text("daemon/formula/shipped/quayside-pepper-jelly.toml");
  for (auto& one : setting.kitchen.ingredients) {
    if (one.name == "sweet pepper") one.has_g = 149;  // the lead
  }
  return setting;
}

Setting with_a_scale_only(Setting setting) {
  setting.pan = false;
  setting.canner = false;
  return setting;
}

Setting with_nothing_but_a_clock(Setting setting) {
  setting = with_a_scale_only(std::move(setting));
  setting.scale = false;
  setting.pedal = false;
  for (auto& answer : setting.kitchen.answers) {
    if (answer.does == kitchen::Does::vessel) answer.does = kitchen::Does::press;
  }
  return setting;
}

kitchen::TroubleModel trouble(kitchen::TroubleModel::What what, kitchen::PotName pot,
                              double after_s, double for_s) {
  kitchen::TroubleModel one;
  one.what = what;
  one.pot = pot;
  if (pot == kitchen::PotName::pan) one.hears = "It boils";
  one.after_s = after_s;
  one.for_s = for_s;
  return one;
}

void expect_nothing_lost(const Stage& stage) {
  EXPECT_TRUE(stage.all<proto::Held>().empty()) << stage.diary();
  for (const char* what : {"boil lost", "water bath not watched", "boil left"}) {
    EXPECT_TRUE(stage.conditions(what).empty()) << what << stage.diary();
  }
  for (const char* id : {"ask", "too_long", "advice"}) {
    EXPECT_TRUE(stage.told(id).empty()) << id << stage.diary();
  }
  EXPECT_LE(stage.conditions("water bath began").size(), 1u);
}

void expect_undisturbed(const Stage& stage) {
  expect_nothing_lost(stage);
  EXPECT_TRUE(stage.told("off_boil").empty()) << stage.diary();
  EXPECT_TRUE(stage.conditions("dwell paused").empty());
  EXPECT_LE(stage.conditions("dwell began").size(), 1u);
}

void expect_complete(const Stage& stage) {
  EXPECT_EQ(stage.status().state, "complete") << stage.diary();
  EXPECT_EQ(stage.folds_differently(), "");
}

void expect_full_bath(const Stage& stage, double minutes) {
  const auto bath = stage.true_bath();
  EXPECT_GE(bath.credited_s, minutes * 60 - 0.5) << stage.diary();
  // The thermometer lags: the first seconds of a fall are not seen at once.
  EXPECT_GE(bath.boiled_s, bath.credited_s - 2) << stage.diary();
}

}  // namespace maslin::scenario
