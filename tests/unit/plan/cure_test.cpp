// A cure as a whole: what of the curing salt is salt, and what would make a refused one possible.
#include <gmock/gmock.h>

#include "daemon/plan/plan.hpp"
#include "daemon/plan/ratios.hpp"
#include "tests/unit/plan/kitchen.hpp"

namespace maslin::plan {
namespace {

using testing::AllOf;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;

constexpr std::string_view kLoin = R"(name = "Pier loin"
status = "own"
keeping = "refrigerator"
largest_multiple = 5
[[ingredient]]
name = "loin"
amount = "1 kg"
counts_as = "meat"
lead = true
band = "10 %"
[[ingredient]]
name = "table salt"
amount = "22.5 g"
counts_as = "salt"
band = "6 %"
[[ingredient]]
name = "cure"
amount = "2.5 g"
counts_as = "curing salt"
nitrite = "6.25 %"
nitrite_limit = "home cure"
band = "10 %"
[[ratio]]
of = "salt"
per = "meat"
least = "2 %"
[[ratio]]
of = "salt"
per = "meat"
most = "2.8 %"
[[operation]]
kind = "weigh"
[[operation]]
kind = "stand"
time = "14 days"
most = "4 °C"
cold_chain = true
)";

Equipment cure_kitchen(std::vector<proto::LeasedDevice> scales) {
  auto there = kitchen(std::move(scales));
  there.facts.nitrite_pct = 6.25;
  return there;
}

std::string refusal(const proto::Results<proto::Plan>& plan) {
  std::string all;
  if (plan) return "none";
  for (const auto& one : plan.error()) all += one.what + ": " + one.todo + "\n";
  return all;
}

TEST(Cure, TheSaltInTheCuringSaltCountsToTheSaltOfTheMeat) {
  const auto plan = make(formula_of(kLoin), by_factor(2), cure_kitchen({bench(), fine()})).value();
  const auto& least = plan.ratios.front();
  EXPECT_THAT(least.of_names, ElementsAre("table salt", "cure"));
  EXPECT_THAT(least.of_ppm, ElementsAre(1'000'000, 937'500));
  EXPECT_THAT(plan.notes, Contains(AllOf(HasSubstr("93.75 % salt"), HasSubstr("4.69 g"))));
  // 37.5 g alone would be 1.875 %; with 4.6875 g of the mix it is 2.1 %.
  const std::vector<WeighedMass> masses = {{"loin", 2000 * kGram, 100'000},
                                           {"table salt", 37'500'000, 10'000},
                                           {"cure", 5 * kGram, 10'000}};
  EXPECT_EQ(check_ratio(least, masses, 0.001).state, RatioState::satisfied);
  EXPECT_EQ(check_ratio(least, masses, 0.001).margin_ug, 2'187'500);
  // And counts against the greatest share.
  const std::vector<WeighedMass> salty = {{"loin", 2000 * kGram, 100'000},
                                          {"table salt", 52 * kGram, 10'000},
                                          {"cure", 5 * kGram, 10'000}};
  EXPECT_EQ(check_ratio(plan.ratios[1], salty, 0.001).state, RatioState::broken);
}

TEST(Cure, ALimitThatIsOnlyKeptWithoutTheMixIsRefused) {
  const auto text = changed(std::string(kLoin), "most = \"2.8 %\"", "most = \"2.4 %\"");
  EXPECT_THAT(refusal(make(formula_of(text), by_factor(2), cure_kitchen({bench(), fine()}))),
              HasSubstr("no room for the salt per meat"));
}

TEST(Cure, ARefusalSaysHowLargeABatchOrHowFineAScaleWouldDo) {
  const auto why = refusal(make(formula_of(kLoin), by_factor(1), cure_kitchen({bench(), fine()})));
  EXPECT_THAT(why, HasSubstr("make a batch of at least"));
  EXPECT_THAT(why, HasSubstr("of loin, or use a scale with steps of"));
  EXPECT_THAT(why, Not(HasSubstr("widen")));
}

TEST(Cure, ARefusalNamesTheScaleThatHasNoRole) {
  auto kitchen = cure_kitchen({bench()});
  EXPECT_THAT(refusal(make(formula_of(kLoin), by_factor(1), kitchen)),
              HasSubstr("or less: maslin assign fine ID"));
  auto small = fine().description;
  small.id = "hid:small";
  small.interval_ug = 10'000;
  kitchen.idle_scales = {small};
  EXPECT_THAT(refusal(make(formula_of(kLoin), by_factor(1), kitchen)),
              HasSubstr("which has no role: maslin assign fine hid:small"));
}

// The meat that is there is the meat that is cured: no limit asks for more or less of it.
TEST(Cure, TheMeatAtHandIsAimedAtAsItIs) {
  proto::PlanRequest request;
  request.have = {"loin=2100 g"};
  const auto plan = make(formula_of(kLoin), request, cure_kitchen({bench(), fine()})).value();
  EXPECT_EQ(of(plan, "loin").aim_ug, 2100 * kGram);
  EXPECT_EQ(of(plan, "loin").reason, "");
}

TEST(Cure, ASmallVesselStandsOnASmallScale) {
  const auto plan = make(formula_of(kLoin), by_factor(2), cure_kitchen({bench(), fine()})).value();
  EXPECT_THAT(plan.notes, Not(Contains(HasSubstr("its vessel may be over"))));
}

TEST(Ferment, ThePhOfItsEndHoldsForWhatComesOfIt) {
  auto text = changed(std::string(kLoin), "\"meat\"\nlead", "\"low-acid food\"\nlead");
  text = text.substr(0, text.find("[[ingredient]]\nname = \"cure\""));
  text +=
      "[[operation]]\nkind = \"weigh\"\n[[operation]]\nkind = \"stand\"\ntime = \"9 days\"\n"
      "end_ph = 4.2\n";
  const auto plan = make(formula_of(text), by_factor(1), kitchen({bench(), fine()})).value();
  EXPECT_EQ(plan.operations.back().end_ph, 4.2);
  EXPECT_EQ(plan.most_ph, 4.2);
}

}  // namespace
}  // namespace maslin::plan
