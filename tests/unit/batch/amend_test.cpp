// Facts that are put right later: what was recorded first stays, and weighings, verdicts, limits
// and jars are derived again beside it, also weeks after the batch.
#include <gmock/gmock.h>

#include <map>

#include "daemon/quantity/decimal.hpp"
#include "tests/unit/batch/evening.hpp"

namespace maslin::batch {
namespace {

using testing::AllOf;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;
using testing::SizeIs;

// The invented relish for the shelf, 0.8 g of vinegar at least for each g of vegetables, weighed as
// planned: 320 g onion and about 75 g pepper to about 360 g vinegar.
class Amending : public testing::Test {
 protected:
  Amending() : evening("quayside-onion-relish", false) {
    std::ifstream file(MASLIN_SOURCE_DIR "/plugins/kitchen/quayside-shelf-relish.toml");
    evening.start.formula_text.assign(std::istreambuf_iterator<char>(file), {});
    evening.start.facts.vinegar_pct = 5;
    evening.start.facts.lids = 9;
    evening.start.facts.canner_min = 30;
  }
  std::string phase() const { return evening.engine.status().phase; }
  void weigh(double onion_g = 320) {
    evening.begin();
    if (phase() == "canner") evening.say("ok");
    evening.put(400);
    evening.pour(onion_g);
    evening.say("ok");
    for (const char* name : {"sweet pepper", "cider vinegar", "sugar"}) {
      evening.pour(evening.aim_g(name));
    }
  }
  // From the last weighing to the end, three jars and a part-filled one; jar 3 given to somebody.
  void to_the_end() {
    while (phase() == "weigh") {
      evening.say("ok");
      evening.wait(2);
    }
    if (phase() == "wait") evening.say("ok");
    evening.say("ok");  // it boils
    evening.hours(11.0 / 60);
    ASSERT_EQ(phase(), "fill");
    evening.wait(2);
    evening.jars({"filled", 3, 1, {}, "", ""});
    filled_ms = evening.now_ms;
    if (phase() == "water bath") {
      evening.say("ok");
      evening.hours(25.0 / 60);
    }
    ASSERT_EQ(phase(), "cool");
    evening.hours(13);
    if (phase() == "seal check") {
      evening.wait(2);
      evening.jars({"sealed", 0, 0, {}, "", ""});
    }
    ASSERT_EQ(evening.state(), "complete");
  }
  void shelf_batch() {
    weigh();
    to_the_end();
    ASSERT_EQ(places()[1], "shelf");
    ASSERT_EQ(places()[4], "refrigerator");
  }

  static proto::Amendment told(const std::string& name, std::int64_t grams) {
    proto::Amendment amendment;
    amendment.what = "weighed";
    amendment.of = name;
    amendment.mass_ug = grams * 1'000'000;
    return amendment;
  }
  static proto::Amendment swapped(const std::string& one, const std::string& other) {
    proto::Amendment amendment;
    amendment.what = "swapped";
    amendment.of = one;
    amendment.with = other;
    return amendment;
  }
  static proto::Amendment vinegar(double percent) {
    proto::Amendment amendment;
    amendment.what = "vinegar";
    amendment.figure = percent;
    return amendment;
  }
  static proto::Amendment jars(std::int64_t count) {
    proto::Amendment amendment;
    amendment.what = "jars";
    amendment.count = count;
    return amendment;
  }
  void amend(const proto::Amendment& amendment) {
    ASSERT_EQ(refusal(amendment), "");
    evening.give(amendment);
  }
  std::string refusal(const proto::Amendment& amendment) const {
    const auto trouble = evening.engine.refuses(amendment);
    return trouble ? proto::line(*trouble) : "";
  }
  std::vector<std::string> advice() const { return evening.engine.status().advice; }
  std::map<std::int64_t, std::string> places() const {
    std::map<std::int64_t, std::string> where;
    for (const auto& one : evening.all<proto::JarsAre>()) {
      for (const auto jar : one.jars) where[jar] = one.where;
    }
    return where;
  }
  // What is to be done with each jar, by the newest word on it.
  std::string todo(std::int64_t jar) const {
    std::string text;
    for (const auto& one : evening.all<proto::JarsAre>()) {
      if (std::find(one.jars.begin(), one.jars.end(), jar) != one.jars.end()) text = one.todo;
    }
    return text;
  }
  std::vector<std::string> critical() const {
    std::vector<std::string> about;
    for (const auto& one : evening.all<proto::Deviation>()) {
      if (one.critical) about.push_back(one.about);
    }
    return about;
  }
  double nominal_g(const std::string& name) const {
    return static_cast<double>(evening.planned(name).nominal_ug) / 1e6;
  }

