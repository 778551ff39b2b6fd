// A cure and a brine over their weeks, with every honest disturbance: one line a day, no question,
// the end on the day that was foreseen.
#include "weeks.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::scenario {
namespace {

using proto::Role;

constexpr double run_s = 40 * day_s;

TEST(CureWeeks, TwoWeeksInTheColdAreMeasuredFromOneEndToTheOther) {
  Stage stage(cure_weeks());
  stage.run(run_s);
  expect_quiet_weeks(stage, 14);
  const auto all = stood(stage);
  EXPECT_EQ(all.outside_ms, 0);
  EXPECT_EQ(all.unmeasured_ms, 0);
  EXPECT_GE(all.inside_ms, 14 * 86'400'000LL);
  EXPECT_EQ(all.evidence, "measured");
  // The time ends when the cook is awake, never before it is over.
  const double took_s = stage.condition_s("stand done") - stage.began_s("stand");
  EXPECT_GE(took_s, 14 * day_s);
  EXPECT_LE(took_s, 14.5 * day_s);
  EXPECT_EQ(stage.weighings().at("curing salt").ingredient, "curing salt");
}

TEST(CureWeeks, ThreeWeeksWithTheDaemonOffEveryNight) {
  Stage stage(long_cure_weeks());
  restart_every_night(stage, 25);
  stage.run(run_s);
  expect_quiet_weeks(stage, 21);
  const auto all = stood(stage);
  EXPECT_EQ(all.outside_ms, 0) << stage.diary();
  // Eight hours of each night were not measured, and count since both ends were cold.
  EXPECT_NEAR(static_cast<double>(all.unmeasured_ms) / 3.6e6, 21 * 8, 12);
  EXPECT_EQ(all.inside_ms + all.outside_ms + all.unmeasured_ms, all.counted_ms);
  const double took_s = stage.condition_s("stand done") - stage.began_s("stand");
  EXPECT_GE(took_s, 21 * day_s);
  EXPECT_LE(took_s, 21.6 * day_s);
}

TEST(CureWeeks, TheEndIsForeseenToTheDayFromTheFirstOn) {
  Stage stage(long_cure_weeks());
  restart_every_night(stage, 25);
  std::vector<std::string> foreseen;
  for (int day = 1; day <= 20; ++day) {
    stage.at(day * day_s, [&] { foreseen.push_back(stage.status().ready_on); });
  }
  stage.run(run_s);
  const double done_s = stage.condition_s("stand done");
  const auto day = quantity::day_of(static_cast<std::int64_t>(done_s * 1000) + 19 * 3'600'000LL);
  ASSERT_EQ(foreseen.size(), 20u);
  for (const auto& one : foreseen) EXPECT_EQ(one, day);
}

TEST(CureWeeks, DefrostingDoorAndWeatherAreNoReasonToSpeak) {
  auto setting = cure_weeks();
  setting.kitchen.room->defrost_every_h = 8;
  setting.kitchen.room->swing_k = 0.5;
  setting.kitchen.room->mean_c = 2.5;
  setting.kitchen.room_probe.lag_s = 2400;
  for (int day = 1; day < 14; ++day) {  // groceries are put in every evening
    setting.kitchen.room->warm.push_back({24.0 * day + 2.4, 0.3, 4});
  }
  Stage stage(setting);
  stage.run(run_s);
  expect_quiet_weeks(stage, 14);
  EXPECT_EQ(stood(stage).outside_ms, 0);
}

TEST(CureWeeks, ADoorLeftOpenForTwentyMinutesIsToldInTheSumsOnly) {
  auto setting = cure_weeks();
  setting.kitchen.room_probe.lag_s = 60;  // no glass of water
  setting.kitchen.room->warm.push_back({50, 20.0 / 60, 9});
  Stage stage(setting);
  stage.run(run_s);
  expect_quiet_weeks(stage, 14);
  const double outside_min = static_cast<double>(stood(stage).outside_ms) / 60'000;
  EXPECT_GE(outside_min, 15);
  EXPECT_LE(outside_min, 40);
  // What was outside does not count for the time.
  EXPECT_GE(stage.condition_s("stand done") - stage.began_s("stand"),
            14 * day_s + outside_min * 60);
}

TEST(CureWeeks, AProbeSilentForNineHoursAndBackInTheColdIsNoted) {
  Stage stage(cure_weeks());
  stage.at(2.2 * day_s, [&] { stage.drop(Role::room, 9 * hour_s); });  // from midnight on
  stage.run(run_s);
  EXPECT_TRUE(stage.all<proto::Held>().empty()) << stage.diary();
  EXPECT_TRUE(stage.all<proto::Deviation>().empty()) << stage.diary();
  EXPECT_NEAR(static_cast<double>(stood(stage).unmeasured_ms) / 3.6e6, 9, 0.3);
  EXPECT_EQ(stood(stage).outside_ms, 0);
  expect_complete(stage);
}

TEST(CureWeeks, ANoisyProbeAndADaemonThatIsOffForEightHours) {
  auto setting = cure_weeks();
  setting.kitchen.room_probe.noise_k = 0.25;
  setting.kitchen.room->swing_k = 0.4;
  Stage stage(setting);
  stage.at(3.5 * day_s, [&] { stage.restart(8 * hour_s); });
  stage.run(run_s);
  expect_quiet_weeks(stage, 15);
}

TEST(BrineWeeks, TenDaysInTheLarder) {
  Stage stage(brine_weeks());
  restart_every_night(stage, 12);
  stage.run(run_s);
  expect_quiet_weeks(stage, 10);
  EXPECT_EQ(stood(stage).outside_ms, 0);
  EXPECT_EQ(stage.engine().status().may_be_called.find("Outside"), std::string::npos);
}

// Nothing but the cook's eye: one question a day, answered with one bit.
TEST(BrineWeeks, WithoutAThermometerTheCookIsAskedOnceADay) {
  auto setting = brine_weeks();
  setting.room = false;
  kitchen::AnswerModel yes;
  yes.cue = "room_asked";
  yes.does = kitchen::Does::press;
  yes.after_s = 1800;
  setting.kitchen.answers.push_back(yes);
  Stage stage(setting);
  stage.run(run_s);
  EXPECT_TRUE(stage.all<proto::Held>().empty()) << stage.diary();
  const auto asked = stage.told("room_asked").size();
  EXPECT_GE(asked, 10u) << stage.diary();
  EXPECT_LE(asked, 12u) << stage.diary();
  EXPECT_EQ(stood(stage).evidence, "seen by the cook");
  EXPECT_TRUE(stood(stage).done);
  expect_complete(stage);
}

}  // namespace
}  // namespace maslin::scenario
