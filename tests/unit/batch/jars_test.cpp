// The ledger of the jars: where each one is, at the cook's word, also long after the batch.
#include <gmock/gmock.h>

#include "daemon/batch/desk.hpp"

namespace maslin::batch {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

constexpr std::int64_t hour_ms = 3'600'000;

// Four whole jars and a part-filled one, filled at zero.
class Shelf : public testing::Test {
 protected:
  void SetUp() override { desk.jars.fill(desk, {4, 1, 4, "as expected"}); }
  void at(std::int64_t hours) { desk.now_ms = hours * hour_ms; }
  static proto::JarWord now(const std::string& where, std::vector<std::int64_t> jars = {},
                            const std::string& text = "") {
    return {"now", 0, 0, std::move(jars), where, text};
  }
  void say(const proto::JarWord& word) {
    ASSERT_EQ(refusal(word), "");
    desk.jars.take(desk, word);
  }
  std::string refusal(const proto::JarWord& word) const {
    const auto trouble = desk.jars.refuses(word);
    return trouble ? proto::line(*trouble) : "";
  }
  void sealed_but(std::int64_t unsealed) {
    std::vector<std::int64_t> sealed;
    for (std::int64_t jar = 1; jar <= 4; ++jar) {
      if (jar != unsealed) sealed.push_back(jar);
    }
    desk.jars.put(desk, {sealed, "shelf", "sealed", ""});
    if (unsealed > 0) desk.jars.put(desk, {{unsealed}, "not sealed", "by the cook", ""});
  }
  proto::JarsAre last() const { return std::get<proto::JarsAre>(outcomes().back()); }
  const std::vector<proto::Outcome>& outcomes() const { return const_cast<Desk&>(desk).outcomes(); }
  Desk desk;
};

TEST_F(Shelf, JarsHaveNumbersFromOneAndCoolAtFirst) {
  EXPECT_EQ(desk.jars.count(), 5);
  EXPECT_TRUE(desk.jars.part_filled());
  EXPECT_THAT(desk.jars.in("cooling"), ElementsAre(1, 2, 3, 4, 5));
}

TEST_F(Shelf, TheCookSaysWhereSomeOrAllOfThemAre) {
  say(now("refrigerator", {5}));
  EXPECT_EQ(desk.jars.where(5), "refrigerator");
  EXPECT_THAT(desk.jars.in("cooling"), ElementsAre(1, 2, 3, 4));
  say(now("freezer"));
  EXPECT_THAT(desk.jars.in("freezer"), ElementsAre(1, 2, 3, 4, 5));
}

TEST_F(Shelf, AnOpenedJarGoesIntoTheRefrigerator) {
  sealed_but(0);
  at(5000);
  say(now("opened", {2}));
  EXPECT_THAT(last().todo, HasSubstr("refrigerator"));
}

TEST_F(Shelf, WhoGotAJarIsNotCopiedIntoTheLedger) {
  sealed_but(0);
  say(now("given", {1}, "the lighthouse keeper"));
  EXPECT_EQ(last().where, "given");
  EXPECT_EQ(last().why, "by the cook");
}

TEST_F(Shelf, OnlyAJarThatSealedStandsOnTheShelf) {
  EXPECT_THAT(refusal(now("shelf", {1})), HasSubstr("seal"));
  sealed_but(3);
  EXPECT_THAT(refusal(now("shelf", {3})), HasSubstr("jar 3 did not keep its seal"));
  // A sealed one may have been in the refrigerator, or with a neighbour, and come back.
  say(now("refrigerator", {1}));
  EXPECT_EQ(refusal(now("shelf", {1})), "");
  say(now("opened", {2}));
  EXPECT_THAT(refusal(now("shelf", {2})), HasSubstr("seal"));
}

TEST_F(Shelf, WhatGoesIntoTheColdMoreThanADayAfterItDidNotSealIsToldTheCondition) {
  sealed_but(3);
  at(24);
  say(now("freezer", {3}));
  EXPECT_EQ(last().todo, "");
  sealed_but(3);
  desk.now_ms += 1;
  // It may have been in the refrigerator all the time, and said late.
  say(now("refrigerator", {2, 3}));
  EXPECT_THAT(last().jars, ElementsAre(3));
  EXPECT_THAT(last().todo, HasSubstr("within 24 hours"));
}

TEST_F(Shelf, WhatWasDiscardedDoesNotComeBack) {
  say(now("discarded", {4}));
  EXPECT_THAT(refusal(now("refrigerator", {4})), HasSubstr("jar 4 was discarded"));
  EXPECT_THAT(refusal(now("refrigerator")), HasSubstr("jar 4 was discarded"));
}

TEST_F(Shelf, UnknownJarsAndPlacesAreNamed) {
  EXPECT_THAT(refusal(now("cellar", {1})), HasSubstr("'cellar' is no place"));
  EXPECT_THAT(refusal(now("freezer", {6})), HasSubstr("jars 1 to 5"));
  EXPECT_THAT(refusal(now("freezer", {0})), HasSubstr("no jar 0"));
  Desk empty;
  EXPECT_THAT(proto::line(*empty.jars.refuses(now("freezer"))), HasSubstr("no jars are filled"));
  EXPECT_THAT(outcomes(), testing::SizeIs(1));  // only the filling
}

}  // namespace
}  // namespace maslin::batch
