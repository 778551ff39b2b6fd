// The screens of `maslin why` and of a calibration.
#include <gmock/gmock.h>

#include "client/show.hpp"

namespace maslin::client {
namespace {

using testing::HasSubstr;
using testing::Not;

proto::Why sugar(const std::string& verdict) {
  proto::Why why;
  why.batch = "2026-11-25-1";
  why.ingredient = "sugar";
  why.verdict = verdict;
  why.lower_g = 142.5;
  why.upper_g = 157.5;
  why.aim_g = 150;
  why.weighed_g = 156.5;
  why.standard_uncertainty_g = 0.721;
  why.expanded_uncertainty_g = 1.36;
  why.coverage_factor = 1.886;
  why.student_factor = 1.96;
  why.rule = "Quality, so simple.";
  why.probability_within = 0.9123;
  why.consumer_risk = verdict == "within" ? 0.0877 : 0;
  why.producer_risk = verdict == "over" ? 0.9123 : 0;
  why.components = {{"the scale's own error", "never calibrated", 0.577, 64},
                    {"how the scale repeats itself", "assumed", 0.141, 4}};
  why.story = {{60'000, "weighed 156.5 g", "poured"}, {60'000, verdict, "band 142.5 to 157.5 g"}};
  return why;
}

TEST(ShowWhy, SaysWhatWasFoundThenWhereItsUncertaintyComesFrom) {
  const std::string text = show(sugar("within"));
  EXPECT_THAT(text, HasSubstr("sugar: 156.5 g ± 1.36 g, aim 150 g, band 142.5 to 157.5 g: within"));
  EXPECT_THAT(text, HasSubstr("consumer's risk): 8.8 %"));
  EXPECT_THAT(text, HasSubstr("1.89 times the standard uncertainty 0.721 g"));
  EXPECT_LT(text.find("own error"), text.find("repeats itself"));
  EXPECT_THAT(text, HasSubstr("0:01:00  weighed 156.5 g: poured"));
}

TEST(ShowWhy, GivesTheDegreesOfFreedomAndTheFactorToThem) {
  proto::Why why = sugar("within");
  EXPECT_THAT(show(why), HasSubstr("degrees of freedom: unlimited"));
  EXPECT_THAT(show(why), HasSubstr("1.96, so ± 1.41 g by it"));
  why.effective_dof = 12;
  why.student_factor = 2.179;
  EXPECT_THAT(show(why), HasSubstr("degrees of freedom: 12;"));
}

TEST(ShowWhy, TellsTheRiskOfTheSideThatWasDecided) {
  EXPECT_THAT(show(sugar("over")), HasSubstr("(producer's risk): 91.2 %"));
  EXPECT_THAT(show(sugar("undecided")), HasSubstr("Nothing was decided by it"));
}

TEST(ShowWhy, OfWhatWasNotWeighedHasNoTable) {
  proto::Why why = sugar("undecided");
  why.weighed_g.reset();
  why.components.clear();
  EXPECT_THAT(show(why), HasSubstr("not weighed"));
  EXPECT_THAT(show(why), Not(HasSubstr("come from")));
}

TEST(ShowCalibration, ListsTheLoadsAndWhatToDoNext) {
  proto::CalibrationStatus status;
  status.state = "loaded";
  status.loads = {{500, 0.144, 501}};
  status.next = "Empty the pan: maslin calibrate bench --finish";
  const std::string text = show(status);
  EXPECT_THAT(text, HasSubstr("0.144 g"));
  EXPECT_THAT(text, HasSubstr("501 g"));
  EXPECT_THAT(text, HasSubstr("--finish"));
  status = {};
  status.state = "begun";
  EXPECT_THAT(show(status), HasSubstr("The empty pan is seen."));
}

}  // namespace
}  // namespace maslin::client
