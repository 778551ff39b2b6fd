// The list of jars over all batches: order, dates, what is due, and which jars hold a lot.
#include "daemon/review/jars.hpp"

#include <gmock/gmock.h>

#include "daemon/quantity/times.hpp"
#include "evening.hpp"

namespace maslin::review {
namespace {

using testing::AllOf;
using testing::Contains;
using testing::Each;
using testing::ElementsAre;
using testing::Field;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

constexpr std::int64_t hour_s = 3600;
constexpr std::int64_t day_s = 24 * hour_s;

// A batch that was filled at zero, sealed and complete after 13 hours.
Evening shelf_batch(std::int64_t jars = 3, std::int64_t part = 0) {
  Evening evening;
  evening.start.plan.jars = "3 jars of 250 mL";
  evening.start.plan.ingredients[0].counts_as = "acid";
  evening.begin().at(0).outcome(proto::Filled{jars, part, jars, "as expected"});
  return evening;
}
std::vector<std::int64_t> first(std::int64_t jars) {
  std::vector<std::int64_t> numbers;
  for (std::int64_t jar = 1; jar <= jars; ++jar) numbers.push_back(jar);
  return numbers;
}
Evening sealed_batch(std::int64_t jars = 3, std::int64_t part = 0) {
  Evening evening = shelf_batch(jars, part);
  evening.at(13 * hour_s).outcome(proto::JarsAre{first(jars), "shelf", "sealed", ""});
  if (part > 0) evening.outcome(proto::JarsAre{{jars + 1}, "refrigerator", "part-filled", ""});
  evening.end("complete");
  return evening;
}
Evening& now(Evening& evening, const std::string& where, std::vector<std::int64_t> jars,
             const std::string& text = "") {
  evening.input(proto::JarWord{"now", 0, 0, jars, where, text});
  return evening.outcome(proto::JarsAre{std::move(jars), where, "by the cook", ""});
}

class JarList : public testing::Test {
 protected:
  // The list so many days after the filling.
  proto::JarList ask(double days, JarQuestion question = {}) const {
    std::vector<std::vector<proto::Entry>> batches;
    for (const auto& evening : evenings) batches.push_back(evening.entries);
    question.now_utc_ms = kEveningUtcMs + static_cast<std::int64_t>(days * 86'400'000.0);
    return jars(batches, question);
  }
  static std::vector<std::string> texts(const proto::JarList& list) {
    std::vector<std::string> found;
    for (const auto& task : list.todo) found.push_back(task.text);
    return found;
  }
  static std::string after(std::int64_t seconds) {
    return quantity::utc_text(kEveningUtcMs + seconds * 1000);
  }
  std::vector<Evening> evenings;
};

TEST_F(JarList, GroupsTheJarsOfABatchThatStandAlike) {
  evenings = {sealed_batch(3, 1)};
  const auto list = ask(2);
  ASSERT_THAT(list.jars, SizeIs(2));
  EXPECT_THAT(list.jars[0].jars, ElementsAre(4));
  EXPECT_TRUE(list.jars[0].part_filled);
  EXPECT_EQ(list.jars[0].where, "refrigerator");
  EXPECT_THAT(list.jars[1].jars, ElementsAre(1, 2, 3));
  EXPECT_EQ(list.jars[1].where, "shelf");
  EXPECT_EQ(list.jars[1].size, "250 mL");
  EXPECT_EQ(list.jars[1].since_utc, after(13 * hour_s));
}

// USDA Complete Guide to Home Canning, guide 1: best quality within a year; a jar that did not seal
// is used within days from the refrigerator.
TEST_F(JarList, DatesFollowTheGuideAndSayWhereTheyAreCommonPractice) {
  evenings = {sealed_batch(3, 1)};
  const auto list = ask(2);
  EXPECT_EQ(list.jars[1].until_utc, after(365 * day_s));
  EXPECT_EQ(list.jars[1].until_means, "best before");
  EXPECT_THAT(list.jars[1].basis, HasSubstr("USDA"));
  EXPECT_EQ(list.jars[0].until_utc, after(13 * hour_s + 7 * day_s));
  EXPECT_EQ(list.jars[0].until_means, "use by");
  EXPECT_THAT(list.jars[0].basis, HasSubstr("common practice, no source"));
}

TEST_F(JarList, WhatToUseFirstComesFirst) {
  evenings = {sealed_batch(5)};
  now(evenings[0].at(20 * day_s), "freezer", {1});
  now(evenings[0].at(21 * day_s), "opened", {2});
  now(evenings[0].at(22 * day_s), "given", {3});
  now(evenings[0].at(23 * day_s), "discarded", {4});
  const auto places = [](const proto::JarList& list) {
    std::vector<std::string> found;
    for (const auto& group : list.jars) found.push_back(group.where);
    return found;
  };
  EXPECT_THAT(places(ask(30)), ElementsAre("opened", "shelf", "freezer"));
  JarQuestion all;
  all.all = true;
  EXPECT_THAT(places(ask(30, all)),
              ElementsAre("opened", "shelf", "freezer", "given", "discarded"));
}

TEST_F(JarList, OpeningAJarOrCarryingItAboutNeverMakesItGoodForLonger) {
  Evening cold = shelf_batch(2);
  cold.start.plan.keeping = "refrigerator";
  cold.entries.clear();
  cold.begin().at(0).outcome(proto::Filled{2, 0, 2, "as expected"});
  cold.at(2 * hour_s).outcome(proto::JarsAre{{1, 2}, "refrigerator", "for the refrigerator", ""});
  cold.end("complete");
  now(cold.at(20 * day_s), "opened", {1});
  now(cold.at(25 * day_s), "refrigerator", {1});
  evenings = {cold};
  for (const auto& group : ask(26).jars) {
    // Four weeks since it was filled, wherever it went: what cools has begun to count.
    EXPECT_EQ(group.until_utc, after(28 * day_s)) << group.where;
  }
}

TEST_F(JarList, WhatIsPastItsDateIsSaidInWordsAndIsToDo) {
  evenings = {sealed_batch(2, 1)};
  const auto week = ask(7.5);
  EXPECT_THAT(week.jars[0].todo, "");
  const auto list = ask(8);
  EXPECT_TRUE(list.jars[0].past);
  EXPECT_THAT(list.jars[0].todo, HasSubstr("do not taste"));
  EXPECT_THAT(texts(list), Contains(AllOf(HasSubstr("jar 3"), HasSubstr("past"))));
  EXPECT_FALSE(list.jars[1].past);
  const auto year = ask(366);
  EXPECT_TRUE(year.jars[1].past);
  EXPECT_THAT(year.jars[1].todo, HasSubstr("ulging"));
}

TEST_F(JarList, TheSealsAreLookedAtBetweenTwelveAndTwentyFourHours) {
  Evening evening = shelf_batch(2);
  evening.at(hour_s).outcome(proto::PhaseBegan{3, "cool", "", "Let them stand."});
  evenings = {evening};
  EXPECT_THAT(ask(12.9 / 24).todo, IsEmpty());
  const auto due = ask(13.1 / 24);
  ASSERT_THAT(due.todo, SizeIs(1));
  EXPECT_THAT(due.todo[0].text, HasSubstr("maslin seals"));
  EXPECT_FALSE(due.todo[0].late);
  EXPECT_EQ(due.todo[0].due_utc, after(13 * hour_s));
  EXPECT_TRUE(ask(25.1 / 24).todo[0].late);
}

TEST_F(JarList, ARatingIsDueAfterADayAndAfterTwoWeeksUntilItIsGiven) {
  evenings = {sealed_batch()};
  EXPECT_THAT(texts(ask(1)), IsEmpty());  // complete after 13 hours
  EXPECT_THAT(texts(ask(1.6)), ElementsAre(HasSubstr("maslin rate 2026-11-25-1")));
  evenings[0].at(2 * day_s).outcome(proto::Rated{{"soft", "", "", ""}, 40 * hour_s * 1000});
  EXPECT_THAT(texts(ask(3)), IsEmpty());
  EXPECT_THAT(texts(ask(15)), ElementsAre(HasSubstr("Two weeks")));
  evenings[0].at(15 * day_s).outcome(proto::Rated{{"good", "", "", ""}, 14 * day_s * 1000});
  EXPECT_THAT(texts(ask(16)), IsEmpty());
}

TEST_F(JarList, NobodyIsAskedAboutABatchThatIsEatenOrForgotten) {
  evenings = {sealed_batch(2)};
  EXPECT_THAT(texts(ask(80)), IsEmpty());
  now(evenings[0].at(10 * day_s), "discarded", {1, 2});
  EXPECT_THAT(texts(ask(15)), IsEmpty());
}

TEST_F(JarList, ALotIsFoundInEveryJarWhereverItWent) {
  Evening with = sealed_batch(3);
  with.entries.clear();
  with.start.facts.lots = {{"cider vinegar", "L1234"}};
  with.begin().at(0).outcome(proto::Filled{3, 0, 3, "as expected"});
  now(with.at(day_s), "given", {1}, "the lighthouse keeper");
  now(with.at(2 * day_s), "discarded", {2});
  Evening without = sealed_batch(2);
  std::get<proto::Start>(std::get<proto::Input>(without.entries[0].body)).batch = "2026-12-01-1";
  evenings = {with, without};
  JarQuestion lot;
  lot.lot = "l1234";
  const auto list = ask(3, lot);
  ASSERT_THAT(list.jars, SizeIs(3));
  EXPECT_THAT(list.jars, Each(Field(&proto::JarGroup::holds, HasSubstr("L1234 of cider vinegar"))));
  EXPECT_THAT(list.jars, Each(Field(&proto::JarGroup::whom, "")));
  lot.names = true;
  EXPECT_THAT(ask(3, lot).jars,
              Contains(AllOf(Field(&proto::JarGroup::where, "given"),
                             Field(&proto::JarGroup::whom, "the lighthouse keeper"))));
}

// What was noted under a name that no ingredient bears may have gone in all the same.
TEST_F(JarList, ALotUnderAnotherNameMayBeHeld) {
  Evening with = sealed_batch(1);
  with.entries.clear();
  with.start.facts.lots = {{"preserving sugar", "S1"}, {"gelling powder", "P1"}, {"lids", "D1"}};
  with.begin().at(0).outcome(proto::Filled{1, 0, 1, "as expected"});
  evenings = {with};
  const auto holds = [&](const std::string& lot) {
    JarQuestion question;
    question.lot = lot;
    const auto list = ask(1, question);
    return list.jars.empty() ? "" : list.jars[0].holds;
  };
  EXPECT_THAT(holds("S1"), HasSubstr("holds lot"));
  EXPECT_THAT(holds("D1"), HasSubstr("holds lot"));
  EXPECT_THAT(holds("P1"), HasSubstr("may hold lot"));
  EXPECT_EQ(holds("L9"), "");
}

TEST_F(JarList, WhatABatchWasMadeOfIsHeldByItToo) {
  Evening parent = sealed_batch(2);
  parent.entries.clear();
  parent.start.facts.lots = {{"sugar", "S1"}};
  parent.begin().at(0).outcome(proto::Filled{2, 0, 2, "as expected"});
  Evening child;
  child.start.batch = "2026-12-10-1";
  child.start.request.parent = parent.start.batch;
  child.begin().at(15 * day_s).outcome(proto::Filled{2, 0, 2, "as expected"});
  evenings = {child, parent};
  JarQuestion lot;
  lot.lot = "S1";
  EXPECT_THAT(
      ask(20, lot).jars,
      Contains(AllOf(Field(&proto::JarGroup::batch, "2026-12-10-1"),
                     Field(&proto::JarGroup::holds, HasSubstr("made of batch 2026-11-25-1")))));
}

TEST_F(JarList, WhatIsToDoOnTheDayIsNoMoreToDoLaterAndWhatLastsIs) {
  Evening evening = shelf_batch(2);
  evening.at(13 * hour_s).outcome(proto::JarsAre{{1}, "shelf", "sealed", "Wash and label."});
  evening.outcome(proto::JarsAre{{2}, "shelf", "outside the formula", "Discard it.", true});
  evenings = {evening};
  const auto todo = [&](double days) {
    std::vector<std::string> found;
    for (const auto& group : ask(days).jars) found.push_back(group.todo);
    return found;
  };
  EXPECT_THAT(todo(1), ElementsAre("Wash and label.", "Discard it."));
  EXPECT_THAT(todo(10), ElementsAre("", "Discard it."));
  EXPECT_THAT(todo(400), ElementsAre(HasSubstr("Past its best"), "Discard it."));
}

// Not out of the world, though it is out of the house.
TEST_F(JarList, AGivenJarThatIsNotSafeIsListedUnasked) {
  evenings = {sealed_batch(2)};
  now(evenings[0].at(day_s), "given", {1}, "the lighthouse keeper");
  now(evenings[0], "discarded", {2}, "burst");
  EXPECT_THAT(ask(3).jars, IsEmpty());
  evenings[0].at(2 * day_s).outcome(
      proto::JarsAre{{1}, "given", "outside the formula", "Tell who has it: discard it.", true});
  ASSERT_THAT(ask(3).jars, SizeIs(1));
  EXPECT_EQ(ask(3).jars[0].todo, "Tell who has it: discard it.");
  JarQuestion names;
  names.names = true;
  EXPECT_EQ(ask(3, names).jars[0].whom, "the lighthouse keeper");  // who has it is not forgotten
  EXPECT_THAT(texts(ask(3)), Contains("jar 1, given: Tell who has it: discard it."));
}

TEST_F(JarList, AnAmendedLotIsAskedForBesideTheFirst) {
  Evening with = sealed_batch(1);
  with.entries.clear();
  with.start.facts.lots = {{"vinegar", "L1"}};
  with.begin().at(0).outcome(proto::Filled{1, 0, 1, "as expected"});
  proto::Amended lot;
  lot.amendment.what = "lot";
  lot.amendment.of = "vinegar";
  lot.amendment.with = "L2";
  with.outcome(lot);
  evenings = {with};
  for (const char* one : {"L1", "L2"}) {
    JarQuestion question;
    question.lot = one;
    EXPECT_THAT(ask(1, question).jars, SizeIs(1)) << one;
  }
}

// Opened, and then the vinegar turns out to have been weak: within days, as it is told to be used.
TEST_F(JarList, ADateIsNeverLaterThanWhatIsToldOfAJarThatIsNotSafe) {
  evenings = {sealed_batch(2)};
  now(evenings[0].at(day_s), "opened", {1});
  EXPECT_EQ(ask(2).jars[0].until_utc, after(29 * day_s));
  evenings[0].at(2 * day_s).outcome(proto::JarsAre{
      {1}, "opened", "outside the formula", "Keep it cold and use it within days.", true});
  EXPECT_EQ(ask(3).jars[0].until_utc, after(9 * day_s));
  EXPECT_EQ(ask(3).jars[0].until_means, "use by");
}

TEST_F(JarList, AnOrderIsFirstAndLateOnlyADayAfterItWasGiven) {
  evenings = {sealed_batch(2)};
  evenings[0]
      .at(30 * day_s)
      .outcome(proto::JarsAre{{1, 2}, "shelf", "outside the formula", "Discard them.", true});
  const auto first = ask(30.5).todo.front();
  EXPECT_THAT(first.text, HasSubstr("Discard them."));
  EXPECT_FALSE(first.late);
  EXPECT_EQ(first.due_utc, after(30 * day_s));
  EXPECT_TRUE(ask(31.5).todo.front().late);
}

TEST_F(JarList, BatchesOfOneDayComeByTheirNumber) {
  for (const int number : {10, 2, 1}) {
    Evening evening;
    evening.start.batch = "2026-11-25-" + std::to_string(number);
    evening.begin().at(number == 2 ? 60 : 0).outcome(proto::Filled{1, 0, 1, "as expected"});
    evening.at(13 * hour_s).outcome(proto::JarsAre{{1}, "shelf", "sealed", ""}).end("complete");
    evenings.push_back(evening);
  }
  std::vector<std::string> order;
  for (const auto& group : ask(1).jars) order.push_back(group.batch);
  EXPECT_THAT(order, ElementsAre("2026-11-25-1", "2026-11-25-2", "2026-11-25-10"));
}

TEST_F(JarList, OneBatchIsListedWhole) {
  evenings = {sealed_batch(2), sealed_batch(1)};
  std::get<proto::Start>(std::get<proto::Input>(evenings[1].entries[0].body)).batch =
      "2026-12-01-1";
  JarQuestion one;
  one.batch = "2026-12-01-1";
  one.all = true;
  const auto list = ask(1, one);
  ASSERT_THAT(list.jars, SizeIs(1));
  EXPECT_EQ(list.jars[0].batch, "2026-12-01-1");
}

}  // namespace
}  // namespace maslin::review
