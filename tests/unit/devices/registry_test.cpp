// Who a device is, what it is used for, and what of its readings is believed.
#include "daemon/devices/registry.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace maslin::devices {
namespace {

using proto::Quantity;
using proto::Role;
using proto::Unit;
using testing::HasSubstr;
namespace link = proto::link;

constexpr std::int64_t ms = 1'000'000;

link::Arrived scale(std::string serial, std::string port = "1-1", std::string label = "scale") {
  link::Arrived what;
  what.quantity = Quantity::mass;
  what.unit = Unit::g;
  what.interval_digits = 1;
  what.capacity_digits = 5;
  what.capacity_exponent = 3;
  what.period_ns = 100 * ms;
  what.vendor = "0a0b";
  what.product = "0001";
  what.serial = std::move(serial);
  what.port = std::move(port);
  what.label = std::move(label);
  return what;
}
link::Arrived probe(std::string serial, std::string label = "probe") {
  auto what = scale(std::move(serial), "", std::move(label));
  what.quantity = Quantity::temperature;
  what.unit = Unit::celsius;
  what.period_ns = 2'000 * ms;
  return what;
}
link::Reading grams(std::int64_t digits, std::int64_t at_ms, std::uint16_t state = 0) {
  return {1, at_ms * ms, digits, state, 0, int(Unit::g), int(Quantity::mass)};
}

class RegistryTest : public testing::Test {
 protected:
  Number plug(const link::Arrived& what, std::int64_t at_ms = 0) {
    return registry.arrived("hid-scale", false, what, at_ms);
  }
  Registry registry;
};

// ---- identity ----

TEST_F(RegistryTest, KnowsADeviceByVendorProductAndSerial) {
  const auto a = plug(scale("S1"));
  EXPECT_EQ(registry.description(a).id, "0a0b:0001:S1");
  EXPECT_EQ(registry.description(a).interval_ug, 1'000'000);
  EXPECT_EQ(registry.description(a).capacity_ug, 5'000'000'000);
  EXPECT_EQ(registry.description(a).period_ms, 100);
}

TEST_F(RegistryTest, WithoutASerialByThePort) {
  EXPECT_EQ(registry.description(plug(scale("", "1-1.4"))).id, "0a0b:0001@1-1.4");
}

TEST_F(RegistryTest, ADeviceThatComesBackHasTheNumberItHad) {
  const auto a = plug(scale("S1", "1-1"));
  registry.left(a, "unplugged", 10);
  EXPECT_FALSE(registry.present(a));
  EXPECT_EQ(plug(scale("S1", "1-2")), a);
  EXPECT_TRUE(registry.present(a));
}

TEST_F(RegistryTest, WithoutASerialAnotherPortIsAnotherDevice) {
  const auto a = plug(scale("", "1-1"));
  registry.left(a, "unplugged", 10);
  EXPECT_NE(plug(scale("", "1-2")), a);
}

TEST_F(RegistryTest, ASecondOfOneIdentityIsRefused) {
  const auto first = plug(scale("S1"));
  registry.taken(first, grams(250, 1), 1);
  EXPECT_EQ(plug(scale("S1")), 0U) << "two under one name would mix their readings";
  EXPECT_EQ(registry.list(0).size(), 1U);
  EXPECT_FALSE(registry.description(first).ambiguous);
  EXPECT_TRUE(registry.state(first, 1).last) << "the one that is there goes on";
  registry.left(first, "", 2);
  EXPECT_EQ(plug(scale("S1")), first);
}

TEST_F(RegistryTest, TwoWithOneSerialAreBothAmbiguous) {
  const auto a = plug(scale("same", "1-1"));
  const auto b = plug(scale("same", "1-2"));
  EXPECT_NE(a, b);
  EXPECT_TRUE(registry.description(a).ambiguous);
  EXPECT_TRUE(registry.description(b).ambiguous);
  EXPECT_EQ(registry.description(a).id, "0a0b:0001:same@1-1");
  EXPECT_EQ(registry.description(b).id, "0a0b:0001:same@1-2");
  EXPECT_EQ(registry.role(a), Role::none);
  EXPECT_EQ(registry.state(a, 1).condition, "same serial as another: assign by its port");
}

// With one of them away nobody can tell which it is that was plugged in again.
TEST_F(RegistryTest, OneOfTwoSeenTwinsIsStillNobodyForSure) {
  const auto a = plug(scale("same", "1-1"));
  const auto b = plug(scale("same", "1-2"));
  registry.left(a, "unplugged", 5);
  registry.left(b, "unplugged", 6);
  EXPECT_EQ(plug(scale("same", "1-1")), a);
  EXPECT_TRUE(registry.description(a).ambiguous);
  EXPECT_EQ(registry.role(a), Role::none);
  ASSERT_TRUE(registry.assign(Role::bench, "0a0b:0001:same@1-1"));
  EXPECT_EQ(registry.device_for(Role::bench), a);
}

TEST_F(RegistryTest, ATwinAtAThirdPortIsNotTakenForTheOneThatIsAway) {
  const auto a = plug(scale("same", "1-1"));
  const auto b = plug(scale("same", "1-2"));
  registry.left(b, "unplugged", 5);
  const auto c = plug(scale("same", "1-3"));
  EXPECT_NE(c, a);
  EXPECT_NE(c, b);
  EXPECT_EQ(registry.description(c).id, "0a0b:0001:same@1-3");
}

TEST_F(RegistryTest, ARoleThatWasGivenByPortRemembersTheTwinsOverARestart) {
  registry.restore({{Role::fine, "0a0b:0001:same@1-2"}});
  const auto a = plug(scale("same", "1-1"));
  EXPECT_TRUE(registry.description(a).ambiguous);
  EXPECT_EQ(registry.role(a), Role::none) << "which of the two is not known";
  registry.left(a, "unplugged", 5);
  EXPECT_EQ(registry.device_for(Role::fine), std::nullopt);
  const auto b = plug(scale("same", "1-2"));
  EXPECT_EQ(registry.device_for(Role::fine), b);
}

TEST_F(RegistryTest, ATwinThatWasAssignedByItsPortIsLiveLikeAnyOther) {
  const auto a = plug(scale("same", "1-1"));
  const auto b = plug(scale("same", "1-2"));
  ASSERT_TRUE(registry.assign(Role::bench, "0a0b:0001:same@1-1"));
  EXPECT_EQ(registry.state(a, 1).condition, "live");
  EXPECT_EQ(registry.state(b, 1).condition, "same serial as another: assign by its port");
  EXPECT_EQ(registry.state(a, 60'000).condition, "silent");
}

TEST_F(RegistryTest, TextOfADeviceCannotMoveTheCursor) {
  EXPECT_EQ(registry.description(plug(scale("S1", "", "\x1B[2Jscale\n"))).label, "?[2Jscale?");
  // U+009B begins a sequence too; \xC2\xB0 is the sign of a degree.
  const auto b = plug(scale("\xC2\x9BS2", "", "20 \xC2\xB0\xC2\x85"));
  EXPECT_EQ(registry.description(b).label, "20 \xC2\xB0??");
  EXPECT_EQ(registry.description(b).id, "0a0b:0001:??S2");
}

// ---- how many ----

TEST_F(RegistryTest, DevicesOfOnePluginAreBounded) {
  for (std::size_t i = 0; i < Registry::most_of_one_plugin; ++i) {
    const auto one = plug(scale(std::to_string(i)));
    ASSERT_NE(one, 0U);
    registry.left(one, "unplugged", 1);
  }
  EXPECT_EQ(plug(scale("one more")), 0U);
  EXPECT_TRUE(registry.full("hid-scale"));
  EXPECT_EQ(registry.list(0).size(), Registry::most_of_one_plugin);
  EXPECT_EQ(plug(scale("7")), 8U) << "those that are known come back as before";
  EXPECT_FALSE(registry.full("kitchen"));
  EXPECT_NE(registry.arrived("kitchen", false, scale("one more"), 0), 0U);
}

// ---- roles ----

TEST_F(RegistryTest, TheOnlyScaleIsTheBenchAndTheOnlyProbeThePan) {
  const auto a = plug(scale("S1"));
  const auto b = plug(probe("T1"));
  EXPECT_EQ(registry.role(a), Role::bench);
  EXPECT_EQ(registry.role(b), Role::pan);
  EXPECT_EQ(registry.device_for(Role::bench), a);
  EXPECT_EQ(registry.device_for(Role::fine), std::nullopt);
}

TEST_F(RegistryTest, NoRoleGivesItselfWhenTwoFit) {
  const auto a = plug(scale("S1"));
  const auto b = plug(scale("S2", "1-2"));
  EXPECT_EQ(registry.role(a), Role::none);
  EXPECT_EQ(registry.role(b), Role::none);
  EXPECT_EQ(registry.device_for(Role::bench), std::nullopt);
}

TEST_F(RegistryTest, AnAssignedRoleStaysWithTheIdentity) {
  const auto a = plug(scale("S1"));
  const auto b = plug(scale("S2", "1-2"));
  EXPECT_EQ(registry.assign(Role::bench, "0a0b:0001:S2").value(), b);
  EXPECT_EQ(registry.role(b), Role::bench);
  EXPECT_EQ(registry.role(a), Role::none);
  registry.left(b, "unplugged", 10);
  EXPECT_EQ(registry.role(a), Role::none) << "the bench is only away";
  EXPECT_EQ(registry.device_for(Role::bench), std::nullopt);
  plug(scale("S2", "1-3"));
  EXPECT_EQ(registry.device_for(Role::bench), b);
}

TEST_F(RegistryTest, OnceOneOfTwoHasAnotherRoleTheOtherIsTheOnlyOne) {
  const auto a = plug(scale("S1"));
  plug(scale("S2", "1-2"));
  ASSERT_TRUE(registry.assign(Role::fine, "0a0b:0001:S2"));
  EXPECT_EQ(registry.role(a), Role::bench);
}

TEST_F(RegistryTest, RolesAreKeptOverARestartOfTheDaemon) {
  registry.restore({{Role::fine, "0a0b:0001:S2"}});
  const auto b = plug(scale("S2"));
  EXPECT_EQ(registry.role(b), Role::fine);
  EXPECT_EQ(registry.roles().at(Role::fine), "0a0b:0001:S2");
}

TEST_F(RegistryTest, ATwinDoesNotTakeTheRoleOfItsSerial) {
  registry.restore({{Role::bench, "0a0b:0001:same"}});
  const auto a = plug(scale("same", "1-1"));
  EXPECT_EQ(registry.role(a), Role::bench);
  const auto b = plug(scale("same", "1-2"));
  EXPECT_EQ(registry.device_for(Role::bench), std::nullopt);
  ASSERT_TRUE(registry.assign(Role::bench, "0a0b:0001:same@1-2"));
  EXPECT_EQ(registry.device_for(Role::bench), b);
}

TEST_F(RegistryTest, ADeviceThatBearsARolesNameTakesIt) {
  const auto a = plug(scale("S1", "", "bench"));
  const auto b = plug(scale("S2", "1-2", "fine"));
  const auto c = plug(probe("T1", "canner"));
  EXPECT_EQ(registry.role(a), Role::bench);
  EXPECT_EQ(registry.role(b), Role::fine);
  EXPECT_EQ(registry.role(c), Role::canner);
}

TEST_F(RegistryTest, ALabelGivesNoRoleOfAnotherQuantity) {
  EXPECT_EQ(registry.role(plug(probe("T1", "bench"))), Role::none);
}

// The air of the room taken for the pan would be a wrong temperature that looks right.
TEST_F(RegistryTest, ADeviceThatBearsAnotherRolesNameNeverTakesTheUsualOne) {
  const auto a = plug(probe("T1", "room"));
  EXPECT_EQ(registry.role(a), Role::room);
  const auto b = plug(probe("T2", "thermometer"));
  ASSERT_TRUE(registry.assign(Role::room, "0a0b:0001:T2"));
  EXPECT_EQ(registry.role(a), Role::none) << "room is taken, and it is not the pan";
  registry.left(b, "unplugged", 1);
  EXPECT_EQ(registry.role(a), Role::none);
  const auto c = plug(probe("T3", "probe"));
  EXPECT_EQ(registry.role(c), Role::pan) << "the only one that could be";
}

TEST_F(RegistryTest, AssignTakesTheRoleFromWhoeverHadIt) {
  const auto a = plug(scale("S1"));
  const auto b = plug(scale("S2", "1-2"));
  ASSERT_TRUE(registry.assign(Role::bench, "0a0b:0001:S1"));
  ASSERT_TRUE(registry.assign(Role::fine, "0a0b:0001:S1"));
  EXPECT_EQ(registry.role(a), Role::fine);
  ASSERT_TRUE(registry.assign(Role::none, "0a0b:0001:S1"));
  ASSERT_TRUE(registry.assign(Role::bench, "0a0b:0001:S2"));
  EXPECT_EQ(registry.role(a), Role::none);
  EXPECT_EQ(registry.role(b), Role::bench);
}

TEST_F(RegistryTest, AssignSaysWhatIsThere) {
  plug(scale("S1"));
  plug(scale("S2", "1-2"));
  EXPECT_THAT(line(registry.assign(Role::bench, "0a0b").error()), HasSubstr("more than one"));
  EXPECT_THAT(line(registry.assign(Role::bench, "nix").error()), HasSubstr("0a0b:0001:S1"));
  EXPECT_THAT(line(registry.assign(Role::pan, "0a0b:0001:S1").error()), HasSubstr("measures mass"));
}

TEST_F(RegistryTest, InSimulatedTimeARealDeviceTakesNoRole) {
  Registry paced(true);
  const auto real = paced.arrived("hid-scale", false, scale("S1"), 0);
  EXPECT_EQ(paced.role(real), Role::none);
  EXPECT_THAT(line(paced.assign(Role::bench, "0a0b:0001:S1").error()), HasSubstr("real device"));
  const auto simulated = paced.arrived("kitchen", true, scale("K1"), 0);
  EXPECT_EQ(paced.role(simulated), Role::bench);
  EXPECT_EQ(paced.state(real, 0).condition, "not in simulated time");
}

TEST_F(RegistryTest, AnIdentityWithARoleIsListedThoughItWasNeverSeen) {
  registry.restore({{Role::bench, "0a0b:0001:S9"}});
  const auto a = plug(scale("S1"));
  const auto all = registry.list(0);
  ASSERT_EQ(all.size(), 2U);
  EXPECT_EQ(all[0].role, Role::none);
  EXPECT_EQ(all[1].description.id, "0a0b:0001:S9");
  EXPECT_EQ(all[1].role, Role::bench);
  EXPECT_EQ(all[1].condition, "not there");
  EXPECT_EQ(registry.assign(Role::bench, "0a0b:0001:S1").value(), a);
  EXPECT_EQ(registry.list(0).size(), 1U);
}

TEST_F(RegistryTest, ALabelIsTakenForADeviceWhereOnlyOneHasIt) {
  const auto a = plug(scale("S1", "1-1", "bench scale"));
  const auto b = plug(scale("S2", "1-2", "old scale"));
  EXPECT_EQ(registry.assign(Role::bench, "old scale").value(), b);
  EXPECT_EQ(registry.assign(Role::bench, "bench scale").value(), a);
  plug(scale("S3", "1-3", "old scale"));
  const auto refused = registry.assign(Role::bench, "old scale");
  ASSERT_FALSE(refused);
  EXPECT_THAT(line(refused.error()), HasSubstr("0a0b:0001:S2, 0a0b:0001:S3"));
  EXPECT_FALSE(registry.assign(Role::bench, "")) << "no label is no name";
}

// ---- readings ----

TEST_F(RegistryTest, StampsAreRoundedToAMillisecond) {
  const auto a = plug(scale("S1"), 10);
  auto raw = grams(250, 0);
  raw.at_ns = 20'499'999;
  EXPECT_EQ(registry.taken(a, raw, 100).at_ms, 20);
  raw.at_ns = 20'500'000;
  EXPECT_EQ(registry.taken(a, raw, 100).at_ms, 21);
}

TEST_F(RegistryTest, TimeThatGoesBackOrIntoTheFutureIsSetRightAndTold) {
  const auto a = plug(scale("S1"), 10);
  EXPECT_EQ(registry.taken(a, grams(1, 50), 60).at_ms, 50);
  EXPECT_EQ(registry.state(a, 60).condition, "live");
  EXPECT_EQ(registry.taken(a, grams(2, 20), 60).at_ms, 50);
  EXPECT_EQ(registry.taken(a, grams(3, 900'000), 70).at_ms, 70);
  EXPECT_EQ(registry.taken(a, grams(4, -5), 80).at_ms, 70);
  EXPECT_EQ(registry.state(a, 80).condition, "live, 3 readings with a wrong time");
}

TEST_F(RegistryTest, ExtremeStampsDoNotOverflow) {
  const auto a = plug(scale("S1"), 10);
  auto raw = grams(1, 0);
  raw.at_ns = INT64_MIN;
  EXPECT_EQ(registry.taken(a, raw, 100).at_ms, 10);
  raw.at_ns = INT64_MAX;
  EXPECT_EQ(registry.taken(a, raw, 100).at_ms, 100);
}

TEST_F(RegistryTest, NothingIsOlderThanASettledWindow) {
  const auto a = plug(scale("S1"), 0);
  registry.settle_time(500);
  EXPECT_EQ(registry.taken(a, grams(1, 300), 600).at_ms, 500);
}

TEST_F(RegistryTest, AnUnusableStateHasNoValue) {
  const auto a = plug(scale("S1"));
  const auto reading = registry.taken(a, grams(50, 1, proto::state::under), 1);
  EXPECT_EQ(reading.digits, 0);
  EXPECT_FALSE(reading.usable());
  EXPECT_EQ(registry.state(a, 1).condition, "under");
}

TEST_F(RegistryTest, AUnitThatDoesNotFitIsAFault) {
  const auto a = plug(scale("S1"));
  auto raw = grams(50, 1);
  raw.unit = int(Unit::celsius);
  EXPECT_EQ(registry.taken(a, raw, 1).state, proto::state::fault);
  raw.unit = 200;
  EXPECT_FALSE(registry.taken(a, raw, 1).usable());
  raw = grams(50, 1);
  raw.quantity = int(Quantity::temperature);
  EXPECT_FALSE(registry.taken(a, raw, 1).usable());
}

TEST_F(RegistryTest, MovingAndSteadyAtOnceIsMoving) {
  namespace state = proto::state;
  const auto a = plug(scale("S1"));
  EXPECT_EQ(registry.taken(a, grams(50, 1, state::steady | state::moving), 1).state, state::moving);
  EXPECT_EQ(registry.taken(a, grams(0, 2, state::zero | state::moving), 2).state, state::moving);
  EXPECT_EQ(registry.taken(a, grams(0, 3, state::zero | state::steady), 3).state,
            state::zero | state::steady);
}

TEST_F(RegistryTest, AFigureThatCannotBeOneIsOutOfRange) {
  const auto a = plug(scale("S1"));
  EXPECT_EQ(registry.taken(a, grams(INT64_MIN, 1), 1).state, proto::state::fault_range);
  auto raw = grams(1, 1);
  raw.exponent = 120;
  EXPECT_FALSE(registry.taken(a, raw, 1).usable());
}

// ---- silence ----

TEST_F(RegistryTest, IsSilentAfterThreePeriodsAndThreeSeconds) {
  const auto fast = plug(scale("S1"), 0);
  const auto slow = plug(probe("T1"), 0);
  registry.taken(fast, grams(250, 1'000), 1'000);
  EXPECT_FALSE(registry.silent(fast, 4'000));
  EXPECT_TRUE(registry.silent(fast, 4'001));
  EXPECT_EQ(registry.silent_at_ms(fast), 4'001);
  EXPECT_FALSE(registry.silent(slow, 6'000));
  EXPECT_TRUE(registry.silent(slow, 6'001));
  EXPECT_EQ(registry.state(fast, 5'000).condition, "silent");
  EXPECT_FALSE(registry.state(fast, 5'000).last.has_value()) << "never the last value for ever";
  EXPECT_EQ(registry.state(fast, 5'000).age_ms, 4'000);
}

TEST_F(RegistryTest, EqualReadingsAreNotSilence) {
  const auto a = plug(scale("S1"), 0);
  for (int i = 1; i <= 100; ++i) registry.taken(a, grams(250, i * 100), i * 100);
  EXPECT_FALSE(registry.silent(a, 10'000));
}

TEST_F(RegistryTest, ADeviceThatSendsOnlyChangesIsNeverSilent) {
  auto what = scale("S1");
  what.period_ns = 0;
  const auto a = plug(what, 0);
  EXPECT_FALSE(registry.silent(a, 100'000'000));
  EXPECT_EQ(registry.silent_at_ms(a), INT64_MAX);
}

TEST_F(RegistryTest, ALostDeviceSaysWhy) {
  const auto a = plug(scale("S1"), 0);
  registry.taken(a, grams(250, 10), 10);
  registry.left(a, "unplugged", 100);
  EXPECT_EQ(registry.state(a, 300).condition, "lost: unplugged");
  EXPECT_FALSE(registry.state(a, 300).last);
  EXPECT_EQ(registry.state(a, 300).age_ms, 200);
}

}  // namespace
}  // namespace maslin::devices
