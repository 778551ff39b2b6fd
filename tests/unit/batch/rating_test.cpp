// What follows from a rating: a jelly that stays soft can be made again, and may still set by
// itself.
#include <gmock/gmock.h>

#include "tests/unit/batch/evening.hpp"

namespace maslin::batch {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

// A whole evening with nothing but a clock and the cook's ok, and the advice after a rating.
std::vector<std::string> advice(const std::string& formula, const std::string& set, double days) {
  Evening evening(formula, false);
  evening.start.devices.clear();
  evening.begin();
  for (int i = 0; i < 100 && evening.state() != "complete"; ++i) {
    evening.wait(2);
    if (evening.refusal("ok").empty()) {
      evening.give(proto::Command{"ok", ""});
    } else {
      evening.hours(0.1);
    }
  }
  EXPECT_EQ(evening.state(), "complete");
  evening.hours(24 * days);
  evening.give(proto::Rating{set, "", "", ""});
  EXPECT_EQ(evening.all<proto::Rated>().size(), 1U);
  return evening.engine.status().advice;
}

TEST(Rating, ASoftJellyIsToldItsRemakeWithEitherPectin) {
  const auto told = advice("quayside-pepper-jelly", "runny", 20);
  EXPECT_THAT(told, Contains(HasSubstr("maslin start remake-with-powdered-pectin --parent test")));
  EXPECT_THAT(told, Contains(HasSubstr("maslin start remake-with-liquid-pectin --parent test")));
  EXPECT_THAT(told, Not(Contains(HasSubstr("may set yet"))));
}

TEST(Rating, BeforeTwoWeeksItMaySetYet) {
  EXPECT_THAT(advice("quayside-pepper-jelly", "soft", 1), Contains(HasSubstr("may set yet")));
}

TEST(Rating, AJamOfMuchSugarIsSomethingThatWasToSetToo) {
  EXPECT_THAT(advice("quayside-strawberry-jam", "soft", 20), Not(IsEmpty()));
}

TEST(Rating, NothingIsAdvisedWhereItSetOrWasNotTo) {
  EXPECT_THAT(advice("quayside-pepper-jelly", "good", 20), IsEmpty());
  EXPECT_THAT(advice("quayside-onion-relish", "runny", 20), IsEmpty());
}

}  // namespace
}  // namespace maslin::batch
