// What has no jars in the list and in the record: pieces of a cure, containers of dried food, what
// they are good until, and what became of them.
#include <gmock/gmock.h>

#include "daemon/quantity/times.hpp"
#include "daemon/review/jars.hpp"
#include "daemon/review/review.hpp"
#include "evening.hpp"

namespace maslin::review {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

constexpr std::int64_t day_s = 86'400;

Evening made(const std::string& unit, const std::string& kind) {
  Evening evening;
  evening.start.plan.keeping = "refrigerator";
  proto::PlannedOperation operation;
  operation.kind = kind;
  evening.start.plan.operations = {operation};
  evening.begin().at(0).outcome(proto::Filled{1, 0, 0, "as planned", unit});
  return evening;
}

Evening& is(Evening& evening, const std::string& where, const std::string& todo = {},
            bool lasting = false) {
  return evening.outcome(proto::JarsAre{{1}, where, "as planned", todo, lasting});
}

proto::JarList list_of(const Evening& evening, double days) {
  JarQuestion question;
  question.all = true;
  question.now_utc_ms = kEveningUtcMs + static_cast<std::int64_t>(days * 86'400'000.0);
  const std::vector<std::vector<proto::Entry>> batches = {evening.entries};
  return jars(batches, question);
}

std::string after(std::int64_t seconds) {
  return quantity::utc_text(kEveningUtcMs + seconds * 1000);
}

TEST(Pieces, OfACureAreDatedFromWhenTheyWentIntoTheCold) {
  Evening cure = made("piece", "stand");
  is(cure.at(14 * day_s), "refrigerator").end("complete");
  const auto list = list_of(cure, 15);
  ASSERT_THAT(list.jars, SizeIs(1));
  EXPECT_EQ(list.jars[0].unit, "piece");
  EXPECT_EQ(list.jars[0].until_utc, after(19 * day_s));
  EXPECT_EQ(list.jars[0].until_means, "use by");
  EXPECT_THAT(list.jars[0].basis, HasSubstr("from memory"));
}

TEST(Pieces, ThatWereReadyLongBeforeTheCookPutThemAwayAreDatedFromThere) {
  Evening cure = made("piece", "stand");
  cure.at(14 * day_s).outcome(proto::Condition{"stand done", "measured", 0});
  is(cure.at(120 * day_s), "refrigerator").end("complete");
  EXPECT_EQ(list_of(cure, 121).jars[0].until_utc, after(19 * day_s));
}

TEST(Pieces, OfABrokenColdChainHaveNoDateWhereverTheyArePut) {
  Evening cure = made("piece", "stand");
  cure.at(3 * day_s).outcome(proto::Deviation{"cold chain", true, "outside", "told the cook"});
  is(cure.at(3 * day_s + 60), "refrigerator");
  EXPECT_THAT(list_of(cure, 4).jars[0].until_utc, IsEmpty());
  Evening gap = made("piece", "stand");
  gap.outcome(proto::Deviation{"cold chain", true, "not measured for 13 h", "the cook was asked"});
  is(gap.at(14 * day_s), "refrigerator");
  EXPECT_EQ(list_of(gap, 15).jars[0].until_utc, after(19 * day_s));
}

// A cure that is good for so many days by its formula.
Evening good_for(std::int64_t days, const std::string& status) {
  Evening cure = made("piece", "stand");
  cure.entries.clear();
  cure.start.plan.good_ms = days * day_s * 1000;
  cure.start.plan.status = status;
  cure.begin().at(0).outcome(proto::Filled{1, 0, 0, "as planned", "piece"});
  return cure;
}

TEST(Pieces, KeepNoLongerThanTheTableByAFormulaThatNobodyHasTested) {
  Evening longer = good_for(700, "own");
  is(longer.at(14 * day_s), "refrigerator");
  EXPECT_EQ(list_of(longer, 15).jars[0].until_utc, after(19 * day_s));
  EXPECT_THAT(list_of(longer, 15).jars[0].basis, HasSubstr("USDA cold storage chart"));
  Evening shorter = good_for(3, "own");
  is(shorter.at(14 * day_s), "refrigerator");
  EXPECT_EQ(list_of(shorter, 15).jars[0].until_utc, after(17 * day_s));
  EXPECT_EQ(list_of(shorter, 15).jars[0].basis, "as the formula says");
}

TEST(Pieces, KeepAsLongAsATestedFormulaSays) {
  Evening cure = good_for(21, "tested");
  is(cure.at(14 * day_s), "refrigerator");
  EXPECT_EQ(list_of(cure, 15).jars[0].until_utc, after(35 * day_s));
  EXPECT_EQ(list_of(cure, 15).jars[0].basis, "as the formula says");
  // Not once it is outside of it.
  Evening barred = cure;
  barred.entries.pop_back();
  is(barred.at(14 * day_s), "refrigerator", "Do not eat it.", true);
  EXPECT_EQ(list_of(barred, 15).jars[0].until_utc, after(19 * day_s));
}

TEST(Pieces, WhatIsDryKeepsForMonthsAndWhatIsNotForDays) {
  Evening rings = made("container", "dry");
  Evening damp = rings;
  rings.outcome(proto::Condition{"dry", "measured", 0});
  is(rings.at(9 * day_s), "refrigerator");
  is(damp.at(9 * day_s), "refrigerator");
  EXPECT_EQ(list_of(rings, 10).jars[0].until_means, "best before");
  EXPECT_EQ(list_of(rings, 10).jars[0].until_utc, after(180 * day_s));
  EXPECT_EQ(list_of(damp, 10).jars[0].until_utc, after(16 * day_s));
}

TEST(Pieces, InTheMakingHaveNoDateAndSayWhereTheyAreWhenItWasStopped) {
  Evening cure = made("piece", "stand");
  EXPECT_THAT(list_of(cure, 3).jars[0].until_utc, IsEmpty());
  EXPECT_EQ(list_of(cure, 3).jars[0].where, "in the making");
  cure.at(3 * day_s).end("stopped");
  EXPECT_THAT(list_of(cure, 4).jars[0].todo, HasSubstr("Say where it is: maslin jar"));
}

TEST(Jars, ThatStandInTheirBrineAreDatedFromTheirEnd) {
  Evening carrots = made("jar", "stand");
  EXPECT_THAT(list_of(carrots, 5).jars[0].until_utc, IsEmpty());
  is(carrots.at(10 * day_s), "refrigerator");
  EXPECT_EQ(list_of(carrots, 11).jars[0].until_utc, after(17 * day_s));
}

// Nothing says that it is sour but a meter.
TEST(Jars, OfAFermentKeepAsTheFormulaSaysOnceTheyAreSour) {
  const auto carrots_of = [](double ph, const std::string& verdict) {
    Evening carrots = made("jar", "stand");
    carrots.entries.clear();
    carrots.start.plan.good_ms = 60 * day_s * 1000;
    carrots.start.plan.operations[0].end_ph = 4.2;
    carrots.begin().at(0).outcome(proto::Filled{1, 0, 0, "as planned", "jar"});
    proto::Finding found;
    found.what = "equilibrium pH";
    found.value = ph;
    found.limit = 4.2;
    found.verdict = verdict;
    carrots.at(9 * day_s).outcome(found);
    is(carrots.at(10 * day_s), "refrigerator");
    return list_of(carrots, 11).jars[0].until_utc;
  };
  EXPECT_EQ(carrots_of(3.8, "within"), after(70 * day_s));
  EXPECT_EQ(carrots_of(4.4, "not there yet"), after(17 * day_s));
  EXPECT_EQ(carrots_of(5.4, "over"), "");
}

TEST(Report, OfAFermentBeginsWithWhatWasFound) {
  Evening carrots = made("jar", "stand");
  carrots.outcome(proto::Deviation{"pH at the end of the ferment", true,
                                   "4.4 when it was last measured, not surely at most 4.2", ""});
  carrots.end("complete");
  EXPECT_THAT(report(carrots.entries, {}, "").may_be_called,
              HasSubstr("pH at the end of the ferment, 4.4 when it was last measured"));
  proto::Finding found;
  found.what = "equilibrium pH";
  found.value = 3.8;
  found.verdict = "within";
  carrots.outcome(found);
  EXPECT_EQ(report(carrots.entries, {}, "").may_be_called.find("4.4"), std::string::npos);
  carrots.outcome(proto::Deviation{"time of the ferment", true, "not sour after 15 days", ""});
  carrots.outcome(found);
  EXPECT_THAT(report(carrots.entries, {}, "").may_be_called,
              HasSubstr("time of the ferment, not sour after 15 days"));
}

TEST(Jars, ThatAreDiscardedSayWhy) {
  Evening carrots = made("jar", "fill");
  carrots.at(1 * day_s).outcome(proto::JarsAre{{1}, "discarded", "cold chain broken", "", false});
  EXPECT_EQ(list_of(carrots, 3).jars[0].why, "cold chain broken");
}

TEST(Jars, ThatAreDiscardedAskForNothing) {
  Evening carrots = made("jar", "fill");
  is(carrots.at(1 * day_s), "refrigerator", "Keep it cold.", true);
  is(carrots.at(2 * day_s), "discarded", "Keep it cold.", true);
  const auto list = list_of(carrots, 3);
  EXPECT_THAT(list.jars[0].todo, IsEmpty());
  EXPECT_THAT(list.todo, IsEmpty());
}

TEST(Jars, ThatAreBarredKeepTheDateToBeUsedBy) {
  Evening carrots = made("jar", "fill");
  is(carrots.at(1 * day_s), "refrigerator", "Keep it cold.", true);
  const auto list = list_of(carrots, 3);
  EXPECT_EQ(list.jars[0].until_means, "use by");
  EXPECT_FALSE(list.jars[0].until_utc.empty());
}

TEST(SafetyRecord, HasTheDispositionOfAPieceAndTheRowOfTheDrier) {
  Evening rings = made("container", "dry");
  rings.outcome(proto::PhaseBegan{0, "dry", "", "Dry it."});
  is(rings.at(9 * day_s), "discarded");
  const auto record = safety_record(rings.entries, {}, "hash");
  ASSERT_THAT(record.jars, SizeIs(1));
  EXPECT_EQ(record.jars[0].unit, "container");
  EXPECT_EQ(record.jars[0].where, "discarded");
  bool found = false;
  for (const auto& one : record.limits) {
    if (one.what != "temperature while it dries") continue;
    found = true;
    EXPECT_EQ(one.how, "not measured");
    EXPECT_EQ(one.verdict, "not confirmed");
  }
  EXPECT_TRUE(found);
}

}  // namespace
}  // namespace maslin::review
