// What an inspector is told: every critical limit, and what nobody measured.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "evening.hpp"

namespace maslin::review {
namespace {

using testing::Contains;
using testing::Field;
using testing::HasSubstr;

const proto::SafetyLimit& limit(const proto::SafetyRecord& record, const std::string& what) {
  const auto found = std::find_if(record.limits.begin(), record.limits.end(),
                                  [&](const auto& one) { return one.what == what; });
  EXPECT_NE(found, record.limits.end()) << what;
  static const proto::SafetyLimit none;
  return found == record.limits.end() ? none : *found;
}

Evening shelf_evening() {
  Evening evening;
  auto& plan = evening.start.plan;
  plan.ingredients[0].counts_as = "acid";
  plan.longest_boil_ms = 1'200'000;
  proto::PlannedOperation bath;
  bath.kind = "water bath";
  bath.duration_ms = 600'000;
  plan.operations.push_back(bath);
  plan.altitude_m = 640;
  return evening;
}

proto::SafetyRecord record_of(const Evening& evening) {
  return safety_record(evening.entries, {}, "abc123");
}

TEST(SafetyRecord, AnEmptyEveningSaysOfEveryLimitThatNobodyMeasuredIt) {
  Evening evening = shelf_evening();
  evening.begin();
  const auto record = record_of(evening);
  EXPECT_EQ(limit(record, "acid per low-acid food").how, "not measured");
  EXPECT_EQ(limit(record, "acid per low-acid food").verdict, "not confirmed");
  EXPECT_EQ(limit(record, "vinegar").verdict, "not weighed");
  EXPECT_EQ(limit(record, "acid in the vinegar").how, "not told");
  EXPECT_EQ(limit(record, "water bath from the hard boil, in one piece").how, "not measured");
  EXPECT_EQ(limit(record, "time at the boil altogether").how, "not measured");
  EXPECT_EQ(limit(record, "equilibrium pH of the product").verdict, "not confirmed");
  EXPECT_EQ(record.chain, "abc123");
}

TEST(SafetyRecord, WhatWasMeasuredHasItsUncertaintyAndItsDevice) {
  Evening evening = shelf_evening();
  evening.begin().at(60).weighed("vinegar", 242, "within");
  evening.at(120).weighed("onion", 401, "within");
  const auto record = record_of(evening);
  EXPECT_EQ(limit(record, "vinegar").device, "bench");
  EXPECT_THAT(limit(record, "vinegar").found, HasSubstr("242 g ±"));
  EXPECT_EQ(limit(record, "acid per low-acid food").verdict, "kept");
  EXPECT_THAT(limit(record, "acid per low-acid food").found, HasSubstr("0.603 ±"));
  EXPECT_THAT(record.devices,
              Contains(Field(&proto::SafetyDevice::calibration, HasSubstr("never calibrated"))));
}

TEST(SafetyRecord, ALimitIsMarkedAsToldWhereSomethingInItWas) {
  const auto how_with = [](const std::string& told) {
    Evening evening = shelf_evening();
    evening.begin().at(60).weighed("vinegar", 242, "within");
    evening.at(120).weighed("onion", 401, "within");
    evening.at(180).weighed("sugar", 150, "within");
    proto::Weighing weighing;
    weighing.ingredient = told;
    weighing.net_ug = (told == "sugar" ? 160 : 400) * kGram;
    weighing.how = "amended";
    evening.at(240).outcome(weighing);
    return limit(record_of(evening), "acid per low-acid food").how;
  };
  EXPECT_EQ(how_with("sugar"), "measured");
  EXPECT_EQ(how_with("onion"), "measured, and told by the cook");
}

// A load of 1200 g that is dry at 222 g, weighed in once.
Evening drying(std::int64_t net_ug) {
  Evening evening;
  proto::PlannedOperation dry;
  dry.kind = "dry";
  dry.left_ppm = 185'000;
  dry.longest_ms = 200'000'000;
  evening.start.plan.operations = {dry};
  evening.begin().outcome(proto::PhaseBegan{0, "dry", "", ""});
  proto::WeighIn one;
  one.of = "dry";
  one.number = 1;
  one.net_ug = net_ug;
  one.standard_uncertainty_ug = kGram;
  one.begin_ug = 1200 * kGram;
  one.target_ug = 222 * kGram;
  one.device = 0;
  evening.outcome(one);
  return evening;
}

TEST(SafetyRecord, ALoadThatWasNotDryIsBrokenHoweverOftenTheCookSaidOk) {
  const auto dried = [](std::int64_t net_ug, const char* evidence) {
    Evening evening = drying(net_ug);
    evening.outcome(proto::Condition{"dry", evidence, 0});
    return limit(record_of(evening), "dried to its target");
  };
  const auto wet = dried(300 * kGram, "seen by the cook");
  EXPECT_EQ(wet.verdict, "broken");
  EXPECT_EQ(wet.how, "ended by the cook's eye");
  EXPECT_EQ(dried(221 * kGram, "seen by the cook").verdict, "broken");  // the scale cannot tell
  EXPECT_EQ(dried(220 * kGram, "seen by the cook").verdict, "kept");
  EXPECT_EQ(dried(220 * kGram, "measured").verdict, "kept");
}

TEST(SafetyRecord, WeakVinegarIsBrokenAndABathBegunAgainSaysSo) {
  Evening evening = shelf_evening();
  evening.start.facts.vinegar_pct = 4;
  evening.begin();
  evening.at(1000).outcome(proto::PhaseBegan{2, "water bath", "", ""});
  evening.at(1100).outcome(proto::Condition{"boil lost", "measured", 370'000});
  evening.at(1399).outcome(proto::Condition{"water bath began", "measured", 0});
  evening.at(2000).outcome(proto::Condition{"water bath done", "measured", 0});
  const auto record = record_of(evening);
  EXPECT_EQ(limit(record, "acid in the vinegar").verdict, "broken");
  const auto& bath = limit(record, "water bath from the hard boil, in one piece");
  EXPECT_EQ(bath.verdict, "kept");
  EXPECT_THAT(bath.found, HasSubstr("10 min 1 s, begun again 1 time"));
  EXPECT_THAT(bath.limit, HasSubstr("10 min, the source's row at 640 m"));
  EXPECT_FALSE(bath.at_utc.empty());
}

TEST(SafetyRecord, SaysWhenAScaleWasCalibratedAndWithWhat) {
  Evening evening = shelf_evening();
  evening.start.devices[0].calibration =
      proto::ScaleCalibration{.utc_ms = kEveningUtcMs, .heaviest_ug = 1'000 * kGram, .loads = 5};
  evening.begin();
  EXPECT_THAT(record_of(evening).devices[0].calibration,
              HasSubstr("calibrated 2026-11-25 with 5 known loads up to 1000 g"));
}

// A place between 1 and 4 °C for three days.
Evening standing_evening(bool by_eye) {
  Evening evening;
  proto::PlannedOperation stand;
  stand.kind = "stand";
  stand.duration_ms = 3 * 86'400'000LL;
  stand.least_mk = 274'150;
  stand.most_mk = 277'150;
  stand.unmeasured_ms = 12 * 3'600'000LL;
  stand.by_eye = by_eye;
  evening.start.plan.operations = {stand};
  evening.begin().outcome(proto::PhaseBegan{0, "stand", "", "It stands."});
  return evening;
}

proto::Stood stood(const std::string& evidence, std::int64_t coldest_mk) {
  proto::Stood told;
  told.counted_ms = 3 * 86'400'000LL;
  told.longest_gap_ms = 3'600'000;
  told.coldest_mk = told.warmest_mk = coldest_mk;
  told.evidence = evidence;
  told.done = true;
  return told;
}

// While it is held outside for too long the row tells what is known so far, and until when.
TEST(SafetyRecord, APlaceThatWasOutsideForTooLongIsBroken) {
  Evening evening = standing_evening(false);
  auto told = stood("measured", 281'150);
  told.done = false;
  told.outside_ms = 19'200'000;
  evening.at(7200).outcome(told);
  const auto row = limit(record_of(evening), "temperature while it stands, 3 days");
  EXPECT_EQ(row.verdict, "broken");
  EXPECT_THAT(row.found, HasSubstr("5 h 20 min outside"));
  EXPECT_THAT(row.found, HasSubstr("until " + row.at_utc));
}

// Still in the drier.
proto::SafetyRecord drying_record(std::int64_t net_ug, const std::string& state, bool late) {
  Evening evening = drying(net_ug);
  if (late) {
    evening.outcome(proto::Deviation{"drying time", true, "not dry after 56 h", "told to freeze"});
  }
  return record_of(evening.end(state));
}

TEST(SafetyRecord, ALoadThatWasWeighedInIsMeasuredHoweverItGoesOn) {
  const auto mass = [](std::int64_t net_ug, const char* state) {
    return limit(drying_record(net_ug, state, false), "dried to its target");
  };
  EXPECT_EQ(mass(210 * kGram, "held").how, "measured");
  EXPECT_EQ(mass(210 * kGram, "held").verdict, "kept");
  EXPECT_EQ(mass(300 * kGram, "running").verdict, "not confirmed");
  EXPECT_EQ(mass(300 * kGram, "stopped").verdict, "broken");
}

TEST(SafetyRecord, WhatWasNotDryInItsLongestTimeHasBrokenIt) {
  const auto time = limit(drying_record(300 * kGram, "held", true), "drying time");
  EXPECT_EQ(time.verdict, "broken");
  EXPECT_EQ(time.found, "not dry after 56 h");
  EXPECT_EQ(time.how, "by the clock");
  EXPECT_EQ(limit(drying_record(300 * kGram, "held", false), "drying time").verdict,
            "not confirmed");
}

// As many digits as the report of the same batch has.
TEST(SafetyRecord, ShowsTheDigitsThatTheUncertaintyLeavesAMeaning) {
  Evening evening;
  evening.begin();
  proto::Weighing weighing;
  weighing.ingredient = "onion";
  weighing.net_ug = 401'600'000;
  weighing.standard_uncertainty_ug = 70'000;
  weighing.expanded_uncertainty_ug = 140'000;
  weighing.device = 0;
  evening.outcome(weighing);
  EXPECT_EQ(limit(record_of(evening), "onion").found, "401.6 g ± 0.14 g (95 %)");
}

constexpr const char* kStands = "temperature while it stands, 3 days";

TEST(SafetyRecord, WhereNothingMeasuresThePlaceItIsTheCooksWord) {
  Evening evening = standing_evening(true);
  EXPECT_EQ(limit(record_of(evening), kStands).how, "seen by the cook");
  evening.outcome(stood("seen by the cook", 0));
  EXPECT_EQ(limit(record_of(evening), kStands).verdict, "kept by the cook's word");
}

TEST(SafetyRecord, APlaceThatWasMeasuredAndSeenSaysBoth) {
  Evening measured = standing_evening(false);
  measured.outcome(stood("measured", 276'150));
  EXPECT_EQ(limit(record_of(measured), kStands).how, "measured");
  EXPECT_EQ(limit(record_of(measured), kStands).verdict, "kept");
  Evening both = standing_evening(false);
  both.outcome(proto::Condition{"place as it should be", "seen by the cook", 0});
  both.outcome(stood("measured", 276'150));
  EXPECT_EQ(limit(record_of(both), kStands).how, "measured, and seen by the cook");
}

TEST(SafetyRecord, AThermometerThatNeverSentAnythingHasNotMeasuredThePlace) {
  Evening evening = standing_evening(false);
  evening.outcome(proto::Condition{"place as it should be", "seen by the cook", 0});
  evening.outcome(stood("measured", 0));
  EXPECT_EQ(limit(record_of(evening), kStands).how, "seen by the cook");
  EXPECT_EQ(limit(record_of(evening), kStands).verdict, "kept by the cook's word");
}

}  // namespace
}  // namespace maslin::review
