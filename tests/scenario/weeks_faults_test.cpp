// What goes wrong with cures and brines: each caught at its step, with what is to be done about it
// and what becomes of the batch.
#include <gmock/gmock.h>

#include "daemon/review/review.hpp"
#include "weeks.hpp"

namespace maslin::scenario {
namespace {

using proto::Role;
using testing::HasSubstr;

constexpr double run_s = 40 * day_s;

std::string refused(const Setting& setting) { return Stage(setting).refused(); }

Setting with(Setting setting, const std::string& what, const std::string& instead) {
  const auto at = setting.formula.find(what);
  EXPECT_NE(at, std::string::npos) << what;
  setting.formula.replace(at, what.size(), instead);
  return setting;
}

double of_day_h(double seconds) { return std::fmod(seconds / hour_s + 19, 24); }

bool held_for(const Stage& stage, std::string_view reason, std::string_view words) {
  const auto holds = stage.all<proto::Held>();
  return std::any_of(holds.begin(), holds.end(), [&](const auto& one) {
    return one.reason == reason && one.what.find(words) != std::string::npos;
  });
}

std::string why_ended(const Stage& stage) {
  const auto all = stage.all<proto::BatchState>();
  return all.empty() ? "" : all.back().state + ": " + all.back().why;
}

// The cook answers a hold when it is said, twice where it ends the batch.
void answer_hold(Stage& stage, const std::string& words, int oks) {
  for (int i = 0; i < oks; ++i) {
    stage.on_cue("held", words, 60 + 20 * i, [&stage] { EXPECT_EQ(stage.say("ok"), ""); });
  }
}

// Each time.
void whenever(Stage& stage, const std::string& cue, const std::string& words, double after_s,
              const std::function<void()>& what) {
  stage.on_cue(cue, words, after_s, [&stage, cue, words, after_s, what] {
    what();
    whenever(stage, cue, words, after_s, what);
  });
}

std::string advice(const Stage& stage) {
  std::string all;
  for (const auto& one : stage.status().advice) all += one + "\n";
  return all;
}

proto::Amendment more(const std::string& what, const std::string& of, std::int64_t grams) {
  proto::Amendment amendment;
  amendment.what = what;
  amendment.of = of;
  amendment.mass_ug = grams * 1'000'000;
  return amendment;
}

// ---- before anything is weighed -----------------------------------------------------------------

TEST(CureFaults, NitriteTenTimesOverIsNoPlan) {
  const auto why = refused(with(cure_weeks(), "amount = \"2.5 g\"", "amount = \"25 g\""));
  EXPECT_THAT(why, HasSubstr("1562 ppm"));
  EXPECT_THAT(why, HasSubstr("at most 200 ppm may (home cure)"));
  EXPECT_THAT(why, HasSubstr("ten times"));
}

TEST(CureFaults, AFractionOfSixAndAQuarterWasMeantAsPercent) {
  const auto why = refused(with(cure_weeks(), "nitrite = \"6.25 %\"", "nitrite = \"6.25\""));
  EXPECT_THAT(why, HasSubstr("percent is meant: write \"6.25 %\""));
}

TEST(CureFaults, AMixWithoutALabelIsNotUsed) {
  auto setting = cure_weeks();
  setting.facts.nitrite_pct.reset();
  EXPECT_THAT(refused(setting), HasSubstr("a mix without a label is not used"));
  EXPECT_THAT(refused(with(cure_weeks(), "nitrite = \"6.25 %\"\n", "")),
              HasSubstr("a mix without a label is not used"));
}

TEST(CureFaults, AnotherMixThanTheFormulaMeansIsNotUsed) {
  auto setting = cure_weeks();
  setting.facts.nitrite_pct = 0.6;
  EXPECT_THAT(refused(setting), HasSubstr("6.25 % of sodium nitrite, and yours has 0.6 %"));
}

TEST(CureFaults, AScaleThatIsTooCoarseForTheCure) {
  auto setting = cure_weeks();
  setting.kitchen.fine.reset();
  EXPECT_THAT(refused(setting), HasSubstr("no scale at hand can judge the curing salt"));
}

TEST(CureFaults, SaltOf260GramsToTheKilogram) {
  auto setting = with(cure_weeks(), "amount = \"22.5 g\"", "amount = \"260 g\"");
  setting = with(setting, "most = \"2.8 %\"", "most = \"30 %\"");
  // With the salt of the curing salt.
  EXPECT_THAT(refused(setting), HasSubstr("262 g of salt to the kilogram of meat"));
}

// ---- at the scale -------------------------------------------------------------------------------

TEST(CureFaults, NitriteTenTimesOverOnTheScaleIsTakenOutWhileItIsAlone) {
  auto setting = cure_weeks();
  for (auto& one : setting.kitchen.ingredients) {
    if (one.name == "curing salt") one.has_g = 45;
  }
  Stage stage(setting);
  std::string accepted = "not said";
  stage.on_cue("held", "Curing salt is over", 1,
               [&] { accepted = stage.say("accept", "it will do"); });
  stage.run(run_s);
  EXPECT_THAT(accepted, HasSubstr("never accepted"));
  EXPECT_TRUE(held_for(stage, "critical limit", "Curing salt is over")) << stage.diary();
  EXPECT_NEAR(stage.truth_g("curing salt"), 4.5, 0.6);
  const auto ways = stage.all<proto::WayOut>();
  ASSERT_FALSE(ways.empty()) << stage.diary();
  EXPECT_EQ(ways.back().rung, "taken out");
  expect_complete(stage);
}

// ---- while it stands ----------------------------------------------------------------------------

TEST(CureFaults, TheCuringSaltIsFoundToHaveBeenTooMuchAfterTheEnd) {
  Stage stage(cure_weeks());
  stage.run(run_s);
  ASSERT_TRUE(stage.ended());
  auto told = more("weighed", "curing salt", 12);
  stage.give(told);
  EXPECT_TRUE(stage.deviation("curing salt per meat")) << stage.diary();
  EXPECT_THAT(advice(stage), HasSubstr("Do not eat it"));
}

TEST(CureFaults, TheColdChainBrokenOvernight) {
  auto setting = cure_weeks();
  setting.kitchen.room->warm.push_back({27, 9, 7});  // from ten in the evening on
  Stage stage(setting);
  answer_hold(stage, "The cold chain is broken", 2);
  stage.run(run_s);
  // The warning comes while it could be mended, the question when the cook is up.
  const double warned = stage.told_s("room_warm", "or it has to be discarded");
  EXPECT_GT(warned, 27 * hour_s) << stage.diary();
  EXPECT_LT(warned, 29.6 * hour_s);
  EXPECT_TRUE(held_for(stage, "critical limit", "The cold chain is broken"));
  EXPECT_NEAR(of_day_h(stage.told_s("held", "The cold chain is broken")), 7, 0.1);
  EXPECT_THAT(stage.told("held").front().text, HasSubstr("Discard it and do not taste it"));
  EXPECT_TRUE(stage.deviation("cold chain", "outside between 1.0 °C and 5.0 °C"));
  EXPECT_EQ(why_ended(stage), "stopped: discarded: cold chain broken");
  EXPECT_EQ(stage.folds_differently(), "");
}

// Nobody answers: the record has how long it was in the end, not only until it was asked.
TEST(CureFaults, ABrokenColdChainIsBrokenInTheRecordWithItsRealTime) {
  auto setting = cure_weeks();
  setting.kitchen.room->warm.push_back({36, 9, 7});
  Stage stage(setting);
  stage.run(60 * hour_s);
  EXPECT_EQ(stage.status().state, "held") << stage.diary();
  std::vector<proto::Entry> entries;
  proto::Start start;
  start.plan = stage.plan();
  entries.push_back({{1, 0, 0, 0}, proto::Input(start)});
  for (const auto& one : stage.said()) {
    entries.push_back({{0, one.at_ms, one.at_ms, 0}, one.outcome});
  }
  const auto record = review::safety_record(entries, {}, "");
  const auto row = std::find_if(record.limits.begin(), record.limits.end(), [](const auto& one) {
    return one.what.starts_with("temperature while it stands");
  });
  ASSERT_NE(row, record.limits.end());
  EXPECT_EQ(row->verdict, "broken") << row->found;
  EXPECT_EQ(stood(stage).outside_ms, stage.status().outside_ms);
  EXPECT_GT(stood(stage).outside_ms, 5 * 3'600'000);
}

TEST(CureFaults, ABrokenColdChainThatIsKeptWithAReasonHasLeftItsLimitForGood) {
  auto setting = cure_weeks();
  setting.kitchen.room->warm.push_back({27, 9, 7});
  Stage stage(setting);
  stage.on_cue("held", "The cold chain is broken", 60, [&] {
    EXPECT_THAT(stage.say("accept"), HasSubstr("reason"));
    EXPECT_EQ(stage.say("accept", "the probe lay on the counter"), "");
  });
  stage.run(run_s);
  EXPECT_TRUE(stage.deviation("cold chain", "outside")) << stage.diary();
  EXPECT_THAT(stage.status().may_be_called, HasSubstr("Outside its formula: cold chain"));
  expect_complete(stage);
}

TEST(CureFaults, AProbeSilentForNineHoursAndReturnedWarm) {
  auto setting = cure_weeks();
  setting.kitchen.room->warm.push_back({54, 7, 6});
  Stage stage(setting);
  stage.at(53 * hour_s, [&] { stage.drop(Role::room, 7.5 * hour_s); });
  answer_hold(stage, "The cold chain is broken", 2);
  stage.run(run_s);
  EXPECT_TRUE(stage.deviation("cold chain", "outside")) << stage.diary();
  // Nobody knows since when it was warm: all of the gap was.
  EXPECT_GE(stood(stage).outside_ms, 7 * 3'600'000);
  EXPECT_EQ(why_ended(stage), "stopped: discarded: cold chain broken");
}

TEST(CureFaults, AGapThatIsTooLongIsAskedAboutAndDoesNotCountForTheTime) {
  Stage stage(cure_weeks());
  stage.at(51 * hour_s, [&] { stage.power_cut(14 * hour_s); });
  answer_hold(stage, "Nobody knows how warm it was", 1);
  stage.run(run_s);
  EXPECT_TRUE(held_for(stage, "critical limit", "Nobody knows how warm it was for 14 h"))
      << stage.diary();
  EXPECT_TRUE(stage.deviation("cold chain", "not measured for 14 h"));
  EXPECT_EQ(stage.conditions("kept while nothing measured").size(), 1u);
  EXPECT_GE(stage.condition_s("stand done") - stage.began_s("stand"), 14 * day_s + 14 * hour_s);
  EXPECT_EQ(stage.status().may_be_called.find("Outside"), std::string::npos);
  expect_complete(stage);
}

TEST(CureFaults, AGapThatWasWarmByTheCooksWordIsABrokenColdChain) {
  Stage stage(cure_weeks());
  stage.at(51 * hour_s, [&] { stage.power_cut(14 * hour_s); });
  stage.on_cue("held", "Nobody knows", 60, [&] { EXPECT_EQ(stage.say("no"), ""); });
  answer_hold(stage, "The cold chain is broken", 2);
  stage.run(run_s);
  EXPECT_EQ(why_ended(stage), "stopped: discarded: cold chain broken") << stage.diary();
}

TEST(CureFaults, AProbeThatIsSilentForGoodIsAskedAboutWhenTheCookIsUp) {
  Stage stage(cure_weeks());
  stage.at(51 * hour_s, [&] { stage.drop(Role::room, 100 * day_s); });
  whenever(stage, "room_lost", "has not answered", 600, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(6 * day_s);
  ASSERT_FALSE(stage.told("room_lost").empty()) << stage.diary();
  EXPECT_GE(of_day_h(stage.told_s("room_lost")), 6.99);
  EXPECT_TRUE(stage.all<proto::Held>().empty()) << stage.diary();
  EXPECT_EQ(stage.conditions("place as it should be").size() > 0, true);
}

// A refrigerator that is set too high for a thermometer that may be off.
Setting near_its_bound() {
  auto setting = cure_weeks();
  setting.kitchen.room->mean_c = 4.4;
  setting.kitchen.room->swing_k = 0.1;
  return setting;
}

// Uncalibrated it may be off by 0.9 K (95 %): shown 4.4 °C, nobody knows whether it is over 5 °C.
TEST(CureFaults, APlaceTooNearToItsBoundForItsThermometerIsAskedAboutAndNotHeld) {
  Stage stage(near_its_bound());
  stage.on_cue("room_asked", "another thermometer", 3600, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(16 * day_s);
  EXPECT_EQ(stage.told("room_asked", "another thermometer").size(), 1u) << stage.diary();
  EXPECT_TRUE(stage.all<proto::Held>().empty());
  EXPECT_TRUE(stage.deviation("cold chain, not decided by this thermometer"));
  EXPECT_EQ(stage.conditions("cold enough by another thermometer").size(), 1u);
  EXPECT_EQ(stood(stage).outside_ms, 0);
  expect_complete(stage);
}

TEST(CureFaults, AnotherThermometerThatShowsItTooWarmBreaksTheColdChain) {
  Stage stage(near_its_bound());
  stage.on_cue("room_asked", "another thermometer", 3600, [&] { EXPECT_EQ(stage.say("no"), ""); });
  stage.run(5 * day_s);
  EXPECT_TRUE(stage.deviation("cold chain", "outside")) << stage.diary();
  EXPECT_FALSE(stage.all<proto::Held>().empty());
}

// By the time the cook answers, the refrigerator has run and shows less: the stretch that was asked
// about is answered for all the same.
TEST(CureFaults, ANoCountsForTheStretchThatWasAskedAbout) {
  Stage stage(near_its_bound());
  stage.on_cue("room_asked", "another thermometer", 60, [&] { stage.shift(-0.6, Role::room); });
  stage.on_cue("room_asked", "another thermometer", 40 * 60,
               [&] { EXPECT_EQ(stage.say("no"), ""); });
  stage.run(5 * day_s);
  EXPECT_TRUE(stage.deviation("cold chain", "outside")) << stage.diary();
  EXPECT_TRUE(held_for(stage, "critical limit", "The cold chain is broken"));
}

TEST(CureFaults, AnOkDecidesWhatWasAskedAboutAndNotWhatADoorLetInBefore) {
  auto setting = near_its_bound();
  setting.kitchen.room->mean_c = 3.4;
  setting.kitchen.room->warm.push_back({30, 0.6, 9});
  setting.kitchen.room->warm.push_back({96, 200, 1.0});
  Stage stage(setting);
  std::string asked;
  whenever(stage, "room_asked", "another thermometer", 600, [&] {
    if (asked.empty()) {
      asked = stage.told("room_asked", "another thermometer").back().text;
      stage.at(stage.now_s() + 3600, [&] { stage.shift(0.2, Role::room); });
    }
    (void)stage.say("ok");
  });
  stage.run(9 * day_s);
  ASSERT_FALSE(asked.empty()) << stage.diary();
  EXPECT_THAT(asked, HasSubstr("It shows up to 4."));
  EXPECT_GT(stood(stage).warmest_mk, 273'150 + 5000) << "the door";
  // Warmer than what was settled, and still under the bound: another question.
  EXPECT_EQ(stage.conditions("cold enough by another thermometer").size(), 2u) << stage.diary();
}

TEST(CureFaults, NobodyLooksAtAnotherThermometerAndItDoesNotEnd) {
  Stage stage(near_its_bound());
  stage.run(40 * day_s);
  EXPECT_FALSE(stage.ended());
  EXPECT_NE(stage.status().may_be_called.find("not decided"), std::string::npos);
}

TEST(CureFaults, ACalibratedThermometerDecidesNearToTheBound) {
  auto setting = near_its_bound();
  proto::ProbeCalibration good;
  good.utc_ms = 1'700'000'000'000;
  good.ice_mk = 273'150;
  good.boil_mk = good.boil_true_mk = 273'150 + 99'933;
  good.boil_by = "pressure";
  good.ice_u_mk = 60;
  good.boil_u_mk = 100;
  setting.room_probe = good;
  Stage stage(setting);
  stage.run(16 * day_s);
  expect_quiet_weeks(stage, 14);
}

TEST(CureFaults, FahrenheitTakenForCelsius) {
  Stage stage(cure_weeks());
  stage.at(40 * hour_s, [&] { stage.shift(34.5, Role::room); });  // 37.5 for 3 °C
  stage.at(42 * hour_s, [&] { stage.shift(0, Role::room); });
  stage.run(run_s);
  EXPECT_TRUE(held_for(stage, "thermometer", "seems to be set to °F")) << stage.diary();
  EXPECT_EQ(stage.all<proto::Held>().size(), 1u);
  EXPECT_EQ(stood(stage).outside_ms, 0);
  EXPECT_NEAR(static_cast<double>(stood(stage).unmeasured_ms) / 3.6e6, 2, 0.2);
  EXPECT_TRUE(stage.all<proto::Deviation>().empty()) << stage.diary();
  expect_complete(stage);
}

TEST(CureFaults, FahrenheitFromTheFirstReadingOnAndWarmAllTheSame) {
  auto setting = cure_weeks();
  setting.kitchen.room->mean_c = 12;
  Stage stage(setting);
  stage.at(0, [&] { stage.shift(26, Role::room); });  // 38 for 12 °C
  stage.at(5 * hour_s, [&] { stage.shift(0, Role::room); });
  stage.run(1.2 * day_s);
  EXPECT_TRUE(held_for(stage, "thermometer", "°F")) << stage.diary();
  // Set right, it shows that the place is warm: none of the time before was cold.
  EXPECT_TRUE(stage.deviation("cold chain", "outside")) << stage.diary();
}

// ---- brine --------------------------------------------------------------------------------------

TEST(BrineFaults, ABrineMadeShortIsMadeAgainInTheSameProportion) {
  Stage stage(brine_weeks());
  stage.when("stand", 3600, [&] {
    stage.give(more("brine", "", 200));
    EXPECT_THAT(advice(stage), HasSubstr("189 g of water, 11.3 g of table salt"));
    EXPECT_THAT(advice(stage), HasSubstr("never water alone"));
  });
  stage.run(run_s);
  EXPECT_EQ(stage.all<proto::Amended>().size(), 1u) << stage.diary();
  EXPECT_TRUE(stage.all<proto::Held>().empty()) << stage.diary();
  EXPECT_EQ(stage.status().may_be_called.find("Outside"), std::string::npos);
  expect_complete(stage);
}

TEST(BrineFaults, ABrineToppedUpWithWaterIsMendedWithSaltInGrams) {
  Stage stage(brine_weeks());
  stage.when("stand", 3600, [&] { stage.give(more("added", "water", 400)); });
  stage.on_cue("held", "What is in is outside the formula", 300,
               [&] { stage.give(more("added", "table salt", 14)); });
  stage.run(run_s);
  ASSERT_TRUE(held_for(stage, "critical limit", "salt per low-acid food and water"))
      << stage.diary();
  EXPECT_THAT(stage.told("held").front().text, HasSubstr("g more table salt, stir it in"));
  EXPECT_TRUE(stage.deviation("salt per low-acid food and water, least", "beyond its limit"));
  EXPECT_EQ(stage.all<proto::Released>().back().by, "an amendment");
  EXPECT_EQ(stage.status().may_be_called.find("Outside"), std::string::npos);
  expect_complete(stage);
}

// What was taken by measure counts as planned, and what is told to have gone in besides counts too.
TEST(BrineFaults, ABrineOfMeasuresToppedUpWithWaterIsHeldAndMended) {
  Stage stage(with_nothing_but_a_clock(brine_weeks()));
  stage.when("stand", 3600, [&] { stage.give(more("added", "water", 900)); });
  stage.run(run_s);
  ASSERT_TRUE(held_for(stage, "critical limit", "salt per low-acid food and water"))
      << stage.diary();
  stage.give(more("added", "table salt", 25));
  EXPECT_EQ(stage.status().hold, "") << stage.diary();
}

TEST(BrineFaults, ABrineThatIsTooWeakAndNotMendedIsDiscardedWithItsJars) {
  Stage stage(brine_weeks());
  stage.when("stand", 3600, [&] { stage.give(more("added", "water", 400)); });
  answer_hold(stage, "What is in is outside the formula", 2);
  stage.run(run_s);
  EXPECT_THAT(why_ended(stage), HasSubstr("discarded: outside the formula"));
  const auto jars = stage.all<proto::JarsAre>();
  ASSERT_FALSE(jars.empty()) << stage.diary();
  EXPECT_EQ(jars.back().where, "discarded");
  EXPECT_THAT(jars.back().todo, HasSubstr("do not taste"));
}

TEST(BrineFaults, AHeatwaveInTheLarderIsLookedAt) {
  auto setting = brine_weeks();
  setting.kitchen.room->warm.push_back({60, 40, 6});
  Stage stage(setting);
  whenever(stage, "held", "too warm or too cold", 600, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(run_s);
  EXPECT_TRUE(held_for(stage, "critical limit", "too warm or too cold")) << stage.diary();
  EXPECT_FALSE(stage.conditions("looked at and sound").empty());
  EXPECT_THAT(stage.status().may_be_called, HasSubstr("Outside its formula"));
  // What was too warm does not count for the time.
  EXPECT_GE(stage.condition_s("stand done") - stage.began_s("stand"), 11 * day_s);
  expect_complete(stage);
}

TEST(BrineFaults, TheCookSaysThatTheLarderIsNotAsItShouldBe) {
  auto setting = brine_weeks();
  setting.room = false;
  Stage stage(setting);
  stage.on_cue("room_asked", "Is it between", 600, [&] { EXPECT_EQ(stage.say("no"), ""); });
  answer_hold(stage, "too warm or too cold", 1);
  stage.run(4 * day_s);
  EXPECT_TRUE(stage.deviation("temperature while it stands", "outside")) << stage.diary();
}

TEST(BrineFaults, NobodyLooksForThreeDays) {
  auto setting = brine_weeks();
  setting.room = false;
  Stage stage(setting);
  stage.at(4 * day_s, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(5 * day_s);
  EXPECT_TRUE(held_for(stage, "critical limit", "Nobody knows how warm it was")) << stage.diary();
}

}  // namespace
}  // namespace maslin::scenario