  Evening evening;
  std::int64_t filled_ms = 0;
};

TEST_F(Amending, AWeakerBottleIsNeverMadeUpForWithMoreOfIt) {
  weigh();
  ASSERT_EQ(evening.waits_for(), "table salt");
  amend(vinegar(4));
  evening.wait(2);
  const auto status = evening.engine.status();
  EXPECT_EQ(status.state, "held");
  EXPECT_THAT(status.hold_ends_when, HasSubstr("Never more of the weak one"));
  const auto refused = evening.engine.refuses(proto::Command{"ok", ""}, evening.now_ms);
  ASSERT_TRUE(refused.has_value());
  EXPECT_THAT(proto::line(*refused), HasSubstr("does not hold with this bottle"));
  for (const auto& cue : evening.all<proto::Cue>()) {
    EXPECT_THAT(cue.text, Not(HasSubstr("more cider vinegar")));
  }
  evening.say("stop");
  EXPECT_EQ(evening.engine.status().hold, "") << "nothing is held once it has ended";
}

TEST_F(Amending, AToldWeightStandsBesideTheFirstAndIsJudged) {
  shelf_batch();
  const std::int64_t first_ug = static_cast<std::int64_t>(evening.weighed_g("sugar") * 1e6);
  amend(told("sugar", 250));
  EXPECT_EQ(evening.weighed_g("sugar"), 250);
  EXPECT_EQ(evening.verdict("sugar"), "over");
  const auto amended = evening.all<proto::Amended>();
  ASSERT_THAT(amended, SizeIs(1));
  EXPECT_EQ(amended[0].was, quantity::grams(first_ug));
  EXPECT_EQ(amended[0].is, "250 g");
  EXPECT_TRUE(evening.all<proto::Weighing>().back().corrects);
  // Sugar is quality here: nothing is said of the jars.
  EXPECT_THAT(critical(), IsEmpty());
  EXPECT_THAT(advice(), Contains("For the jars nothing changes."));
}

TEST_F(Amending, LessVinegarThanWeighedBreaksTheLimitAndEveryJarIsToldWhatToDo) {
  shelf_batch();
  evening.jars({"now", 0, 0, {3}, "given", "the lighthouse keeper"});
  evening.hours(21 * 24);
  amend(told("cider vinegar", 200));
  EXPECT_THAT(critical(), Contains("acid per low-acid food"));
  EXPECT_THAT(todo(1), HasSubstr("discard it"));
  EXPECT_THAT(todo(2), HasSubstr("Do not taste"));
  EXPECT_THAT(todo(3), AllOf(HasSubstr("Tell who has it"), HasSubstr("discard it")));
  // It went into the refrigerator as soon as it was cool.
  EXPECT_THAT(todo(4), AllOf(HasSubstr("Not for the shelf"), Not(HasSubstr("discard"))));
  EXPECT_THAT(advice(), Contains(HasSubstr("Jars 1 and 2, shelf")));
  // The place of a jar is where it is; only the cook moves it.
  EXPECT_EQ(places()[1], "shelf");
  const auto trouble = evening.engine.refuses(proto::JarWord{"now", 0, 0, {4}, "shelf", ""});
  ASSERT_TRUE(trouble.has_value());
  EXPECT_THAT(trouble->what, HasSubstr("outside its formula"));
  // To put a jar that stood in the warm into the cold does not mend it.
  evening.jars({"now", 0, 0, {1}, "refrigerator", ""});
  EXPECT_THAT(todo(1), HasSubstr("discard it"));
}

TEST_F(Amending, WithinTwentyFourHoursOfFillingTheJarsGoIntoTheCold) {
  shelf_batch();
  ASSERT_LT(evening.now_ms - filled_ms, 24 * 3'600'000);
  amend(told("cider vinegar", 200));
  EXPECT_THAT(todo(1), HasSubstr("refrigerator or freezer within 24 hours"));
  evening.jars({"now", 0, 0, {1}, "refrigerator", ""});
  EXPECT_THAT(todo(1), AllOf(HasSubstr("keep it cold"), Not(HasSubstr("discard"))));
}

TEST_F(Amending, WhatIsToldNeverMakesABatchSaferThanTheScaleFoundIt) {
  shelf_batch();
  const double vinegar_g = evening.weighed_g("cider vinegar");
  const double onion_g = evening.weighed_g("onion");
  amend(told("cider vinegar", 500));
  EXPECT_EQ(evening.weighed_g("cider vinegar"), vinegar_g);
  EXPECT_THAT(evening.all<proto::Amended>().back().is, HasSubstr("of the scale"));
  amend(told("onion", 200));
  EXPECT_EQ(evening.weighed_g("onion"), onion_g);
  // Left out is less still, but more than nothing was weighed.
  proto::Amendment left_out = told("sweet pepper", 0);
  left_out.what = "left out";
  amend(left_out);
  EXPECT_GT(evening.weighed_g("sweet pepper"), 60);
}

TEST_F(Amending, AToldWeightIsMendedByAnotherUpToWhatTheScaleFound) {
  shelf_batch();
  const double vinegar_g = evening.weighed_g("cider vinegar");
  evening.hours(48);
  amend(told("cider vinegar", 20));  // a slip of the finger for 320
  ASSERT_THAT(todo(1), HasSubstr("discard"));
  amend(told("cider vinegar", static_cast<std::int64_t>(vinegar_g) + 100));
  EXPECT_EQ(evening.weighed_g("cider vinegar"), vinegar_g);
  EXPECT_EQ(todo(1), "");
}

TEST_F(Amending, TwoWeighingsThatChangePlacesAreTheScalesOwn) {
  shelf_batch();
  const double vinegar_g = evening.weighed_g("cider vinegar");
  const double sugar_g = evening.weighed_g("sugar");
  amend(swapped("sugar", "vinegar"));  // part of a name is enough where only one has it
  EXPECT_EQ(evening.weighed_g("cider vinegar"), sugar_g);
  EXPECT_EQ(evening.weighed_g("sugar"), vinegar_g);
  EXPECT_EQ(evening.verdict("cider vinegar"), "under");
  EXPECT_THAT(critical(), Contains("acid per low-acid food"));
  EXPECT_THAT(todo(1), HasSubstr("refrigerator or freezer"));
  // And back: both were measured, so the batch is again what it was.
  amend(swapped("sugar", "cider vinegar"));
  EXPECT_EQ(evening.weighed_g("cider vinegar"), vinegar_g);
  EXPECT_EQ(evening.verdict("cider vinegar"), "within");
  EXPECT_EQ(todo(1), "");
  EXPECT_FALSE(evening.engine.refuses(proto::JarWord{"now", 0, 0, {1}, "shelf", ""}).has_value());
}

// USDA Complete Guide to Home Canning: vinegar of 5 percent acidity. 358.5 g of 4 % hold the acid
// of 286.8 g, less than 0.8 times 320 + 74.5 g.
TEST_F(Amending, AWeakBottleCountsAsTheAcidInIt) {
  shelf_batch();
  amend(vinegar(4));
  EXPECT_THAT(critical(), testing::UnorderedElementsAre("strength of the cider vinegar",
                                                        "acid per low-acid food"));
  EXPECT_THAT(todo(1), HasSubstr("Not for the shelf"));
  EXPECT_THAT(advice().front(), HasSubstr("was 5 %, is 4 %"));
  amend(vinegar(5));
  EXPECT_EQ(todo(1), "");
}

TEST_F(Amending, AWeakBottleTakesABatchFromTheShelfWhereItsRatioStillHolds) {
  shelf_batch();
  amend(vinegar(4.9));
  EXPECT_THAT(critical(), ElementsAre("strength of the cider vinegar"));
  EXPECT_THAT(todo(1), HasSubstr("Not for the shelf"));
}

TEST_F(Amending, AStrongBottleGivesNothingAway) {
  shelf_batch();
  amend(told("cider vinegar", 300));
  ASSERT_THAT(todo(1), HasSubstr("Not for the shelf"));
  amend(vinegar(10));
  EXPECT_THAT(todo(1), HasSubstr("Not for the shelf"));
}

TEST_F(Amending, WhatWasTakenByMeasureIsWorseWhereTheCookSaysSo) {
  shelf_batch();
  ASSERT_TRUE(evening.by_measure("table salt"));
  amend(told("table salt", 60));
  EXPECT_EQ(evening.weighed_g("table salt"), 60);
  EXPECT_EQ(evening.verdict("table salt"), "over");
}

TEST_F(Amending, TheLeadSizesTheBatchAnewAndAllElseIsJudgedByIt) {
  shelf_batch();
  amend(told("onion", 420));
  EXPECT_NEAR(evening.all<proto::PlanFinal>().back().plan.factor, 420.0 / 320.0, 0.01);
  EXPECT_EQ(evening.verdict("onion"), "within");
  EXPECT_EQ(evening.verdict("cider vinegar"), "under");
  EXPECT_THAT(critical(), Contains("acid per low-acid food"));
}

TEST_F(Amending, JarsThatWereNeverThereKeepTheirNumbers) {
  shelf_batch();
  amend(jars(2));
  EXPECT_EQ(places()[3], "not there");
  EXPECT_EQ(places()[4], "refrigerator");  // the part-filled one bears its number still
  EXPECT_TRUE(evening.engine.refuses(proto::JarWord{"now", 0, 0, {3}, "opened", ""}).has_value());
  evening.jars({"now", 0, 0, {}, "opened", ""});  // all that are there
  EXPECT_EQ(places()[3], "not there");
  EXPECT_THAT(refusal(jars(2)), HasSubstr("by the record"));
}

TEST_F(Amending, AJarThatIsCountedLaterIsNotTakenForSealed) {
  shelf_batch();
  amend(jars(4));
  EXPECT_EQ(places()[5], "not sealed");
  EXPECT_THAT(todo(5), HasSubstr("Nobody has told its seal"));
}

TEST_F(Amending, ALotAndAVolumeAreNotedBesideWhatWasToldFirst) {
  evening.start.facts.lots = {{"cider vinegar", "L1"}};
  shelf_batch();
  proto::Amendment lot;
  lot.what = "lot";
  lot.of = "cider vinegar";
  lot.with = "L2";
  amend(lot);
  EXPECT_EQ(evening.all<proto::Amended>().back().was, "L1");
  EXPECT_EQ(evening.all<proto::Amended>().back().is, "L2");
  proto::Amendment volume;
  volume.what = "volume";
  volume.figure = 300;
  amend(volume);
  EXPECT_EQ(evening.all<proto::Amended>().back().is, "300 mL");
  EXPECT_THAT(advice(), Contains(HasSubstr("does not fill 3 whole jars")));
}

TEST_F(Amending, DuringTheWeighingABrokenLimitIsMendedLikeAnyOther) {
  evening.begin();
  if (phase() == "canner") evening.say("ok");
  evening.put(400);
  evening.pour(320);
  evening.say("ok");
  evening.pour(evening.aim_g("sweet pepper"));
  evening.pour(evening.aim_g("cider vinegar"));
  ASSERT_EQ(evening.waits_for(), "sugar");
  EXPECT_THAT(refusal(told("sugar", 150)), HasSubstr("not weighed yet"));
  amend(told("cider vinegar", 200));
  EXPECT_EQ(evening.state(), "held");
  EXPECT_EQ(evening.waits_for(), "cider vinegar");
  EXPECT_EQ(evening.cues("amended"), 1);
  evening.pour(180);
  EXPECT_EQ(evening.state(), "running");
  EXPECT_EQ(evening.waits_for(), "sugar");
}

// What was accepted was so much too little; more than that is another question.
TEST_F(Amending, AnAcceptedLimitThatGetsWorseIsAskedAboutAgain) {
  evening.begin();
  if (phase() == "canner") evening.say("ok");
  evening.put(400);
  evening.pour(320);
  evening.say("ok");
  evening.pour(evening.aim_g("sweet pepper"));
  evening.pour(evening.aim_g("cider vinegar"));
  amend(told("cider vinegar", 290));
  ASSERT_EQ(evening.state(), "held");
  evening.say("accept", "meant for the refrigerator");
  ASSERT_EQ(evening.state(), "running");
  ASSERT_EQ(evening.waits_for(), "sugar");
  amend(told("sweet pepper", 74));  // better or worse by less than anybody can tell
  EXPECT_EQ(evening.state(), "running");
  const auto before = critical().size();
  amend(told("cider vinegar", 200));
  EXPECT_EQ(evening.state(), "held");
  EXPECT_EQ(evening.waits_for(), "cider vinegar");
  EXPECT_GT(critical().size(), before) << "the record says by how much it is short now";
}

// The same once it is in the pan, where nothing is asked any more: it is said and recorded.
TEST_F(Amending, ALimitThatIsLeftFurtherIsSaidAgain) {
  shelf_batch();
  amend(told("cider vinegar", 280));
  amend(told("cider vinegar", 200));
  const auto said = evening.all<proto::Deviation>();
  const auto ratios = std::count_if(said.begin(), said.end(), [](const auto& one) {
    return one.about == "acid per low-acid food";
  });
  EXPECT_EQ(ratios, 2);
  EXPECT_THAT(advice(), Contains(HasSubstr("A critical limit is left, acid per low-acid food")));
}

TEST_F(Amending, ABatchOutsideItsFormulaDoesNotReachTheShelf) {
  weigh();
  while (phase() == "weigh") evening.say("ok"), evening.wait(2);
  if (phase() == "wait") evening.say("ok");
  evening.say("ok");
  amend(told("cider vinegar", 200));  // it is in the pan already
  evening.hours(11.0 / 60);
  evening.wait(2);
  evening.jars({"filled", 3, 0, {}, "", ""});
  evening.say("ok");
  evening.hours(25.0 / 60);
  evening.hours(13);
  evening.wait(2);
  evening.jars({"sealed", 0, 0, {}, "", ""});
  EXPECT_EQ(places()[1], "refrigerator");
}

// No safe claim beyond what it was.
TEST_F(Amending, ARefrigeratorBatchIsListedAndPromisesNothing) {
  evening.start.request.keeping = "refrigerator";
  weigh();
  to_the_end();
  amend(told("cider vinegar", 200));
  EXPECT_THAT(todo(1), AllOf(HasSubstr("Keep it in the refrigerator"),
                             HasSubstr("nothing safe can be said")));
}

TEST_F(Amending, AJarThatWentIntoAnotherBatchIsListedForWhatWasMadeOfIt) {
  shelf_batch();
  evening.jars({"now", 0, 0, {4}, "remade", ""});
  evening.hours(48);
  evening.jars({"now", 0, 0, {2}, "remade", ""});
  EXPECT_TRUE(evening.engine.refuses(proto::JarWord{"now", 0, 0, {2}, "shelf", ""}).has_value());
  amend(vinegar(4));
  EXPECT_THAT(todo(2), AllOf(HasSubstr("For what was made of it"), HasSubstr("discard")));
  EXPECT_THAT(todo(4), AllOf(HasSubstr("For what was made of it"), HasSubstr("keep it cold")));
}

TEST_F(Amending, WhatCannotBeAmendedIsNamed) {
  shelf_batch();
  EXPECT_THAT(refusal(told("plums", 100)), HasSubstr("its ingredients are onion"));
  EXPECT_THAT(refusal(told("sugar", 0)), HasSubstr("--left-out"));
  EXPECT_THAT(refusal(swapped("sugar", "sugar")), HasSubstr("one ingredient"));
  EXPECT_THAT(refusal(swapped("sugar", "table salt")), HasSubstr("by measure"));
  EXPECT_THAT(refusal(vinegar(0)), HasSubstr("0.5 to 10 %"));
  EXPECT_THAT(refusal(vinegar(50)), HasSubstr("burns skin and eyes"));
  EXPECT_THAT(refusal(jars(501)), HasSubstr("0 to 500"));
  proto::Amendment odd;
  odd.what = "weather";
  EXPECT_THAT(refusal(odd), HasSubstr("'weather'"));
  odd.what = "left out";
  odd.of = "onion";
  EXPECT_THAT(refusal(odd), HasSubstr("sized by it"));
  odd.what = "lot";
  EXPECT_THAT(refusal(odd), HasSubstr("a lot has a name"));
  const std::size_t before = evening.outcomes.size();
  evening.give(odd);  // a refused one changes nothing
  EXPECT_EQ(evening.outcomes.size(), before);
}

}  // namespace
}  // namespace maslin::batch
