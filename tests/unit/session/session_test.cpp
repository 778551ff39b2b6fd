// The session between devices, engine and store: what is published when, what a refusing disk does
// to a batch, and that the record is whole whatever happened.
#include <gmock/gmock.h>

#include "daemon/session/answers.hpp"
#include "daemon/session/rerun.hpp"
#include "stove.hpp"

namespace maslin::session {
namespace {

using testing::HasSubstr;

TEST_F(StoveTest, WhatIsPublishedIsTheRecordInItsOrder) {
  start();
  for (int i = 0; i < 30; ++i) reading(412);
  say("note", "red onions");
  ASSERT_TRUE(all_on_disk());
  ASSERT_TRUE(until([&] { return ear.heard("red onions"); }));
  io.restart();
  io.poll();
  const auto stored = record();
  ASSERT_EQ(stored.entries.size(), ear.entries.size());
  for (std::size_t i = 0; i < ear.entries.size(); ++i) {
    EXPECT_EQ(stored.entries[i].text, ear.entries[i]);
  }
}

TEST_F(StoveTest, NothingSettledIsSaidBeforeItIsOnDisk) {
  disk_full = true;
  start();
  ASSERT_TRUE(until([&] { return ear.heard(R"("id":"disk")"); }));  // urgent: said at once
  EXPECT_FALSE(ear.heard(R"("type":"start")"));
  EXPECT_EQ(ear.entries.size(), 1U);
  disk_full = false;
  EXPECT_TRUE(until([&] { return ear.heard(R"("type":"start")"); }));
}

TEST_F(StoveTest, ASettingOutOfRangeIsNamedAsTheCookGaveIt) {
  const auto refused = [&](auto change) {
    proto::Settings settings;
    change(settings);
    const auto answer = session->set(settings);
    return answer ? std::string() : proto::line(answer.error());
  };
  EXPECT_THAT(refused([](auto& s) { s.usual_spread = 50; }), HasSubstr("--spread: the usual spr"));
  EXPECT_THAT(refused([](auto& s) { s.usual_spread = 50; }), HasSubstr("20 %"));
  EXPECT_THAT(refused([](auto& s) { s.scale_lag_s = 9; }), HasSubstr("--scale-lag: "));
  EXPECT_THAT(refused([](auto& s) { s.reaction_s = 9; }), HasSubstr("--reaction: "));
  EXPECT_THAT(refused([](auto& s) { s.cue_delay_s = -1; }), HasSubstr("--cue-delay: "));
  EXPECT_THAT(refused([](auto& s) { s.altitude_m = 1e6; }), HasSubstr("--altitude: "));
}

TEST_F(StoveTest, AFullDiskHoldsTheBatchAndRoomReleasesIt) {
  start();
  ASSERT_TRUE(all_on_disk());
  disk_full = true;
  say("note", "written later");
  ASSERT_TRUE(until([&] { return session->status().state == "held"; }));
  EXPECT_THAT(session->status().hold, HasSubstr("record"));
  for (int i = 0; i < 20; ++i) reading(0);
  EXPECT_FALSE(session->start({}).has_value());
  disk_full = false;
  ASSERT_TRUE(until([&] { return session->status().state == "running"; }));
  say("stop");
  const auto stored = record();
  EXPECT_TRUE(rerun(stored).same) << rerun(stored).first_difference;
  EXPECT_EQ(stored.row.state, "stopped");
}

TEST_F(StoveTest, ADiskThatRefusesForTooLongStopsTheWatchAndNotTheRecord) {
  store::Options little;
  little.most_waiting_bytes = 20'000;
  begin(little);
  start();
  ASSERT_TRUE(all_on_disk());
  disk_full = true;
  // As much as the store may keep, and more.
  bool refused = false;
  for (int i = 0; i < 100 && !refused; ++i) {
    reading(i);
    refused = !session->word("note", {"", std::string(1000, 'n')}).has_value();
  }
  EXPECT_TRUE(refused);
  for (int i = 0; i < 1000; ++i) reading(i);
  session->flush();
  disk_full = false;
  ASSERT_TRUE(until([&] { return session->word("note", {"", "room again"}).has_value(); }));
  for (int i = 0; i < 20; ++i) reading(7);
  say("stop");
  const auto stored = record();
  EXPECT_EQ(stored.row.state, "stopped");
  EXPECT_TRUE(rerun(stored).same) << rerun(stored).first_difference;
  EXPECT_TRUE(until([&] { return ear.entries.size() == stored.entries.size(); }));
}

TEST_F(StoveTest, ABatchThatWasOpenGoesOnWhereItStood) {
  const std::string name = start();
  for (int i = 0; i < 30; ++i) reading(412);
  session->flush();
  ASSERT_TRUE(all_on_disk());
  const auto phase = session->status().phase;
  begin();
  EXPECT_EQ(session->status().batch, name);
  EXPECT_EQ(session->status().phase, phase);
  ASSERT_TRUE(until([&] { return ear.heard(R"("type":"restart")"); }));
  say("stop");
  EXPECT_TRUE(rerun(record()).same);
}

TEST_F(StoveTest, ANoteReachesABatchThatEndedBeforeTheDaemonDid) {
  const std::string name = start();
  for (int i = 0; i < 30; ++i) reading(412);
  say("stop");
  const auto before = record();
  begin();
  int answers = 0;
  std::string refused;
  const auto done = [&](const auto& status) {
    ++answers;
    if (!status) refused += proto::line(status.error());
  };
  session->note({name, "the jars are under the stairs"}, done);
  session->note({name, "at the same moment"}, done);  // the first is not on disk yet
  session->rate({name, "good", "", "", ""}, done);    // it was stopped
  session->note({"no such batch", "lost"}, done);
  ASSERT_TRUE(until([&] { return answers == 4; }));
  EXPECT_THAT(refused, HasSubstr("being added"));
  EXPECT_THAT(refused, HasSubstr("no such batch"));
  const auto after = record();
  EXPECT_EQ(after.entries.size(), before.entries.size() + 2);  // the word and the note
  EXPECT_EQ(after.row.state, "stopped");
  EXPECT_TRUE(rerun(after).same) << rerun(after).first_difference;
  answers = 0;
  session->rate({name, "good", "", "", ""}, done);
  ASSERT_TRUE(until([&] { return answers == 1; }));
  EXPECT_THAT(refused, HasSubstr("only a batch that is complete"));
  EXPECT_EQ(record().entries.size(), after.entries.size());
}

TEST_F(StoveTest, AWordAboutJarsReachesABatchThatEndedAndIsRefusedWithoutJars) {
  const std::string name = start();
  say("stop");
  const auto before = record();
  begin();
  std::string refused;
  proto::JarRequest word;
  word.batch = name;
  word.what = "now";
  word.where = "shelf";
  session->jars(
      word, [&](const auto& status) { refused = status ? "taken" : proto::line(status.error()); });
  ASSERT_TRUE(until([&] { return !refused.empty(); }));
  EXPECT_THAT(refused, HasSubstr("no jars are filled"));
  EXPECT_EQ(record().entries.size(), before.entries.size());
}

TEST_F(StoveTest, AnAmendmentReachesABatchThatEndedAndTheRecordFoldsTheSame) {
  const std::string name = start();
  say("stop");
  begin();
  std::string answer;
  const auto done = [&](const auto& status) {
    answer = status ? "taken: " + (status->advice.empty() ? "" : status->advice.front())
                    : proto::line(status.error());
  };
  proto::AmendRequest amendment;
  amendment.batch = name;
  amendment.what = "lot";
  amendment.of = "sugar";
  amendment.with = "S1";
  session->amend(amendment, done);
  ASSERT_TRUE(until([&] { return !answer.empty(); }));
  EXPECT_EQ(answer, "taken: Lot of sugar: was not told, is S1.");
  const auto stored = record();
  EXPECT_EQ(stored.row.state, "stopped");
  EXPECT_TRUE(rerun(stored).same) << rerun(stored).first_difference;
  amendment.what = "weighed";
  amendment.amount = "two handfuls";
  session->amend(amendment, done);
  EXPECT_THAT(answer, HasSubstr("'two handfuls' is no weight"));
  answer.clear();
  amendment.amount = "1/2 lb";
  session->amend(amendment, done);
  ASSERT_TRUE(until([&] { return !answer.empty(); }));
  EXPECT_THAT(answer, HasSubstr("the sugar is not weighed yet"));
  EXPECT_EQ(record().entries.size(), stored.entries.size());
}

TEST_F(StoveTest, WhatNoPourAndNoScaleCanTeachIsNotTaken) {
  const auto taken = [&](const proto::Learned& one) {
    proto::Facts facts;
    facts.learned = {one};
    return session->set(facts).has_value();
  };
  EXPECT_TRUE(taken({"stop delay", "", 1200, 100, 4}));
  EXPECT_TRUE(taken({"asleep after", "test", 100'000, 0, 2}));
  EXPECT_FALSE(taken({"stop delay", "", 1'000'000'000, 100, 4}));
  EXPECT_FALSE(taken({"stop delay", "", -1, 100, 4}));
  EXPECT_FALSE(taken({"asleep after", "test", 500, 0, 2}));
  EXPECT_FALSE(taken({"hunger", "", 1200, 100, 4}));
}

TEST_F(StoveTest, ADateIsOneOfTheCalendar) {
  const auto taken = [&](const char* date) {
    proto::Facts facts;
    facts.pectin_date = date;
    return session->set(facts).has_value();
  };
  EXPECT_TRUE(taken("2027-03-31"));
  EXPECT_TRUE(taken("2028-02-29"));
  EXPECT_FALSE(taken("2026-02-30"));
  EXPECT_FALSE(taken("2026-02-29"));
  EXPECT_FALSE(taken("2026-13-01"));
}

TEST_F(StoveTest, FilledJarsAreTakenOffTheFactsOnce) {
  proto::Facts facts;
  facts.jars = 10;
  facts.lids = 10;
  ASSERT_TRUE(session->set(facts).has_value());
  proto::PlanRequest request;
  request.text = R"(name = "Quayside drop"
status = "own"
keeping = "refrigerator"
jars = 3
jar = "250 mL"
[[ingredient]]
name = "water"
amount = "1/8 tsp"
counts_as = "water"
weighs = "1 tsp = 5 g"
band = "50 %"
[[operation]]
kind = "weigh"
[[operation]]
kind = "fill"
)";
  const auto started = session->start(request);
  ASSERT_TRUE(started.has_value()) << proto::line(started.error().front());
  const auto ok_to = [&](const std::string& phase) {
    return until([&] {
      if (session->status().phase == phase) return true;
      static_cast<void>(session->word("ok", {"", ""}));
      return false;
    });
  };
  ASSERT_TRUE(ok_to("fill"));
  EXPECT_EQ(session->facts().jars, 10);
  proto::JarRequest word;
  word.what = "filled";
  word.count = 3;
  session->jars(word, [](const auto& status) {
    EXPECT_TRUE(status.has_value()) << proto::line(status.error());
  });
  EXPECT_EQ(session->facts().jars, 7);
  EXPECT_EQ(session->facts().lids, 10);  // for the refrigerator an old one does
  begin();
  session->note({"", "still seven"}, [](const auto&) {});
  EXPECT_EQ(session->facts().jars, 7);
}

TEST_F(StoveTest, ARemakeNamesItsParentAndIsNamedByIt) {
  const std::string parent = start();
  say("stop");
  ASSERT_TRUE(all_on_disk());
  proto::PlanRequest request;
  request.text = formula();
  request.parent = "1999-01-01-1";
  const auto refused = session->start(request);
  ASSERT_FALSE(refused.has_value());
  EXPECT_THAT(proto::line(refused.error().front()), HasSubstr("no batch of this name"));
  request.parent = parent;
  EXPECT_THAT(session->plan(request)->notes,
              testing::Contains(HasSubstr("maslin jar " + parent + " NUMBERS remade")));
  const auto child = session->start(request);
  ASSERT_TRUE(child.has_value());
  ASSERT_TRUE(all_on_disk());
  const auto list = batches_of(store->reader());
  ASSERT_TRUE(list.has_value());
  ASSERT_EQ(list->batches.size(), 2U);
  EXPECT_EQ(list->batches[0].parent, parent);
  EXPECT_THAT(list->batches[0].remade, testing::IsEmpty());
  EXPECT_EQ(list->batches[1].parent, "");
  EXPECT_THAT(list->batches[1].remade, testing::ElementsAre(child->batch));
  EXPECT_EQ(report_of(store->reader(), child->batch)->parent, parent);
  EXPECT_THAT(report_of(store->reader(), parent)->remade, testing::ElementsAre(child->batch));
}

TEST_F(StoveTest, AScaleThatNobodyGaveARoleIsNamedInThePlan) {
  proto::PlanRequest request;
  request.text = formula();
  EXPECT_THAT(session->plan(request)->notes, testing::Not(testing::Contains(HasSubstr("no role"))));
  proto::link::Arrived other;
  other.unit = proto::Unit::g;
  other.interval_digits = 1;
  other.vendor = "test";
  other.product = "scale";
  other.serial = "2";
  devices->registry().arrived("test", false, other, now_ms());
  const auto plan = session->plan(request);
  ASSERT_TRUE(plan.has_value());
  EXPECT_THAT(plan->notes, testing::Contains(HasSubstr("maslin assign bench test:scale:2")));
}

TEST_F(StoveTest, APhWithoutTheTemperatureOfItsSampleIsRefused) {
  proto::MeasureRequest request;
  request.value = 3.9;
  for (const auto& [what, with] : {std::pair{"ph", "meter"}, {"solids", "refractometer"}}) {
    request.what = what;
    request.with = with;
    std::string answer;
    session->measure(request, [&](const auto& status) {
      answer = status ? "taken" : proto::line(status.error());
    });
    EXPECT_THAT(answer, HasSubstr("--temperature")) << what;
  }
}

TEST_F(StoveTest, AScaleThatLeavesIsALossAndComesBack) {
  start();
  for (int i = 0; i < 10; ++i) reading(0);
  devices->registry().left(scale, "unplugged", now_ms());
  happen(devices::Happening::Kind::left);
  EXPECT_TRUE(until([&] { return ear.heard(R"("what":"lost")"); }));
  happen(devices::Happening::Kind::arrived);
  EXPECT_TRUE(until([&] { return ear.heard(R"("what":"back")"); }));
}

}  // namespace
}  // namespace maslin::session
