// Report and diary of a batch whose facts were put right later.
#include <gmock/gmock.h>

#include "evening.hpp"

namespace maslin::review {
namespace {

using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::SizeIs;

proto::Amended amended(const std::string& what, const std::string& of, const std::string& was,
                       const std::string& is) {
  proto::Amended out;
  out.amendment.what = what;
  out.amendment.of = of;
  out.was = was;
  out.is = is;
  return out;
}
Evening& told(Evening& evening, const std::string& name, std::int64_t net_g,
              const std::string& verdict) {
  evening.weighed(name, net_g, verdict);
  // weighed() adds the weighing and its verdict; the weighing is an amended one.
  auto& entry = evening.entries[evening.entries.size() - 2];
  auto& weighing = std::get<proto::Weighing>(std::get<proto::Outcome>(entry.body));
  weighing.how = "amended";
  weighing.corrects = true;
  return evening;
}

class AmendedReport : public testing::Test {
 protected:
  AmendedReport() {
    evening.start.plan.ingredients[0].counts_as = "acid";
    evening.begin().at(600).all_within().end("complete").at(86'400 * 20);
  }
  Evening evening;
};

TEST_F(AmendedReport, TheFirstEntryStandsBesideWhatIsTrue) {
  evening.outcome(amended("weighed", "sugar", "199 g", "250 g"));
  told(evening, "sugar", 250, "over");
  const auto report = evening.report();
  const auto& sugar = report.ingredients[2];
  EXPECT_EQ(sugar.weighed_g, 250);
  EXPECT_EQ(sugar.verdict, "over");
  EXPECT_EQ(sugar.how, "told by the cook");
  EXPECT_FALSE(sugar.expanded_uncertainty_g) << "nobody knows how far off a word is";
  EXPECT_EQ(sugar.amended, "was 199 g");
  EXPECT_EQ(report.ingredients[0].amended, "");
  ASSERT_THAT(report.amendments, SizeIs(1));
  EXPECT_EQ(report.amendments[0].what, "sugar");
  EXPECT_EQ(report.amendments[0].detail, "was 199 g, is 250 g");
  EXPECT_EQ(report.amendments[0].from_ms, 86'400'000 * 20LL);
}

TEST_F(AmendedReport, TheFirstLineFollowsTheAmendedFacts) {
  EXPECT_EQ(evening.report().may_be_called, "For the shelf, as its source says.");
  evening.outcome(amended("weighed", "vinegar", "241 g", "200 g"));
  told(evening, "vinegar", 200, "under");
  const auto report = evening.report();
  EXPECT_THAT(report.may_be_called, HasSubstr("Not for the shelf"));
  EXPECT_EQ(report.ratios[0].verdict, "broken");
}

// 241 g of 4 % hold the acid of 192.8 g: 0.4796 per gram of onion, below 0.55.
TEST_F(AmendedReport, AWeakBottleCountsInTheRatioAsTheAcidInIt) {
  auto weak = amended("vinegar", "vinegar", "5 %", "4 %");
  weak.amendment.figure = 4;
  evening.outcome(weak);
  const auto report = evening.report();
  ASSERT_TRUE(report.ratios[0].achieved.has_value());
  EXPECT_NEAR(*report.ratios[0].achieved, 241 * 0.8 / 402, 1e-6);
  EXPECT_EQ(report.ratios[0].verdict, "broken");
  EXPECT_THAT(report.may_be_called, HasSubstr("the vinegar had 4 % acid, not 5 %"));
  EXPECT_EQ(report.ingredients[0].weighed_g, 241);  // its mass is what it was
}

TEST_F(AmendedReport, AStrongBottleCountsForNoMore) {
  auto strong = amended("vinegar", "vinegar", "5 %", "6 %");
  strong.amendment.figure = 6;
  evening.outcome(strong);
  EXPECT_NEAR(*evening.report().ratios[0].achieved, 241.0 / 402, 1e-6);
  EXPECT_EQ(evening.report().may_be_called, "For the shelf, as its source says.");
}

TEST_F(AmendedReport, TheDiaryTellsBothAndWhy) {
  auto sugar = amended("weighed", "sugar", "199 g", "250 g");
  sugar.amendment.text = "a spoonful more from the bag";
  evening.outcome(sugar);
  EXPECT_THAT(diary(evening.entries),
              Contains(HasSubstr("Amended, sugar: was 199 g, is 250 g; a spoonful more")));
}

TEST_F(AmendedReport, TheJarsStandInItWithoutNamesAndWithWhatLasts) {
  Evening jars;
  jars.begin().at(0).outcome(proto::Filled{3, 0, 3, "as expected"});
  jars.at(50'000).outcome(proto::JarsAre{{1, 2, 3}, "shelf", "sealed", "Wash and label."});
  jars.input(proto::JarWord{"now", 0, 0, {2}, "given", "the lighthouse keeper"});
  jars.outcome(proto::JarsAre{{2}, "given", "by the cook", ""});
  jars.outcome(proto::JarsAre{{3}, "not there", "amended: 2 were filled", ""});
  jars.outcome(proto::JarsAre{{1}, "shelf", "outside the formula", "Discard it.", true});
  const auto report = jars.report();
  ASSERT_THAT(report.jars, SizeIs(2));
  EXPECT_THAT(report.jars[0].jars, ElementsAre(1));
  EXPECT_EQ(report.jars[0].todo, "Discard it.");
  EXPECT_EQ(report.jars[1].where, "given");
  EXPECT_EQ(report.jars[1].whom, "");
  EXPECT_EQ(report.jars[1].todo, "");
}

}  // namespace
}  // namespace maslin::review
