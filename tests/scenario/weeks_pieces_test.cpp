// What has no jar: a cured loin, a hung one, dried rings. Each is counted, has its date where a
// source or the formula gives one, and says in the list and in the record what became of it.
#include <gmock/gmock.h>

#include <cstdio>

#include "weeks.hpp"

namespace maslin::scenario {
namespace {

using testing::HasSubstr;

constexpr double run_s = 60 * day_s;

std::string replaced(std::string text, const std::string& what, const std::string& instead) {
  const auto at = text.find(what);
  EXPECT_NE(at, std::string::npos) << what;
  return text.replace(at, what.size(), instead);
}

// Two pieces of one loin, cured for ten days, then hung in the same refrigerator.
Setting hung_loin() {
  auto setting = cure_weeks();
  setting.formula = file_text("daemon/formula/shipped/quayside-hung-loin.toml");
  kitchen::TraysModel trays;
  trays.drier.trays = 2;
  trays.drier.tray_g = 50;
  trays.drier.tray_spread_g = 0;
  trays.drier.water_share = 0.72;
  trays.drier.rate_h = 0.003;
  trays.drier.from_core = 0.7;
  trays.drier.warm_g = 0;
  trays.starts_h = 19;
  setting.kitchen.trays = trays;
  kitchen::AnswerModel wrap;
  wrap.hears = "Wrap it";
  wrap.does = kitchen::Does::press;
  wrap.after_s = 600;
  setting.kitchen.answers.push_back(wrap);
  return setting;
}

// A string is all that hangs with a piece.
void on_strings(Stage& stage) {
  for (auto& one : stage.world().drier()->trays()) one.empty_g = 3;
}

std::string where(const Stage& stage) {
  const auto all = stage.all<proto::JarsAre>();
  return all.empty() ? "" : all.back().where;
}

TEST(CurePieces, ACureIsOnePieceThatGoesIntoTheRefrigerator) {
  Stage stage(cure_weeks());
  stage.run(run_s);
  expect_complete(stage);
  const auto filled = stage.all<proto::Filled>();
  ASSERT_EQ(filled.size(), 1U) << stage.diary();
  EXPECT_EQ(filled[0].unit, "piece");
  EXPECT_EQ(filled[0].jars, 1);
  EXPECT_EQ(where(stage), "refrigerator") << stage.diary();
  proto::JarWord word;
  word.what = "now";
  word.jars = {2};
  word.where = "opened";
  EXPECT_TRUE(stage.engine().refuses(word));
  word.jars = {1};
  stage.give(word);
  EXPECT_EQ(where(stage), "opened");
}

TEST(CurePieces, ABrokenColdChainIsDiscardedInTheListToo) {
  auto setting = cure_weeks();
  setting.kitchen.room->warm.push_back({100, 12, 9});
  Stage stage(setting);
  for (const double after_s : {60.0, 90.0}) {
    stage.on_cue("held", "The cold chain is broken", after_s, [&] { (void)stage.say("ok"); });
  }
  stage.run(run_s);
  EXPECT_EQ(stage.status().state, "stopped") << stage.diary();
  EXPECT_EQ(where(stage), "discarded") << stage.diary();
}

TEST(CurePieces, AColdChainThatWasAcceptedIsStillNothingToEat) {
  auto setting = cure_weeks();
  setting.kitchen.room->warm.push_back({100, 6, 9});
  Stage stage(setting);
  stage.on_cue("held", "The cold chain is broken", 60,
               [&] { EXPECT_EQ(stage.say("accept", "it was only the display"), ""); });
  stage.run(run_s);
  expect_complete(stage);
  const auto all = stage.all<proto::JarsAre>();
  ASSERT_FALSE(all.empty());
  EXPECT_TRUE(all.back().lasting);
  EXPECT_THAT(all.back().todo, HasSubstr("Do not eat it")) << stage.diary();
}

TEST(CurePieces, NoPhAndNoSolidsAreTakenOfMeat) {
  Stage stage(cure_weeks());
  stage.run_to("stand", day_s);
  proto::Measured ph;
  ph.what = "ph";
  ph.with = "paper";
  ph.value = 5.6;
  const auto no = stage.engine().refuses(ph, static_cast<std::int64_t>(stage.now_s() * 1000));
  ASSERT_TRUE(no);
  EXPECT_THAT(no->what, HasSubstr("no acid keeps this food"));
  proto::Measured solids;
  solids.what = "solids";
  solids.with = "refractometer";
  solids.value = 20;
  EXPECT_TRUE(stage.engine().refuses(solids, static_cast<std::int64_t>(stage.now_s() * 1000)));
}

// Weeks in the cold with a restart every night: weighed in piece by piece until a quarter is gone,
// the day foretold against the truth.
TEST(CurePieces, AHungLoinEndsByItsLossAndTheDayIsForetold) {
  Stage stage(hung_loin());
  on_strings(stage);
  restart_every_night(stage, 50);
  std::optional<double> dry_s;
  stage.run(run_s, [&] {
    const auto all = stage.all<proto::WeighIn>();
    if (!dry_s && !all.empty() &&
        stage.world().drier()->food_g() <= static_cast<double>(all.back().target_ug) / 1e6) {
      dry_s = stage.now_s();
    }
    return false;
  });
  expect_complete(stage);
  EXPECT_TRUE(stage.all<proto::Held>().empty()) << stage.diary();
  for (const char* id : {"lighter", "heavier", "load_missing"}) {
    EXPECT_TRUE(stage.told(id).empty()) << id << stage.diary();
  }
  const auto all = stage.all<proto::WeighIn>();
  ASSERT_GE(all.size(), 3U) << stage.diary();
  EXPECT_LE(all.back().net_ug, all.back().target_ug);
  EXPECT_EQ(all.back().loads, 2);
  ASSERT_TRUE(dry_s) << stage.diary();
  std::printf("  day  left of it  foretold in days (90 %%)  truly in\n");
  int told = 0;
  int held = 0;
  for (const auto& one : stage.said()) {
    const auto* in = std::get_if<proto::WeighIn>(&one.outcome);
    if (in == nullptr || in->left_ms == 0) continue;
    const auto days = [](double ms) { return ms / 86.4e6; };
    const double truth = *dry_s / day_s - days(static_cast<double>(one.at_ms));
    if (truth <= 0) continue;
    ++told;
    const double from = days(static_cast<double>(in->left_from_ms));
    const double to = days(static_cast<double>(in->left_to_ms));
    held += truth >= from && truth <= to ? 1 : 0;
    std::printf("  %4.1f  %4.0f g of %4.0f g  %4.1f (%.1f-%.1f)  %4.1f\n",
                days(static_cast<double>(one.at_ms)), static_cast<double>(in->net_ug) / 1e6,
                static_cast<double>(in->begin_ug) / 1e6, days(static_cast<double>(in->left_ms)),
                from, to, truth);
  }
  EXPECT_GE(told, 1);
  EXPECT_GE(held, told - 1);
  // The scale has counted the pieces, and both went into the cold.
  EXPECT_EQ(stage.all<proto::Filled>().back().jars, 2) << stage.diary();
  EXPECT_EQ(stage.all<proto::JarsAre>().back().jars.size(), 2U);
  // Its place was watched as long as it hung.
  const auto hung = stood(stage);
  EXPECT_TRUE(hung.done);
  EXPECT_EQ(hung.evidence, "measured");
  EXPECT_EQ(hung.outside_ms, 0);
}

TEST(CurePieces, AHungLoinThatWasWarmForTooLongIsDiscarded) {
  auto setting = hung_loin();
  setting.kitchen.room->warm.push_back({24 * 12.0, 9, 9});
  Stage stage(setting);
  on_strings(stage);
  for (const double after_s : {60.0, 90.0}) {
    stage.on_cue("held", "The cold chain is broken", after_s, [&] { (void)stage.say("ok"); });
  }
  stage.run(run_s);
  EXPECT_EQ(stage.status().state, "stopped") << stage.diary();
  EXPECT_TRUE(stage.deviation("cold chain", "outside")) << stage.diary();
  EXPECT_EQ(where(stage), "discarded") << stage.diary();
}

// Silent from some hours before the last weigh-in on: nobody knows how it was since, and the cook,
// who is there, is asked before it ends.
TEST(CurePieces, ALoinIsNotDryBeforeSomebodySaysHowItWasSinceTheLastReading) {
  double dry_s = 0;
  {
    Stage stage(hung_loin());
    on_strings(stage);
    stage.run(run_s);
    dry_s = stage.condition_s("dry");
    ASSERT_GT(dry_s, 0) << stage.diary();
  }
  for (const bool cold : {true, false}) {
    Stage stage(hung_loin());
    on_strings(stage);
    stage.at(dry_s - 4 * hour_s, [&] { stage.drop(proto::Role::room, 100 * day_s); });
    stage.at(dry_s + 600, [&] {
      EXPECT_LT(stage.condition_s("dry"), 0) << stage.diary();
      EXPECT_EQ(stage.told("room_lost", "where it dries").size(), 1U) << stage.diary();
      EXPECT_EQ(stage.say(cold ? "ok" : "no"), "");
    });
    stage.run(dry_s + day_s);
    EXPECT_EQ(stage.condition_s("dry") > 0, cold) << stage.diary();
    EXPECT_EQ(stage.deviation("cold chain", "outside"), !cold) << stage.diary();
  }
}

// ---- a ferment that ends by its pH ------------------------------------------------------------

Setting sour_carrots() {
  auto setting = brine_weeks();
  setting.formula =
      replaced(setting.formula, "time = \"10 days\"", "time = \"10 days\"\nend_ph = 4.2");
  return setting;
}

proto::Measured by_meter(double ph) {
  proto::Measured found;
  found.what = "ph";
  found.with = "meter";
  found.value = ph;
  found.interval = 0.01;
  found.temperature_c = 22;
  found.low_buffer = 4.01;
  found.low_shown = 4.02;
  found.high_buffer = 7.0;
  found.high_shown = 7.01;
  return found;
}

TEST(FermentPh, WithoutAMeterItGoesIntoTheRefrigeratorUnconfirmed) {
  Stage stage(sour_carrots());
  stage.on_cue("ph_asked", "at most 4.2", 600, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(run_s);
  expect_complete(stage);
  EXPECT_TRUE(stage.deviation("pH at the end of the ferment", "not found")) << stage.diary();
  const auto all = stage.all<proto::JarsAre>();
  ASSERT_FALSE(all.empty());
  EXPECT_EQ(all.back().where, "refrigerator");
  EXPECT_TRUE(all.back().lasting);
  EXPECT_THAT(stage.status().may_be_called, HasSubstr("Outside its formula: pH at the end"));
  // A meter a day later settles it.
  stage.give(by_meter(3.8));
  EXPECT_EQ(stage.status().may_be_called.find("Outside"), std::string::npos);
  EXPECT_EQ(stage.all<proto::JarsAre>().back().todo, "");
}

TEST(FermentPh, WhatIsNotSourEnoughStandsOnAndEndsByItself) {
  Stage stage(sour_carrots());
  stage.on_cue("ph_asked", "at most 4.2", 600, [&] {
    stage.give(by_meter(4.7));
    EXPECT_LT(stage.condition_s("stand done"), 0);
  });
  stage.at(12.8 * day_s, [&] { stage.give(by_meter(3.9)); });
  stage.run(run_s);
  expect_complete(stage);
  EXPECT_GE(stage.condition_s("stand done"), 12.5 * day_s) << stage.diary();
  EXPECT_TRUE(stage.all<proto::Deviation>().empty()) << stage.diary();
}

TEST(FermentPh, WhatWasFoundNotSourIsDiscardedByAnOkAndNotEaten) {
  Stage stage(sour_carrots());
  stage.on_cue("ph_asked", "at most 4.2", 600, [&] {
    stage.give(by_meter(5.4));
    EXPECT_THAT(stage.told("ph_asked").back().text, HasSubstr("discard it: say ok"));
  });
  for (const double after_s : {1200.0, 1230.0}) {
    stage.on_cue("ph_asked", "at most 4.2", after_s, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  }
  stage.run(run_s);
  EXPECT_EQ(stage.status().state, "stopped") << stage.diary();
  EXPECT_EQ(where(stage), "discarded") << stage.diary();
  EXPECT_THAT(stage.all<proto::JarsAre>().back().why, HasSubstr("its pH was 5.39"));
  EXPECT_TRUE(stage.deviation("pH at the end of the ferment", "not sour"));
  EXPECT_EQ(stage.folds_differently(), "");
}

// Acid, and not as acid as its formula asks for.
TEST(FermentPh, WhatIsSourAndNotThereYetGoesIntoTheRefrigeratorWithItsFigure) {
  Stage stage(sour_carrots());
  stage.on_cue("ph_asked", "at most 4.2", 600, [&] { stage.give(by_meter(4.4)); });
  stage.on_cue("ph_asked", "at most 4.2", 1200, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(run_s);
  expect_complete(stage);
  EXPECT_EQ(where(stage), "refrigerator");
  EXPECT_TRUE(stage.deviation("pH at the end of the ferment", "4.39 when it was last measured"))
      << stage.diary();
}

TEST(FermentPh, WhatIsNotSourInItsLongestTimeIsOutOfItsFormulaWhateverItTurnsInto) {
  Stage stage(sour_carrots());
  stage.on_cue("ph_asked", "at most 4.2", 600, [&] { stage.give(by_meter(5.4)); });
  stage.on_cue("ph_asked", "longer than it may", day_s, [&] {
    EXPECT_THAT(stage.all<proto::JarsAre>().back().todo, HasSubstr("Do not taste it"));
    stage.give(by_meter(3.8));
  });
  stage.run(run_s);
  expect_complete(stage);
  EXPECT_TRUE(stage.deviation("time of the ferment", "not sour after 15 days")) << stage.diary();
  EXPECT_THAT(stage.status().may_be_called, HasSubstr("Outside its formula: time of the ferment"));
}

TEST(FermentPh, WhatIsFoundNotSourInTheRefrigeratorIsNotTasted) {
  Stage stage(sour_carrots());
  stage.on_cue("ph_asked", "at most 4.2", 600, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(run_s);
  stage.give(by_meter(5.4));
  EXPECT_THAT(stage.all<proto::JarsAre>().back().todo, HasSubstr("Do not taste it"));
}

TEST(FermentPh, PaperDoesNotOverruleAMeter) {
  Stage stage(sour_carrots());
  stage.on_cue("ph_asked", "at most 4.2", 600, [&] {
    stage.give(by_meter(4.4));
    proto::Measured paper;
    paper.what = "ph";
    paper.with = "paper";
    paper.value = 3.4;
    paper.interval = 0.5;
    const auto trouble = stage.engine().refuses(proto::Input(paper),
                                                static_cast<std::int64_t>(stage.now_s() * 1000));
    ASSERT_TRUE(trouble.has_value());
    EXPECT_NE(trouble->what.find("a meter has found pH 4.39"), std::string::npos) << trouble->what;
  });
  stage.at(12.8 * day_s, [&] { stage.give(by_meter(3.9)); });
  stage.run(run_s);
  expect_complete(stage);
}

TEST(FermentPh, WhatWasMeasuredBeforeItsTimeIsNotAskedAgain) {
  Stage stage(sour_carrots());
  stage.at(9 * day_s, [&] { stage.give(by_meter(3.9)); });
  stage.run(run_s);
  expect_complete(stage);
  EXPECT_TRUE(stage.told("ph_asked").empty()) << stage.diary();
}

// ---- brine that is short ------------------------------------------------------------------------

TEST(BrineShort, MoreOfItIsWeighedInTheSameProportion) {
  Stage stage(brine_weeks());
  stage.on_cue("step", "If the brine does not cover", 20, [&] { EXPECT_EQ(stage.say("no"), ""); });
  stage.run(run_s);
  expect_complete(stage);
  const auto all = stage.weighings();
  // A quarter more of 600 g and 36 g.
  const double water_g = static_cast<double>(all.at("water").net_ug) / 1e6;
  const double salt_g = static_cast<double>(all.at("table salt").net_ug) / 1e6;
  EXPECT_GT(water_g, 700) << stage.diary();
  EXPECT_NEAR(salt_g / water_g, 0.06, 0.004) << stage.diary();
  EXPECT_FALSE(stage.told("advice", "Never water alone").empty());
  EXPECT_EQ(stage.engine().status().may_be_called.find("Outside"), std::string::npos);
  EXPECT_TRUE(stage.all<proto::Deviation>().empty()) << stage.diary();
}

TEST(BrineShort, NoMoreThanTheLargestBatchIsMade) {
  auto setting = brine_weeks();
  const std::string largest = "largest_multiple = 4";
  setting.formula.replace(setting.formula.find(largest), largest.size(), "largest_multiple = 1.1");
  Stage stage(setting);
  std::string refused;
  stage.on_cue("step", "If the brine does not cover", 20, [&] { refused = stage.say("no"); });
  stage.run(run_s);
  EXPECT_NE(refused.find("largest batch"), std::string::npos) << refused << stage.diary();
  expect_complete(stage);
}

}  // namespace
}  // namespace maslin::scenario
