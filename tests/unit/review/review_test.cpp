// The variance over batches, the diary and the table.
#include <gmock/gmock.h>

#include "daemon/quantity/times.hpp"
#include "evening.hpp"

namespace maslin::review {
namespace {

using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;

proto::Report batch_of(std::int64_t sugar_g, const std::string& verdict) {
  return Evening().begin().weighed("sugar", sugar_g, verdict).end("complete").report();
}

// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.6: standard deviation with n - 1. The
// figures are worked out by hand from its formula: deviations -4, 2, 8 -> mean 2, squares 36 + 0 +
// 36, s = 6.
TEST(Review, GivesCountMeanSpreadWorstAndShareWithin) {
  const std::vector<proto::Report> reports{batch_of(196, "within"), batch_of(202, "within"),
                                           batch_of(208, "over")};
  const auto review = review::review(reports, "Lantern relish");
  EXPECT_EQ(review.batches, 3);
  ASSERT_EQ(review.rows.size(), 1U);
  const auto& sugar = review.rows[0];
  EXPECT_EQ(sugar.ingredient, "sugar");
  EXPECT_EQ(sugar.count, 3);
  EXPECT_DOUBLE_EQ(sugar.mean_deviation_g, 2);
  EXPECT_DOUBLE_EQ(sugar.mean_deviation_pct, 1);
  EXPECT_DOUBLE_EQ(sugar.spread_g, 6);
  EXPECT_DOUBLE_EQ(sugar.worst_g, 8);
  EXPECT_DOUBLE_EQ(sugar.share_within, 2.0 / 3.0);
}

proto::Report rated(const std::string& set, std::int64_t sugar_g, std::int64_t boiled_min) {
  Evening evening;
  evening.begin().weighed("sugar", sugar_g, "within");
  evening.at(600).outcome(proto::Condition{"boil reached", "measured", 0});
  evening.at(600 + boiled_min * 60).outcome(proto::Condition{"dwell done", "measured", 0});
  evening.end("complete");
  evening.outcome(proto::Rated{{"soft", "", "", ""}, 86'400'000});  // a day later
  return evening.outcome(proto::Rated{{set, "right", "", ""}, 14 * 86'400'000LL}).report();
}

TEST(Review, TellsHowTheBatchesTurnedOutByTheNewestRating) {
  const std::vector<proto::Report> reports{rated("good", 200, 1), rated("soft", 200, 1),
                                           batch_of(200, "within")};
  const auto review = review::review(reports, "");
  ASSERT_EQ(review.outcomes.size(), 3U);
  EXPECT_EQ(review.outcomes[0].how, "soft");
  EXPECT_EQ(review.outcomes[0].count, 1);
  EXPECT_EQ(review.outcomes[1].how, "good");
  EXPECT_EQ(review.outcomes[2].what, "heat");
  EXPECT_EQ(review.outcomes[2].count, 2);
}

// Mean 5 min of 4 and 6 against 1.5 of 1 and 2.
TEST(Review, NamesTheFiguresInWhichAllSoftOnesDifferFromAllGoodOnes) {
  const std::vector<proto::Report> reports{rated("good", 200, 1), rated("good", 204, 2),
                                           rated("soft", 202, 4), rated("soft", 198, 6)};
  const auto review = review::review(reports, "Lantern relish");
  EXPECT_THAT(review.went_with,
              ElementsAre("time at the boil: set soft, 2 batches, 5 min (4 to 6); set good, 2 "
                          "batches, 1.5 min (1 to 2)."));
}

TEST(Review, SaysWhereNothingStandsApartAndIsSilentAboutFewBatches) {
  const std::vector<proto::Report> alike{rated("good", 200, 1), rated("good", 204, 3),
                                         rated("soft", 202, 2)};
  EXPECT_THAT(review::review(alike, "Lantern relish").went_with,
              ElementsAre(HasSubstr("No figure stands apart between set soft, 1 batch")));
  EXPECT_THAT(review::review(alike, "").went_with, testing::IsEmpty());  // of several formulas
  const std::vector<proto::Report> few{rated("good", 200, 1), rated("soft", 210, 9)};
  EXPECT_THAT(review::review(few, "Lantern relish").went_with, testing::IsEmpty());
}

TEST(Review, KeepsTheSignOfTheWorstAndHasNoSpreadForOneBatch) {
  const std::vector<proto::Report> reports{batch_of(190, "within")};
  const auto review = review::review(reports, "");
  EXPECT_DOUBLE_EQ(review.rows[0].worst_g, -10);
  EXPECT_DOUBLE_EQ(review.rows[0].spread_g, 0);
}

TEST(Review, LeavesOtherFormulasOut) {
  const std::vector<proto::Report> reports{batch_of(190, "within")};
  EXPECT_EQ(review::review(reports, "Something else").batches, 0);
}

TEST(Diary, HeadsWithTheClockOfTheKitchenWhereThatIsNotUtc) {
  Evening evening;
  evening.start.local_less_ms = kEveningUtcMs + 3'600'000 - 50'000;
  evening.begin();
  EXPECT_EQ(diary(evening.entries)[0],
            "Started 2026-11-25T12:00:00Z, 2026-11-25T13:00:00 by the clock of the kitchen");
}

TEST(Diary, TellsTheEveningInItsOrderWithTheTimeSinceTheStart) {
  Evening evening;
  evening.begin().at(192).weighed("sugar", 222, "over");
  evening.outcome(proto::Cue{"over", 3, "22 g too much sugar.", "sugar", 0});
  evening.at(4000).outcome(proto::Condition{"boil reached", "measured", 374'650});
  evening.input(proto::Command{"note", "smells good"}).outcome(proto::Noted{"smells good"});
  evening.outcome(proto::Cue{"weigh", 2, "Now the salt.", "salt", 0});
  const auto lines = diary(evening.entries);
  EXPECT_EQ(lines[0], "Started 2026-11-25T12:00:00Z");
  EXPECT_THAT(lines, Contains("0:03:12  sugar weighed: 222 g ± 1 g, poured"));
  EXPECT_THAT(lines, Contains("0:03:12  sugar over, band 190 to 210 g"));
  EXPECT_THAT(lines, Contains("0:03:12  Said: 22 g too much sugar."));
  EXPECT_THAT(lines, Contains("1:06:40  it boiled, measured, 101.5 °C"));
  EXPECT_EQ(std::count_if(lines.begin(), lines.end(),
                          [](const auto& line) { return line.ends_with("smells good"); }),
            1);
  EXPECT_THAT(lines, Not(Contains(HasSubstr("Now the salt"))));
}

TEST(Table, HasUnitsInTheHeaderAndEveryValueExactly) {
  Evening evening;
  evening.begin().at(1).pan_shows(99.7);
  proto::Reading ounces;
  ounces.number = 2;
  ounces.at_ms = 51'050;
  ounces.digits = 125;
  ounces.exponent = -1;
  ounces.unit = proto::Unit::oz;
  ounces.state = proto::state::moving;
  evening.readings.push_back(ounces);
  ounces.number = 3;
  ounces.state = proto::state::over | proto::state::moving;
  evening.readings.push_back(ounces);
  // 12.5 oz x 28.349523125 g (NIST Handbook 44, appendix C) = 354.3690390625 g
  EXPECT_THAT(
      table(evening.entries, evening.readings),
      ElementsAre("number,time_s,device,mass_g,temperature_degC,pressure_Pa,count,state,"
                  "digits_as_sent,exponent_as_sent,unit_as_sent",
                  "1,1,pan,,99.7,,,,997,-1,degC", "2,1.05,bench,354.369039,,,,moving,125,-1,oz",
                  "3,1.05,bench,,,,,moving; over,,,"));
}

TEST(Times, AreTheCalendarsOwn) {
  EXPECT_EQ(quantity::utc_text(0), "1970-01-01T00:00:00Z");
  EXPECT_EQ(quantity::utc_text(951'782'399'000), "2000-02-28T23:59:59Z");
  EXPECT_EQ(quantity::utc_text(951'782'400'000),
            "2000-02-29T00:00:00Z");  // as `date -u -d @951782400`
  EXPECT_EQ(quantity::utc_text(1'798'761'599'000), "2026-12-31T23:59:59Z");
  EXPECT_EQ(quantity::clock_of(3'723'999), "1:02:03");
  EXPECT_EQ(quantity::span_of_time(-7000), "-7 s");
  EXPECT_EQ(quantity::span_of_time(0), "0 s");
  EXPECT_EQ(quantity::span_of_time(420), "0.4 s");
  EXPECT_EQ(quantity::span_of_time(3'900'000), "1 h 5 min");
}

}  // namespace
}  // namespace maslin::review
