// The order of the evening: the canner first, the pan when the canner is nearly there, the jars hot
// into hot. And thermometers that tell something else than they seem to.
#include "kitchens.hpp"

#include <algorithm>

namespace maslin::scenario {
namespace {

using proto::Role;

TEST(OrderOfTheEvening, TheCannerComesFirstAndThePanWaitsForIt) {
  Stage stage(shelf_evening());
  stage.run_to("wait", 30);
  EXPECT_LT(stage.told_s("canner"), stage.began_s("prepare")) << stage.diary();
  EXPECT_EQ(stage.told("pan_waits").size(), 1u);
  const auto status = stage.status();
  EXPECT_EQ(status.phase, "wait");
  EXPECT_GT(status.left_ms.value_or(0), 0);
  for (const char* line : {"pan", "canner"}) {
    EXPECT_TRUE(std::any_of(status.schedule.begin(), status.schedule.end(), [&](const auto& span) {
      return span.line == line;
    })) << line;
  }
  EXPECT_TRUE(status.slack_ms);
  stage.run(night_s);
  EXPECT_EQ(stage.told("pan_now").size(), 1u) << stage.diary();
  EXPECT_EQ(stage.conditions("pan called for").at(0).evidence, "foreseen");
  // The jars have not waited long for the canner, nor it for them.
  EXPECT_LT(stage.condition_s("water bath began") - stage.condition_s("fill done"), 600);
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(OrderOfTheEvening, ForAQuickCannerNothingWaits) {
  auto setting = shelf_evening();
  setting.kitchen.canner->start_c = 60;
  setting.kitchen.canner->pot.power_w = 3000;
  Stage stage(setting);
  stage.run(night_s);
  EXPECT_TRUE(stage.told("pan_waits").empty()) << stage.diary();
  EXPECT_LT(stage.began_s("heat") - stage.began_s("wait"), 2);
  expect_undisturbed(stage);
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(OrderOfTheEvening, ALateCannerIsWaitedForLonger) {
  auto quick = shelf_evening();
  auto late = shelf_evening();
  late.kitchen.canner->pot.power_w = 1250;
  Stage first(quick);
  Stage second(late);
  first.run_to("heat");
  second.run_to("heat");
  EXPECT_GT(second.began_s("heat"), first.began_s("heat") + 300) << second.diary();
  second.run(night_s);
  expect_undisturbed(second);
  expect_full_bath(second);
  expect_complete(second);
}

TEST(OrderOfTheEvening, WithoutThermometersTheCookSaysThatTheCannerBoils) {
  auto setting = with_a_scale_only(shelf_evening());
  setting.kitchen.canner->start_c = 80;
  kitchen::AnswerModel looks;
  looks.cue = "pan_waits";
  looks.does = kitchen::Does::look;
  looks.pot = kitchen::PotName::canner;
  setting.kitchen.answers.push_back(looks);
  Stage stage(setting);
  stage.run(night_s);
  EXPECT_EQ(stage.conditions("canner boils").at(0).evidence, "seen by the cook") << stage.diary();
  EXPECT_EQ(stage.conditions("pan called for").at(0).evidence, "seen by the cook");
  expect_full_bath(stage);
  expect_complete(stage);
}

// A process under ten minutes: the empty jars boil first.
TEST(OrderOfTheEvening, JarsForAShortProcessAreBoiledBeforehand) {
  auto setting = shelf_evening();
  const std::string row = "10 min to 1000 ft";
  setting.formula.replace(setting.formula.find(row), row.size(), "5 min to 1000 ft");
  Stage stage(setting);
  stage.run(night_s);
  EXPECT_EQ(stage.plan().sterilise_ms, 600'000);
  // Ten minutes of true boil before the first jar is filled, or the cook is asked for them.
  const bool boiled = stage.told("step", "must have boiled").empty();
  if (boiled) {
    EXPECT_GE(stage.began_s("fill") - stage.condition_s("canner boils"), 600) << stage.diary();
  }
  EXPECT_FALSE(stage.conditions("empty jars boiled").empty());
  expect_full_bath(stage, 5);
  expect_complete(stage);
}

TEST(OrderOfTheEvening, ThermometersInEachOthersPotAreFoundOut) {
  Stage stage(shelf_evening());
  stage.swap_probes();
  stage.run(night_s);
  EXPECT_EQ(stage.told("advice", "are swapped").size(), 1u) << stage.diary();
  EXPECT_EQ(stage.conditions("thermometers taken for one another").size(), 1u);
  EXPECT_EQ(stage.conditions("boil reached").at(0).evidence, "measured");
  EXPECT_EQ(stage.conditions("water bath done").at(0).evidence, "measured");
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(OrderOfTheEvening, SwappedThermometersStayFoundOutOverARestart) {
  Stage stage(shelf_evening());
  stage.swap_probes();
  stage.when("heat", 30, [&] { stage.restart(5); });
  stage.run(night_s);
  EXPECT_EQ(stage.told("advice", "are swapped").size(), 1u) << stage.diary();
  EXPECT_EQ(stage.conditions("water bath done").at(0).evidence, "measured");
  expect_full_bath(stage);
  expect_complete(stage);
}

// Heat off, the telephone rings, twelve minutes pass.
TEST(OrderOfTheEvening, FillingTwelveMinutesLaterIsTooCool) {
  auto setting = shelf_evening();
  for (auto& answer : setting.kitchen.answers) {
    if (answer.hears == "Ladle it") answer.after_s = 720;
  }
  Stage stage(setting);
  stage.run(night_s);
  EXPECT_EQ(stage.told("pan_cool").size(), 1u) << stage.diary();
  EXPECT_EQ(stage.told("jars_cool").size(), 1u);
  EXPECT_EQ(stage.conditions("pan too cool to fill").at(0).evidence, "measured");
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(OrderOfTheEvening, TheProbeOfThePanLiesInTheAirAndTheCookIsAsked) {
  Stage stage(shelf_evening());
  stage.at(0, [&] { stage.stick(Role::pan, 22.0, night_s); });
  // The cook looks into the pan and says that it boils, twice.
  stage.when("heat", 400, [&] { (void)stage.say("ok"); });
  stage.when("heat", 410, [&] { (void)stage.say("ok"); });
  stage.run(3 * 3600);
  EXPECT_EQ(stage.told("ask", "22.0").size(), 1u) << stage.diary();
  EXPECT_EQ(stage.conditions("boil reached").at(0).evidence, "seen by the cook");
  EXPECT_EQ(stage.conditions("dwell began").at(0).evidence, "seen by the cook");
}

// Foam: three kelvin low all the time. The cook sees the boil, and his word counts.
TEST(OrderOfTheEvening, TheProbeStandsInTheFoamAndTheCookSeesTheBoil) {
  Stage stage(shelf_evening());
  stage.at(0, [&] { stage.shift(-3, Role::pan); });
  stage.when("heat", 300, [&] { EXPECT_EQ(stage.say("ok"), ""); });
  stage.run(night_s);
  EXPECT_EQ(stage.conditions("boil reached").at(0).evidence, "seen by the cook") << stage.diary();
  EXPECT_EQ(stage.conditions("dwell done").at(0).evidence, "seen by the cook");
  EXPECT_TRUE(stage.all<proto::Held>().empty());
  expect_full_bath(stage);
  expect_complete(stage);
}

// On the bottom it reads five kelvin too much: on the way up it passes the boil, and that is none.
TEST(OrderOfTheEvening, TheProbeStandsOnTheBottomAndPassesTheBoilOnTheWayUp) {
  Stage stage(shelf_evening());
  stage.at(0, [&] { stage.shift(5, Role::pan); });
  stage.when("dwell", 0, [&] { EXPECT_TRUE(stage.world().pan().boiling()); });
  stage.run(night_s);
  EXPECT_EQ(stage.conditions("boil reached").at(0).evidence, "measured");
  expect_undisturbed(stage);
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(OrderOfTheEvening, AShallowPansThermometerIsShownAndDecidesNothing) {
  auto setting = jelly_evening();
  setting.facts.pan_cm = 32;
  Stage stage(setting);
  EXPECT_TRUE(std::any_of(stage.plan().notes.begin(), stage.plan().notes.end(),
                          [](const auto& note) { return note.find("eye") != std::string::npos; }));
  stage.run_to("dwell", 5);
  EXPECT_TRUE(stage.status().pan_c);
  stage.run(night_s);
  for (const auto& one : stage.all<proto::Condition>()) {
    EXPECT_NE(one.evidence, "measured") << one.what << stage.diary();
  }
  expect_undisturbed(stage);
  expect_complete(stage);
}

TEST(OrderOfTheEvening, AnOwnFormulaDoesNotEndOnTheShelf) {
  auto setting = refrigerator_evening();
  setting.request.keeping = "shelf";
  Stage refused(setting);
  EXPECT_NE(refused.refused(), "");
  Stage stage(refrigerator_evening());
  stage.run(night_s);
  EXPECT_EQ(stage.plan().may_be_called.find("For the shelf"), std::string::npos);
  proto::JarWord shelf;
  shelf.what = "now";
  shelf.where = "shelf";
  EXPECT_TRUE(stage.engine().refuses(shelf));
}

TEST(OrderOfTheEvening, AHoldSaysWhatToDoWithThePanAndStopsNoBath) {
  Stage stage(shelf_evening());
  stage.when("dwell", 60, [&] { EXPECT_EQ(stage.say("hold", "the bell"), ""); });
  stage.when("dwell", 90, [&] { EXPECT_EQ(stage.say("resume"), ""); });
  stage.on_cue("boil", "The water bath counts", 60,
               [&] { EXPECT_EQ(stage.say("hold", "the bell"), ""); });
  stage.on_cue("boil", "The water bath counts", 700, [&] { EXPECT_EQ(stage.say("resume"), ""); });
  stage.run(night_s);
  const auto holds = stage.all<proto::Held>();
  ASSERT_EQ(holds.size(), 2u) << stage.diary();
  EXPECT_NE(holds[0].pan.find("Keep it boiling"), std::string::npos);
  EXPECT_NE(holds[1].pan.find("goes on"), std::string::npos);
  EXPECT_NEAR(stage.condition_s("water bath done") - stage.condition_s("water bath began"), 600, 2);
  expect_full_bath(stage);
  expect_complete(stage);
}

TEST(OrderOfTheEvening, TooLongAtTheBoilIsSaidAndRecorded) {
  auto setting = jelly_evening();
  setting.kitchen.troubles = {
      trouble(kitchen::TroubleModel::What::probe_out, kitchen::PotName::pan, 0, 110)};
  setting.kitchen.troubles[0].hears = "1 min to go";
  setting.kitchen.troubles[0].cue = "step";
  std::erase_if(setting.kitchen.answers, [](const auto& one) { return one.cue == "pan_asked"; });
  Stage stage(setting);
  stage.run(3600);
  EXPECT_GT(stage.told("too_long").size(), 1u) << stage.diary();  // nobody has done anything
  EXPECT_TRUE(stage.deviation("time at the boil", "over"));
}

}  // namespace
}  // namespace maslin::scenario
