// How a pan's account follows the cook: vessels, pours, lifts, new zeros.
#include "daemon/weighing/pan.hpp"

#include <gtest/gtest.h>

#include "bench_scale.hpp"

namespace maslin::weighing {
namespace {

class PanTest : public ::testing::Test {
 protected:
  void SetUp() override {
    scale.wait(3);
    scale.pan.begin_ingredient(250'000'000);
  }
  BenchScale scale;
};

TEST_F(PanTest, AVesselOnTheEmptyPanIsTakenAsTare) {
  scale.put(412.6);
  EXPECT_EQ(scale.count(&PanChange::vessel_on), 1);
  EXPECT_NEAR(scale.net_g(), 0, 1);
  EXPECT_EQ(scale.pan.how(), How::nothing_yet);
}

TEST_F(PanTest, APourIsItsNet) {
  scale.put(412.6);
  scale.pour(239, 20);
  EXPECT_NEAR(scale.net_g(), 239, 1);
  EXPECT_EQ(scale.pan.how(), How::poured);
  EXPECT_TRUE(scale.pan.detector().quiet());
}

TEST_F(PanTest, ScoopsWithRestsAddUp) {
  scale.put(412.6);
  for (int i = 0; i < 4; ++i) scale.pour(60, 40);
  EXPECT_NEAR(scale.net_g(), 240, 1);
  EXPECT_EQ(scale.pan.rests(), 4);
}

TEST_F(PanTest, APinchTooSmallForADepartureIsStillSeen) {
  scale.put(412.6);
  scale.pour(2.4, 5);
  EXPECT_NEAR(scale.net_g(), 2, 0.6);
  EXPECT_EQ(scale.pan.how(), How::poured);
}

TEST_F(PanTest, LiftingTheVesselAndBringingItBackChangesNothing) {
  scale.put(412.6);
  scale.pour(239, 20);
  scale.lift();
  EXPECT_EQ(scale.count(&PanChange::lifted), 1);
  EXPECT_EQ(scale.count(&PanChange::back), 1);
  EXPECT_NEAR(scale.net_g(), 239, 1);
}

TEST_F(PanTest, WhileTheVesselIsAwayTheNetStands) {
  scale.put(412.6);
  scale.pour(239, 20);
  scale.empty();
  EXPECT_TRUE(scale.pan.away());
  EXPECT_NEAR(scale.net_g(), 239, 1);
}

TEST_F(PanTest, TakingSomeOutLessensTheNet) {
  scale.put(412.6);
  scale.pour(280, 20);
  scale.take_out(41);
  EXPECT_NEAR(scale.net_g(), 239, 1);
}

TEST_F(PanTest, ABottleThatComesBackLighterHasGivenTheDifference) {
  scale.put(950);
  scale.lift(8, -239);
  EXPECT_NEAR(scale.net_g(), 239, 1);
  EXPECT_EQ(scale.pan.how(), How::from_vessel);
}

TEST_F(PanTest, ABowlFilledElsewhereHasTakenTheDifference) {
  scale.put(412.6);
  scale.lift(8, 245);
  EXPECT_NEAR(scale.net_g(), 245, 1);
  EXPECT_EQ(scale.pan.how(), How::filled_off_scale);
}

TEST_F(PanTest, AnotherVesselIsANewTareAndNoFilling) {
  scale.put(120);
  scale.lift(8, 800);  // planned are 250 g: eight hundred more is another vessel
  EXPECT_EQ(scale.count(&PanChange::vessel_on), 2);
  EXPECT_NEAR(scale.net_g(), 0, 1);
}

TEST_F(PanTest, TheNextIngredientInTheSameVesselBeginsAtZero) {
  scale.put(412.6);
  scale.pour(239, 20);
  scale.pan.begin_ingredient(150'000'000);
  EXPECT_TRUE(scale.pan.mixed());
  scale.pour(150, 20);
  EXPECT_NEAR(scale.net_g(), 150, 1);
}

TEST_F(PanTest, AVesselEmptiedBetweenTwoIngredientsIsANewTare) {
  scale.put(412.6);
  scale.pour(239, 20);
  scale.pan.begin_ingredient(150'000'000);
  scale.lift(10, -235);  // emptied into the pan of the stove, a little stuck
  EXPECT_NEAR(scale.net_g(), 0, 1);
  scale.pour(150, 20);
  EXPECT_NEAR(scale.net_g(), 150, 1);
}

TEST_F(PanTest, TheZeroKeyInMidPourMakesANewEpochAndTheLiftGivesTheWhole) {
  scale.put(412.6);
  scale.pour(100, 20);
  scale.zero_key();
  EXPECT_EQ(scale.count(&PanChange::new_epoch), 1);
  EXPECT_TRUE(scale.pan.needs_lift());
  EXPECT_FALSE(scale.pan.net_ug().has_value());
  scale.pour(60, 20);
  EXPECT_FALSE(scale.pan.net_ug().has_value());
  scale.lift();
  EXPECT_EQ(scale.count(&PanChange::resolved), 1);
  EXPECT_NEAR(scale.net_g(), 160, 2);
  EXPECT_EQ(scale.pan.indications(), 4);
}

TEST_F(PanTest, TheZeroKeyBetweenTwoWeighingsOnlyMovesTheTare) {
  scale.put(412.6);
  scale.zero_key();
  EXPECT_EQ(scale.count(&PanChange::new_epoch), 1);
  EXPECT_FALSE(scale.pan.needs_lift());
  scale.pour(239, 20);
  EXPECT_NEAR(scale.net_g(), 239, 1);
}

TEST_F(PanTest, AScaleThatWasAwayInMidPourIsNotBelievedUntilTheVesselIsLifted) {
  scale.put(412.6);
  scale.pour(100, 20);
  scale.lose_power(20, 55);  // poured on while nobody watched
  EXPECT_TRUE(scale.pan.needs_lift());
  scale.lift();
  EXPECT_NEAR(scale.net_g(), 155, 2);
}

TEST_F(PanTest, AVesselPutBackAfterTheScaleCameBackGivesTheWholeToo) {
  scale.put(412.6);
  scale.pour(100, 20);
  scale.empty();
  scale.lose_power(20);  // zeroed itself on the empty pan
  scale.put(412.6 + 100);
  EXPECT_NEAR(scale.net_g(), 100, 2);
}

TEST_F(PanTest, AScaleThatWakesWithAVesselPutOnItHasTheVesselAsTare) {
  scale.pan.begin_unwatched_epoch("asleep and awake");
  scale.put(412.6);
  EXPECT_EQ(scale.count(&PanChange::vessel_on), 1);
  scale.pour(100, 20);
  EXPECT_NEAR(scale.net_g(), 100, 1);
}

TEST_F(PanTest, APanThatIsDeclaredEmptyGivesTheWholeWhenTheVesselIsBack) {
  scale.put(412.6);
  scale.pour(100, 20);
  scale.lose_power(20);
  scale.empty();  // at once with the power: nobody saw the step
  scale.pan.begin_unwatched_epoch("lost and back");
  scale.wait(6);
  scale.pan.declare_empty();
  scale.put(512.6);
  EXPECT_NEAR(scale.net_g(), 100, 2);
}

TEST_F(PanTest, AnEmptyVesselAfterADeclaredEmptyPanIsANewTare) {
  scale.put(412.6);
  scale.pour(100, 20);
  scale.lose_power(20);
  scale.empty();
  scale.pan.begin_unwatched_epoch("lost and back");
  scale.wait(6);
  scale.pan.declare_empty();
  scale.put(200);
  EXPECT_NEAR(scale.net_g(), 0, 1);
  scale.pour(80, 20);
  EXPECT_NEAR(scale.net_g(), 80, 1);
}

TEST_F(PanTest, AScaleSilentBelowZeroIsZeroedEmptyAndGoesOn) {
  scale.put(412.6);
  scale.pour(100, 20);
  scale.lose_power(20);
  scale.lift_below_zero();  // no number for less than zero
  scale.zero_key();
  scale.put(412.6 + 100);
  EXPECT_NEAR(scale.net_g(), 100, 2);
}

TEST_F(PanTest, AVesselThatTheCookHadTaredIsKnownOnceItHasBeenLifted) {
  scale.put(300);
  scale.zero_key();
  scale.lift();  // shows -300: nothing weighs less than the empty pan
  EXPECT_NEAR(scale.net_g(), 0, 1);
  scale.pour(100, 20);
  EXPECT_NEAR(scale.net_g(), 100, 1);
}

TEST_F(PanTest, AUnitKeyBeginsANewEpoch) {
  scale.put(412.6);
  proto::Reading ounces;
  ounces.number = 100'000;
  ounces.at_ms = 1'000'000;
  ounces.unit = proto::Unit::oz;
  ounces.digits = 146;
  ounces.exponent = -1;
  const auto change = scale.pan.feed(ounces, 413'903'038);
  EXPECT_TRUE(change.new_epoch);
  EXPECT_EQ(scale.pan.why(), "unit changed");
}

TEST_F(PanTest, ReadingsWithoutAValueAreNoWeighing) {
  scale.put(412.6);
  scale.pour(100, 20);
  const double before = scale.net_g();
  scale.send(proto::state::over);
  scale.send(proto::state::fault);
  EXPECT_EQ(scale.net_g(), before);
}

TEST_F(PanTest, AnOverloadOrAFaultIsToldOnceAfterASecond) {
  scale.put(412.6);
  for (int i = 0; i < 3; ++i) scale.send(proto::state::over);
  EXPECT_EQ(scale.count(&PanChange::over), 1);
  scale.wait(3);
  for (int i = 0; i < 3; ++i) scale.send(proto::state::fault);
  EXPECT_EQ(scale.count(&PanChange::fault), 1);
}

TEST_F(PanTest, IdenticalReadingsOfAStillLoadAreARest) {
  scale.put(412.6);
  scale.pour(100, 25);
  scale.wait(120);
  EXPECT_TRUE(scale.pan.detector().quiet());
}

TEST_F(PanTest, AMotionFlagForbidsARest) {
  scale.wait(3);
  const auto rests = scale.pan.rests();
  scale.send(proto::state::moving);
  EXPECT_EQ(scale.pan.rests(), rests);
}

}  // namespace
}  // namespace maslin::weighing
