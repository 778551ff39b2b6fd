// Whole loads of drying fruit and herbs over days: trays on the scale, nights with the daemon off,
// weigh-ins against the truth; and what goes wrong with them, one fault at a time.
#include <algorithm>
#include <cmath>
#include <cstdio>

#include "daemon/review/review.hpp"
#include "kitchens.hpp"

namespace maslin::scenario {
namespace {

constexpr double day_s = 86'400;

// Four trays of apple rings in a drier, begun at eight in the morning.
Setting apple_day(std::uint64_t seed = 51) {
  Setting setting;
  setting.kitchen = kitchen_of(file_text("plugins/kitchen/quayside-drying.toml"));
  setting.kitchen.seed = seed;
  setting.formula = file_text("daemon/formula/shipped/quayside-apple-rings.toml");
  setting.pan = false;
  setting.altitude_m.reset();
  setting.starts_h = 8;
  return setting;
}

// The same kitchen with chilies, of which 82 % are to go.
Setting chili_day() {
  auto setting = apple_day(52);
  setting.kitchen.trays->drier.trays = 2;
  setting.kitchen.trays->drier.water_share = 0.88;
  setting.kitchen.ingredients[0].name = "chili";
  setting.kitchen.ingredients[0].has_g = 620;
  setting.kitchen.answers[0].hears = "Stem and seed";
  setting.kitchen.answers[2].hears = "Into the freezer";
  setting.formula = file_text("daemon/formula/shipped/quayside-chili-strips.toml");
  return setting;
}

std::vector<proto::WeighIn> weigh_ins(const Stage& stage) { return stage.all<proto::WeighIn>(); }

// The conditions that speak of it.
std::vector<proto::Condition> seen(const Stage& stage, const std::string& words) {
  std::vector<proto::Condition> found;
  for (const auto& one : stage.all<proto::Condition>()) {
    if (one.what.find(words) != std::string::npos) found.push_back(one);
  }
  return found;
}

void expect_dried(const Stage& stage, double least_pct = 14, double most_pct = 20.6) {
  EXPECT_FALSE(stage.conditions("dry").empty()) << stage.diary();
  auto* drier = const_cast<Stage&>(stage).world().drier();
  EXPECT_GE(drier->water_pct(), least_pct) << stage.diary();
  EXPECT_LE(drier->water_pct(), most_pct) << stage.diary();
}

// No hold, and nothing was doubted that was right.
void expect_quiet(const Stage& stage) {
  EXPECT_TRUE(stage.all<proto::Held>().empty()) << stage.diary();
  for (const char* id : {"lighter", "heavier", "load_missing", "load_warm", "load_soon", "ask"}) {
    EXPECT_TRUE(stage.told(id).empty()) << id << stage.diary();
  }
  // Over a night it may dry further than asked.
  for (const auto& one : stage.all<proto::Deviation>()) {
    EXPECT_NE(one.what.find("drier than asked for"), std::string::npos) << stage.diary();
  }
}

void every_night(Stage& stage, int nights, double from_h, double for_h) {
  for (int i = 0; i < nights; ++i) {
    stage.at(i * day_s + from_h * 3600, [&stage, for_h] { stage.power_cut(for_h * 3600); });
  }
}

TEST(Drying, AppleRingsGoFromTheTraysToTheJar) {
  Stage stage(apple_day());
  stage.run(12 * day_s);
  expect_complete(stage);
  expect_quiet(stage);
  expect_dried(stage);
  EXPECT_GE(weigh_ins(stage).size(), 4U) << stage.diary();
  EXPECT_NEAR(stage.began_s("condition"), 1.5 * day_s, 0.7 * day_s);
}

TEST(Drying, ChiliStripsDryToALoss) {
  Stage stage(chili_day());
  stage.run(12 * day_s);
  expect_complete(stage);
  expect_quiet(stage);
  EXPECT_FALSE(stage.conditions("dry").empty()) << stage.diary();
  const auto last = weigh_ins(stage).back();
  EXPECT_LE(last.net_ug, last.target_ug);
  // Of chili and salt together, by what the trays truly hold.
  const double began_g = stage.truth_g("chili") + stage.truth_g("table salt");
  EXPECT_NEAR(stage.world().drier()->food_g() / began_g, 0.18, 0.02) << stage.diary();
}

// Meat is not left to itself: where nothing measures the drier, the cook is asked.
TEST(Drying, MeatInAHotDrierThatNobodyMeasuresIsAskedAbout) {
  auto setting = apple_day();
  setting.room = false;
  const auto put = [&](const std::string& what, const std::string& instead) {
    const auto at = setting.formula.find(what);
    ASSERT_NE(at, std::string::npos) << what;
    setting.formula.replace(at, what.size(), instead);
  };
  put("counts_as = \"other\"", "counts_as = \"meat\"");
  put("least = \"50 °C\"", "least = \"54 °C\"");
  put("outside = \"8 h\"", "outside = \"2 h\"");
  const auto condition = setting.formula.find("[[operation]]\nkind = \"condition\"");
  setting.formula.erase(condition,
                        setting.formula.find("[[operation]]\nkind = \"cool\"") - condition);
  Stage stage(setting);
  const std::function<void()> yes = [&] {
    stage.on_cue("room_asked", "54", 600, yes);
    (void)stage.say("ok");
  };
  stage.on_cue("room_asked", "54", 600, yes);
  bool gap = false;
  stage.on_cue("held", "Nobody knows how warm it was", 600, [&] {
    gap = true;
    EXPECT_TRUE(stage.conditions("dry").empty());
    EXPECT_EQ(stage.say("ok"), "");
  });
  stage.run(12 * day_s);
  expect_complete(stage);
  EXPECT_LT(stage.told_s("room_asked") - stage.began_s("dry"), 2 * 3600.0) << stage.diary();
  EXPECT_TRUE(gap) << stage.diary();
  ASSERT_FALSE(stage.all<proto::Stood>().empty());
  EXPECT_EQ(stage.all<proto::Stood>().back().evidence, "seen by the cook");
}

// ---- the forecast over a run -----------------------------------------------------------------

TEST(Drying, TwoDaysWithTheDaemonOffAtNightAndTheForecastAgainstTheTruth) {
  auto setting = apple_day(53);
  setting.kitchen.trays->drier.rate_h = 0.15;
  Stage stage(setting);
  every_night(stage, 9, 15, 8);  // from 23:00 to 7:00
  std::optional<double> dry_s;
  stage.run(12 * day_s, [&] {
    const auto* drier = stage.world().drier();
    const auto all = weigh_ins(stage);
    if (!dry_s && !all.empty() &&
        drier->food_g() <= static_cast<double>(all.back().target_ug) / 1e6) {
      dry_s = stage.now_s();
    }
    return false;
  });
  expect_complete(stage);
  expect_quiet(stage);
  expect_dried(stage);
  ASSERT_TRUE(dry_s) << stage.diary();
  EXPECT_GT(*dry_s, day_s);
  std::printf("  hour  left of it  foretold in (90 %%)      truly in\n");
  int told = 0;
  int held = 0;
  for (const auto& one : stage.said()) {
    const auto* in = std::get_if<proto::WeighIn>(&one.outcome);
    if (in == nullptr) continue;
    const double at_s = static_cast<double>(one.at_ms) / 1000;
    const auto hours = [](std::int64_t ms) { return static_cast<double>(ms) / 3.6e6; };
    const double truth_h = (*dry_s - at_s) / 3600;
    if (in->left_ms > 0 && truth_h > 0) {
      ++told;
      held += truth_h >= hours(in->left_from_ms) && truth_h <= hours(in->left_to_ms) ? 1 : 0;
    }
    std::printf("  %5.1f  %4.0f g of %4.0f g  %5.1f h (%.1f-%.1f)  %5.1f h\n", at_s / 3600,
                static_cast<double>(in->net_ug) / 1e6, static_cast<double>(in->begin_ug) / 1e6,
                hours(in->left_ms), hours(in->left_from_ms), hours(in->left_to_ms), truth_h);
  }
  EXPECT_GE(told, 3);
  EXPECT_GE(held, told - 1);
  // Few words: a restart says how it stands and nothing else.
  EXPECT_LE(stage.told("").size() - stage.told("load_taken").size(), 75U) << stage.diary();
}

// ---- harmless --------------------------------------------------------------------------------

TEST(Drying, ManyHonestLoadsAreLeftInPeace) {
  for (std::uint64_t seed = 1; seed <= 24; ++seed) {
    SCOPED_TRACE(seed);
    auto setting = apple_day(seed * 1'000'003);
    auto& trays = *setting.kitchen.trays;
    trays.shuffled = seed % 2 == 0;
    trays.drier.trays = 1 + static_cast<int>(seed % 6);
    trays.drier.uneven = 0.05 * static_cast<double>(seed % 4);
    trays.drier.rate_h = 0.15 + 0.03 * static_cast<double>(seed % 5);
    setting.kitchen.scale.interval_g = seed % 3 == 0 ? 0.5 : 1;
    setting.kitchen.scale.noise_g =
        0.05 * static_cast<double>(seed % 4) * setting.kitchen.scale.interval_g;
    Stage stage(setting);
    if (seed % 3 == 1) every_night(stage, 9, 14.5, 9);
    if (seed % 5 == 0) stage.at(30 * 3600, [&] { stage.sleep(3600); });
    stage.run(14 * day_s);
    expect_complete(stage);
    expect_quiet(stage);
    expect_dried(stage, 10, 20.8);
  }
}

// Somebody is away for three days, the drier off.
TEST(Drying, DaysOfPauseAreNoFault) {
  auto setting = apple_day(54);
  setting.kitchen.trays->drier.rate_h = 0.12;
  setting.kitchen.trays->away_from_h = 14;
  setting.kitchen.trays->away_for_h = 48;
  Stage stage(setting);
  stage.run(14 * day_s);
  expect_complete(stage);
  EXPECT_TRUE(stage.told("lighter").empty()) << stage.diary();
  EXPECT_TRUE(stage.told("heavier").empty()) << stage.diary();
  // Called once a day, and said again twice each time.
  EXPECT_LE(stage.told("weigh_in").size(), 24U) << stage.diary();
}

// In two days a scale is used for other things.
TEST(Drying, WhatElseIsWeighedMeanwhileIsNoTray) {
  Stage stage(apple_day(55));
  stage.at(9 * 3600, [&] { stage.world().put_aside(180, 40); });
  stage.at(10 * 3600, [&] { stage.world().put_aside(90, 8); });
  stage.run(12 * day_s);
  expect_complete(stage);
  expect_quiet(stage);
  expect_dried(stage);
}

// A scale that never sleeps sends ten readings a second for days; what tells nothing has no place
// in the record, and the weigh-ins are the same.
TEST(Drying, AnIdleScaleFillsNoRecord) {
  auto setting = apple_day(73);
  setting.kitchen.scale.sleep_s = 0;
  Stage stage(setting);
  stage.run(4 * day_s);
  EXPECT_FALSE(stage.conditions("dry").empty()) << stage.diary();
  EXPECT_LT(stage.readings(), 60'000U);
  EXPECT_GE(weigh_ins(stage).size(), 4U) << stage.diary();
  EXPECT_EQ(stage.folds_differently(), "");
}

// A drier with a thermometer: measured against its bounds. Without one nothing is asked.
TEST(Drying, TheDrierIsMeasuredWhereAThermometerStandsInIt) {
  auto setting = apple_day(74);
  kitchen::RoomModel drier;
  drier.mean_c = 57;
  setting.kitchen.room = drier;
  setting.kitchen.room_probe.period_s = 300;
  Stage stage(setting);
  stage.run(12 * day_s);
  expect_complete(stage);
  expect_quiet(stage);
  const auto all = stage.all<proto::Stood>();
  ASSERT_FALSE(all.empty()) << stage.diary();
  EXPECT_EQ(all.back().evidence, "measured");
  EXPECT_GT(all.back().inside_ms, 12 * 3'600'000);
}

TEST(Drying, WithoutAThermometerTheDrierIsNotMeasuredAndNobodyIsAsked) {
  Stage stage(apple_day(75));
  stage.run(12 * day_s);
  expect_complete(stage);
  EXPECT_TRUE(stage.told("room_asked").empty());
  const auto all = stage.all<proto::Stood>();
  ASSERT_FALSE(all.empty()) << stage.diary();
  EXPECT_EQ(all.back().evidence, "not measured");
  // Counted as one container, which went into the refrigerator.
  EXPECT_EQ(stage.all<proto::Filled>().back().unit, "container");
  EXPECT_EQ(stage.all<proto::JarsAre>().back().where, "refrigerator");
}

// It was too cool in the drier for most of a day: told while it can be put right, then asked.
TEST(Drying, ADrierThatIsTooCoolForTooLongIsNoticed) {
  auto setting = apple_day(76);
  kitchen::RoomModel drier;
  drier.mean_c = 57;
  drier.warm.push_back({10, 12, -25});
  setting.kitchen.room = drier;
  setting.kitchen.room_probe.period_s = 300;
  Stage stage(setting);
  stage.on_cue("held", "too warm or too cold for too long", 60,
               [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(12 * day_s);
  expect_complete(stage);
  EXPECT_FALSE(stage.told("room_warm").empty()) << stage.diary();
  EXPECT_TRUE(stage.deviation("temperature while it dries", "outside")) << stage.diary();
  // It is kept cold, and the list says that it is outside its formula.
  EXPECT_TRUE(stage.all<proto::JarsAre>().back().lasting) << stage.diary();
}

// ---- faults ----------------------------------------------------------------------------------

TEST(Drying, AMissingTrayIsNoticedAndWaitedFor) {
  Stage stage(apple_day(56));
  stage.on_cue("weighed_in", "Into the drier", 60, [&] { stage.world().forget_tray(2); });
  stage.run(12 * day_s);
  expect_complete(stage);
  EXPECT_EQ(stage.told("load_missing", "3 of 4 trays").size(), 1U) << stage.diary();
  EXPECT_TRUE(stage.told("lighter").empty()) << stage.diary();
  expect_dried(stage);
}

TEST(Drying, ATrayThatIsTakenOutForGoodTakesItsShareOfTheTargetAlong) {
  auto setting = apple_day(57);
  setting.kitchen.trays->drier.tray_spread_g = 4;
  Stage stage(setting);
  stage.on_cue("weighed_in", "Dry at", 60, [&] { stage.world().forget_tray(1); });
  stage.on_cue("load_missing", "3 of 4", 5, [&] {
    stage.world().drop_tray(1);
    EXPECT_EQ(stage.say("ok"), "");
  });
  stage.run(12 * day_s);
  expect_complete(stage);
  EXPECT_FALSE(seen(stage, "1 tray taken out for good").empty()) << stage.diary();
  EXPECT_TRUE(stage.all<proto::Held>().empty());
  expect_dried(stage, 12, 22);
}

// Straight from the drier: the air over the trays lifts them, and they look dry too soon.
TEST(Drying, WarmTraysAreFoundByTheSecondWeighing) {
  auto setting = apple_day(58);
  setting.kitchen.trays->cools_s = 20;
  setting.kitchen.trays->drier.warm_g = 7;
  setting.kitchen.trays->drier.warm_s = 600;
  Stage stage(setting);
  // Lighter than dry matter can be: he remembers, and lets them cool.
  stage.on_cue("lighter", "a warm one", 20, [&] {
    stage.world().trays().cools_s = 3600;
    EXPECT_EQ(stage.say("no"), "");
  });
  stage.run(12 * day_s);
  expect_complete(stage);
  EXPECT_FALSE(seen(stage, "the weigh-in before was too light").empty() &&
               stage.told("load_warm").empty() && stage.told("lighter").empty())
      << stage.diary();
  expect_dried(stage);
}

TEST(Drying, WhatIsEatenAndToldIsFoodAndNoWater) {
  Stage stage(apple_day(59));
  EXPECT_NE(stage.say("eaten", "30 g"), "");  // nothing dries yet
  stage.at(20 * 3600, [&] {
    stage.world().drier()->take_away(0, 60);
    EXPECT_NE(stage.say("eaten", "a handful"), "");
    EXPECT_NE(stage.say("eaten", "3 kg"), "");
    EXPECT_EQ(stage.say("eaten", "60 g"), "");
  });
  stage.run(12 * day_s);
  expect_complete(stage);
  expect_quiet(stage);
  expect_dried(stage);
  const auto all = weigh_ins(stage);
  EXPECT_LT(all.back().target_ug, all.front().target_ug * 96 / 100);
}

TEST(Drying, WhatIsEatenFromATrayOnTheScaleIsSeen) {
  Stage stage(apple_day(60));
  // Off the tray that was just taken, while it is still there.
  stage.on_cue("weigh_in", "Time for a weigh-in", 0, [&] {
    stage.world().trays().lifts_after_s = 20;
    stage.on_cue("load_taken", "Tray 2", 5, [&] { stage.world().drier()->take_away(1, 25); });
  });
  stage.run(12 * day_s);
  expect_complete(stage);
  const auto eaten = seen(stage, "taken out as food");
  ASSERT_EQ(eaten.size(), 1U) << stage.diary();
  EXPECT_EQ(eaten[0].evidence, "measured");
  expect_dried(stage);
}

TEST(Drying, ATrayThatLostFarMoreThanTheOthersIsAskedAbout) {
  Stage stage(apple_day(61));
  stage.at(28 * 3600, [&] { stage.world().drier()->take_away(2, 35); });
  stage.on_cue("lighter", "eaten", 10, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(12 * day_s);
  expect_complete(stage);
  EXPECT_EQ(stage.told("lighter").size(), 1U) << stage.diary();
  EXPECT_EQ(seen(stage, "taken out as food").size(), 1U) << stage.diary();
  expect_dried(stage, 8);
}

TEST(Drying, AHeavierTrayThatWasSwappedInIsNoticed) {
  Stage stage(apple_day(62));
  stage.at(26 * 3600, [&] { stage.world().drier()->trays()[0].empty_g += 90; });
  stage.on_cue("heavier", "another tray", 10, [&] {
    stage.world().drier()->trays()[0].empty_g -= 90;
    EXPECT_EQ(stage.say("no"), "");
  });
  stage.run(12 * day_s);
  expect_complete(stage);
  EXPECT_EQ(stage.told("heavier").size(), 1U) << stage.diary();
  expect_dried(stage);
}

TEST(Drying, ALighterTrayThatWasSwappedInNeverMakesItLookDry) {
  Stage stage(apple_day(63));
  stage.at(26 * 3600, [&] { stage.world().drier()->trays()[1].empty_g -= 40; });
  stage.on_cue("lighter", "another tray", 10, [&] {
    stage.world().drier()->trays()[1].empty_g += 40;
    EXPECT_EQ(stage.say("no"), "");
  });
  stage.run(12 * day_s);
  expect_complete(stage);
  EXPECT_EQ(stage.told("lighter").size(), 1U) << stage.diary();
  expect_dried(stage, 8);
}

TEST(Drying, AScaleThatIsGoneBetweenTwoTraysCostsOneMoreWeighing) {
  Stage stage(apple_day(64));
  stage.at(15 * 3600, [&] {
    stage.on_cue("load_taken", "Tray 2", 3, [&] { stage.drop(proto::Role::bench, 90); });
  });
  stage.run(12 * day_s);
  expect_complete(stage);
  EXPECT_TRUE(stage.all<proto::Held>().empty()) << stage.diary();
  expect_dried(stage, 8);
}

TEST(Drying, DriedTooFarIsSaidAndKept) {
  auto setting = apple_day(65);
  setting.kitchen.trays->drier.rate_h = 0.5;
  setting.kitchen.trays->drier.stays = 0.03;
  setting.kitchen.trays->away_from_h = 6;
  setting.kitchen.trays->away_for_h = 40;
  Stage stage(setting);
  stage.run(14 * day_s);
  expect_complete(stage);
  EXPECT_TRUE(stage.deviation("drying", "drier than asked for")) << stage.diary();
  EXPECT_TRUE(stage.all<proto::Held>().empty()) << stage.diary();
}

TEST(Drying, NotDryInItsTimeIsHeldAndGoesIntoTheFreezer) {
  auto setting = apple_day(66);
  setting.kitchen.trays->drier.rate_h = 0.05;
  Stage stage(setting);
  stage.on_cue("held", "Not dry after", 60, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(12 * day_s);
  EXPECT_EQ(stage.status().state, "stopped") << stage.diary();
  EXPECT_TRUE(stage.deviation("drying time", "not dry after")) << stage.diary();
  EXPECT_LT(stage.began_s("condition"), 0);
  // It was foretold.
  EXPECT_FALSE(stage.told("weighed_in", "after its longest time").empty()) << stage.diary();
}

TEST(Drying, NotDryInItsTimeAndDriedOnWithAReasonStandsInTheRecord) {
  auto setting = apple_day(67);
  setting.kitchen.trays->drier.rate_h = 0.09;
  Stage stage(setting);
  stage.on_cue("held", "Not dry after", 60,
               [&] { EXPECT_EQ(stage.say("accept", "thick rings, warm drier"), ""); });
  stage.run(16 * day_s);
  expect_complete(stage);
  expect_dried(stage);
  EXPECT_TRUE(stage.deviation("drying time", "dried on")) << stage.diary();
  EXPECT_FALSE(stage.told("complete", "outside its formula: drying time").empty());
}

TEST(Drying, DropsInTheJarSendItBackToTheDrier) {
  auto setting = apple_day(68);
  setting.kitchen.trays->drier.rate_h = 0.35;
  std::erase_if(setting.kitchen.answers, [](const auto& one) { return one.cue == "drops_asked"; });
  Stage stage(setting);
  int day = 0;
  std::function<void()> look = [&] {
    EXPECT_EQ(stage.say(++day == 2 ? "no" : "ok"), "");
    stage.on_cue("drops_asked", "", 60, look);
  };
  stage.on_cue("drops_asked", "", 60, look);
  stage.run(20 * day_s);
  expect_complete(stage);
  EXPECT_TRUE(stage.deviation("conditioning", "drops")) << stage.diary();
  EXPECT_EQ(stage.conditions("dry").size(), 2U) << stage.diary();
  EXPECT_EQ(seen(stage, "no drops in the jar").size(), 8U) << stage.diary();
  const auto all = weigh_ins(stage);
  EXPECT_LT(all.back().target_ug, all.front().target_ug);
}

TEST(Drying, WhenAllOfItWasTakenOutTheEndIsOffered) {
  Stage stage(apple_day(70));
  stage.at(20 * 3600, [&] {
    for (std::size_t tray = 0; tray < 4; ++tray) stage.world().drier()->take_away(tray, 5000);
  });
  stage.on_cue("weigh_in", "The trays are empty", 30, [&] {
    EXPECT_TRUE(std::isfinite(stage.status().to_weight->lost_pct));
    EXPECT_EQ(stage.say("ok"), "");
  });
  stage.run(4 * day_s);
  EXPECT_EQ(stage.told("weigh_in", "The trays are empty").size(), 1U) << stage.diary();
  EXPECT_EQ(stage.status().state, "stopped") << stage.diary();
  for (const auto& one : weigh_ins(stage)) EXPECT_GT(one.net_ug, 0);
}

// A scale is there, and no tray goes on it: two words, and it goes on by the eye in its time.
TEST(Drying, WithAScaleItCanBeDriedByTheEyeToo) {
  Stage stage(apple_day(71));
  // The cook has none to put there, and says ok.
  stage.at(60, [&] {
    for (auto& tray : stage.world().drier()->trays()) tray.empty_g = 0;
  });
  stage.on_cue("ask", "dry by the eye instead", 20, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.on_cue("step", "Say ok when it is dry", 40 * 3600, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(14 * day_s);
  EXPECT_TRUE(stage.deviation("drying", "not weighed")) << stage.diary();
  ASSERT_FALSE(stage.conditions("dry").empty()) << stage.diary();
  EXPECT_EQ(stage.conditions("dry").back().evidence, "seen by the cook");
  EXPECT_TRUE(weigh_ins(stage).empty());
}

// With nothing but a clock: by the eye.
TEST(Drying, WithoutAScaleItDriesByTheEye) {
  auto setting = with_nothing_but_a_clock(apple_day(69));
  kitchen::AnswerModel dry;
  dry.hears = "Say ok when it is dry";
  dry.does = kitchen::Does::press;
  dry.after_s = 30 * 3600;
  setting.kitchen.answers.push_back(dry);
  Stage stage(setting);
  stage.run(12 * day_s);
  expect_complete(stage);
  EXPECT_EQ(stage.conditions("dry").back().evidence, "seen by the cook");
}

// Days later the pan is still listened to where something is asked.
TEST(Drying, APressOfTheScaleAnswersWhileItIsConditioned) {
  auto setting = apple_day();
  setting.kitchen.cook.presses = "scale";
  setting.kitchen.scale.sleep_s = 0;  // a press of one that sleeps only wakes it
  setting.pedal = false;
  Stage stage(setting);
  stage.run_to("condition", 26 * 3600);
  const double conditioned_s = stage.began_s("condition");
  ASSERT_GT(conditioned_s, 0);
  int pressed = 0;
  for (const auto& one : stage.said()) {
    const auto* condition = std::get_if<proto::Condition>(&one.outcome);
    pressed += condition != nullptr && condition->evidence == "by a press of the scale" &&
               static_cast<double>(one.at_ms) / 1000 > conditioned_s + 3600;
  }
  EXPECT_GT(pressed, 0) << stage.diary();
}

}  // namespace
}  // namespace maslin::scenario
