// USB scales under a real daemon, client and libusb: what is plugged in, read, pulled out and
// broken on a mocked USB, as `maslin devices --json` tells it.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include "tests/system/usb_bus.hpp"

namespace maslin::usb {
namespace {

using hid::testing::bytes;
using house::Json;
using house::until;
using testing::HasSubstr;

const Bytes steady_100_g = bytes("03 04 02 00 64 00");
const Bytes steady_123_4_g = bytes("03 04 02 FF D2 04");
const Bytes under_zero = bytes("03 05 02 00 32 00");
const Bytes over_limit = bytes("03 06 02 00 FF FF");

class UsbScale : public testing::Test {
 protected:
  void start() {
    daemon = std::make_unique<house::Daemon>(
        folder / "state", folder / "socket",
        house::DaemonOptions{.pace = "real", .plugins = {"hid-scale"}, .before = before});
    ASSERT_TRUE(daemon->up()) << daemon->log();
  }
  Json list() {
    const auto ran = house::run(
        {house::bin("maslin"), "--socket", daemon->socket().string(), "devices", "--json"});
    EXPECT_EQ(ran.code, 0) << ran.err << daemon->log();
    return Json::parse(ran.out);
  }
  // The device with this id; null where there is none.
  Json device(const std::string& id) {
    const auto all = list();
    for (const auto& one : all["devices"]) {
      if (one["description"]["id"] == id) return one;
    }
    return nullptr;
  }
  testing::AssertionResult shows(const std::string& id, std::int64_t digits) {
    const bool seen = until([&] {
      const auto one = device(id);
      return !one.is_null() && one["condition"] == "live" && one["last"].is_object() &&
             one["last"]["digits"] == digits;
    });
    if (seen) return testing::AssertionSuccess();
    return testing::AssertionFailure() << list().dump();
  }
  bool is(const std::string& id, const std::string& condition) {
    return until([&] {
      const auto one = device(id);
      return !one.is_null() && one["condition"].get<std::string>().starts_with(condition);
    });
  }
  Json plugin() { return list()["plugins"].at(0); }
  void TearDown() override {
    if (!daemon) return;
    EXPECT_EQ(plugin()["condition"], "running") << daemon->log();
    EXPECT_EQ(plugin()["restarts"], 0) << daemon->log();
    EXPECT_EQ(daemon->stop(), 0) << daemon->log();
    EXPECT_THAT(daemon->log(), testing::Not(HasSubstr("Sanitizer"))) << "of the plugin's process";
  }

  // So that a file's mode holds for root too.
  static std::vector<std::string> as_anybody() {
    if (::geteuid() != 0) return {};
    return {"setpriv", "--bounding-set=-dac_override,-dac_read_search"};
  }

  Bus bus;
  house::Directory folder;
  std::vector<std::string> before;
  std::unique_ptr<house::Daemon> daemon;
};

TEST_F(UsbScale, ThatIsThereAtTheStartIsReadAndDescribed) {
  auto& scale = bus.scale({.features = {{4, bytes("04 01 02 FF")}, {5, bytes("05 03 00 05 00")}}});
  scale.plug();
  scale.sends(steady_123_4_g);
  start();
  ASSERT_TRUE(shows("cafe:0001:S1", 1234)) << daemon->log();
  const auto one = device("cafe:0001:S1");
  EXPECT_EQ(one["role"], "bench");
  EXPECT_EQ(one["last"]["exponent"], -1);
  EXPECT_EQ(one["last"]["unit"], "g");
  EXPECT_EQ(one["description"]["label"], "Quayside bench scale");
  EXPECT_EQ(one["description"]["port"], "1-1");
  EXPECT_EQ(one["description"]["interval_ug"], 100'000);
  EXPECT_EQ(one["description"]["capacity_ug"], 5'000'000'000);
  EXPECT_GT(one["description"]["period_ms"], 0);
  EXPECT_EQ(scale.opened(), 1) << "the arrival is announced twice, the scale is one";
  EXPECT_EQ(scale.buffer_size(), 8U) << "exactly one packet";
  EXPECT_EQ(scale.idle(), 125) << "repeats itself every half second";
}

TEST_F(UsbScale, ComesGoesAndComesBack) {
  auto& scale = bus.scale();
  start();
  EXPECT_TRUE(list()["devices"].empty());
  for (const int grams : {100, 101, 102}) {
    scale.sends({3, 4, 2, 0, static_cast<std::uint8_t>(grams), 0});
    scale.plug();
    ASSERT_TRUE(shows("cafe:0001:S1", grams)) << daemon->log();
    scale.unplug();  // in mid-read: a transfer is always waiting
    ASSERT_TRUE(is("cafe:0001:S1", "lost: unplugged")) << daemon->log();
  }
  EXPECT_EQ(scale.opened(), 3);
  EXPECT_EQ(list()["devices"].size(), 1U) << "known again by its serial";
}

TEST_F(UsbScale, AStallIsCleared) {
  auto& scale = bus.scale();
  scale.plug();
  scale.sends(steady_100_g);
  start();
  ASSERT_TRUE(shows("cafe:0001:S1", 100)) << daemon->log();
  scale.stalls();
  scale.sends(steady_123_4_g);
  EXPECT_TRUE(shows("cafe:0001:S1", 1234)) << daemon->log();
  EXPECT_EQ(scale.stalls_cleared(), 1);
}

TEST_F(UsbScale, ShortLongEmptyAndForeignReportsArePassedOver) {
  auto& scale = bus.scale();
  scale.plug();
  scale.sends(steady_100_g);
  start();
  ASSERT_TRUE(shows("cafe:0001:S1", 100)) << daemon->log();
  scale.sends_once(bytes("03 04 02"));
  scale.sends_once(bytes("03 04 02 00 E7 03 00"));
  scale.sends(steady_123_4_g);
  EXPECT_TRUE(shows("cafe:0001:S1", 1234));
  scale.sends_once(bytes("03 04 02 00 E7 03 00 00"));
  scale.sends_once({});
  scale.overflows();
  scale.sends(steady_100_g);
  EXPECT_TRUE(shows("cafe:0001:S1", 100)) << daemon->log();
  EXPECT_THAT(daemon->log(), HasSubstr("report of 3 bytes, 6 expected"));
  EXPECT_THAT(daemon->log(), HasSubstr("more than one packet holds"));
}

TEST_F(UsbScale, GarbageIsAFaultAndNeverAValue) {
  auto& scale = bus.scale();
  scale.plug();
  scale.sends(steady_100_g);
  start();
  ASSERT_TRUE(shows("cafe:0001:S1", 100)) << daemon->log();
  scale.sends(bytes("5A A5 F0 0D 99 99 99 99"));
  ASSERT_TRUE(is("cafe:0001:S1", "fault")) << daemon->log();
  EXPECT_EQ(device("cafe:0001:S1")["last"]["digits"], 0);
  scale.sends(steady_100_g);
  EXPECT_TRUE(shows("cafe:0001:S1", 100)) << daemon->log();
}

TEST_F(UsbScale, UnderZeroAndOverTheLimitAreStatesNotValues) {
  auto& scale = bus.scale();
  scale.plug();
  scale.sends(under_zero);
  start();
  ASSERT_TRUE(is("cafe:0001:S1", "under")) << daemon->log();
  EXPECT_EQ(device("cafe:0001:S1")["last"]["digits"], 0);
  scale.sends(over_limit);
  ASSERT_TRUE(is("cafe:0001:S1", "over")) << daemon->log();
  EXPECT_EQ(device("cafe:0001:S1")["last"]["digits"], 0);
}

TEST_F(UsbScale, OneThatFallsSilentIsStale) {
  auto& scale = bus.scale();
  scale.plug();
  scale.sends(steady_100_g);
  start();
  ASSERT_TRUE(shows("cafe:0001:S1", 100)) << daemon->log();
  scale.sends({});
  ASSERT_TRUE(is("cafe:0001:S1", "silent")) << daemon->log();
  EXPECT_TRUE(device("cafe:0001:S1")["last"].is_null()) << "no last value for ever";
  scale.sends(steady_123_4_g);
  EXPECT_TRUE(shows("cafe:0001:S1", 1234)) << daemon->log();
}

TEST_F(UsbScale, TwoAlikeAreToldApartByTheirSerials) {
  auto& left = bus.scale({.serial = "S1", .port = 1});
  auto& right = bus.scale({.serial = "S2", .port = 2});
  left.sends(steady_100_g);
  right.sends(steady_123_4_g);
  left.plug();
  right.plug();
  start();
  EXPECT_TRUE(shows("cafe:0001:S1", 100)) << daemon->log();
  EXPECT_TRUE(shows("cafe:0001:S2", 1234)) << daemon->log();
}

TEST_F(UsbScale, TwoWithoutSerialsAreToldApartByTheirPorts) {
  auto& left = bus.scale({.serial = "", .port = 1});
  auto& right = bus.scale({.serial = "", .port = 2});
  left.sends(steady_100_g);
  right.sends(steady_123_4_g);
  left.plug();
  right.plug();
  start();
  EXPECT_TRUE(shows("cafe:0001@1-1", 100)) << daemon->log();
  EXPECT_TRUE(shows("cafe:0001@1-2", 1234)) << daemon->log();
  left.unplug();
  EXPECT_TRUE(is("cafe:0001@1-1", "lost"));
  EXPECT_TRUE(shows("cafe:0001@1-2", 1234));
}

TEST_F(UsbScale, TwoWithOneSerialAreAmbiguousUntilAssignedByPort) {
  auto& left = bus.scale({.serial = "S1", .port = 1});
  auto& right = bus.scale({.serial = "S1", .port = 2});
  left.sends(steady_100_g);
  right.sends(steady_123_4_g);
  left.plug();
  right.plug();
  start();
  EXPECT_TRUE(is("cafe:0001:S1@1-1", "same serial as another")) << daemon->log();
  EXPECT_TRUE(is("cafe:0001:S1@1-2", "same serial as another"));
  const auto ran = house::run({house::bin("maslin"), "--socket", daemon->socket().string(),
                               "assign", "bench", "cafe:0001:S1@1-2"});
  EXPECT_EQ(ran.code, 0) << ran.err;
  EXPECT_EQ(device("cafe:0001:S1@1-2")["role"], "bench");
  EXPECT_EQ(device("cafe:0001:S1@1-2")["last"]["digits"], 1234);
}

TEST_F(UsbScale, IsTakenFromItsKernelDriverAndGivenBack) {
  auto& scale = bus.scale({.kernel_driver = true});
  scale.plug();
  scale.sends(steady_100_g);
  start();
  ASSERT_TRUE(shows("cafe:0001:S1", 100)) << daemon->log();
  EXPECT_TRUE(scale.driver_taken());
  EXPECT_EQ(daemon->stop(), 0) << daemon->log();
  daemon.reset();
  EXPECT_TRUE(scale.driver_given_back());
}

TEST_F(UsbScale, NobodysKeyboardIsTouched) {
  const auto keyboard =
      bytes("05 01 09 06 A1 01 05 07 19 E0 29 E7 15 00 25 01 75 01 95 08 81 02 C0");
  auto& owned = bus.scale({.descriptor = keyboard, .port = 1, .kernel_driver = true});
  auto& free = bus.scale({.descriptor = keyboard, .port = 2, .boot_keyboard = true});
  auto& scale = bus.scale({.port = 3});
  owned.plug();
  free.plug();
  scale.plug();
  scale.sends(steady_100_g);
  start();
  ASSERT_TRUE(shows("cafe:0001:S1", 100)) << daemon->log();
  EXPECT_EQ(owned.opened(), 0);
  EXPECT_EQ(free.opened(), 0);
  EXPECT_EQ(list()["devices"].size(), 1U);
}

// A dead device's time-outs hold up nobody.
TEST_F(UsbScale, OneThatAnswersNothingDelaysNoOther) {
  auto& dead = bus.scale({.serial = "S9", .port = 1, .mute = true});
  auto& scale = bus.scale({.port = 2});
  scale.sends(steady_100_g);
  dead.plug();
  scale.plug();
  start();
  ASSERT_TRUE(shows("cafe:0001:S1", 100)) << daemon->log();
  EXPECT_TRUE(until([&] { return dead.opened() > 1; })) << "tried again";
  EXPECT_THAT(daemon->log(), testing::Not(HasSubstr("at 1-1"))) << "it may be no scale";
  scale.sends(steady_123_4_g);
  EXPECT_TRUE(shows("cafe:0001:S1", 1234)) << daemon->log();
}

// Access is given once the kernel has read what the device is; the device is seen before that.
TEST_F(UsbScale, OneThatMayBeOpenedOnlyLaterIsNotLost) {
  auto& early = bus.scale({.serial = "S1", .port = 1, .forbidden = true});
  auto& other = bus.scale({.serial = "S2", .port = 2});
  early.sends(steady_100_g);
  other.sends(steady_123_4_g);
  early.plug();  // before the daemon runs: the mocked bus announces a device before its mode is set
  other.plug();
  before = as_anybody();
  start();
  ASSERT_TRUE(shows("cafe:0001:S2", 1234)) << "looked at after the first one " << daemon->log();
  EXPECT_EQ(early.opened(), 0);
  early.permit();
  EXPECT_TRUE(shows("cafe:0001:S1", 100)) << daemon->log();
  EXPECT_THAT(daemon->log(), testing::Not(HasSubstr("at 1-1"))) << "nothing is wrong";
}

TEST_F(UsbScale, OneThatMayNotBeOpenedIsNamedAndTriedOn) {
  auto& scale = bus.scale({.kernel_driver = true, .forbidden = true});
  scale.sends(steady_100_g);
  scale.plug();
  before = as_anybody();
  start();
  EXPECT_TRUE(until([&] {
    return daemon->log().find("at 1-1 is a scale but may not be opened: install the udev rules") !=
           std::string::npos;
  })) << daemon->log();
  scale.permit();
  EXPECT_TRUE(shows("cafe:0001:S1", 100)) << daemon->log();
}

TEST_F(UsbScale, OneThatIsConfiguredOnlyLaterIsNotLost) {
  auto& early = bus.scale({.serial = "S1", .port = 1, .unconfigured = true});
  auto& other = bus.scale({.serial = "S2", .port = 2});
  early.sends(steady_100_g);
  other.sends(steady_123_4_g);
  start();
  early.plug();
  other.plug();
  ASSERT_TRUE(shows("cafe:0001:S2", 1234)) << daemon->log();
  EXPECT_EQ(early.opened(), 0);
  early.configure();
  EXPECT_TRUE(shows("cafe:0001:S1", 100)) << daemon->log();
}

TEST_F(UsbScale, OneThatSendsChangesOnlyIsListedAndNeverSilent) {
  auto& scale = bus.scale({.refuses_idle = true});
  scale.plug();
  scale.changes_to(steady_100_g);
  start();
  ASSERT_TRUE(is("cafe:0001:S1", "live")) << daemon->log();
  EXPECT_EQ(device("cafe:0001:S1")["description"]["period_ms"], 0) << "its silence says nothing";
  EXPECT_EQ(scale.idle(), std::nullopt);
  scale.changes_to(steady_123_4_g);
  EXPECT_TRUE(shows("cafe:0001:S1", 1234)) << daemon->log();
}

TEST_F(UsbScale, OneThatSendsChangesOnlyIsAskedWhereItAnswers) {
  auto& scale = bus.scale({.refuses_idle = true, .answers_input = true});
  scale.plug();
  scale.holds(steady_100_g);
  start();
  ASSERT_TRUE(shows("cafe:0001:S1", 100)) << daemon->log();
  EXPECT_GT(device("cafe:0001:S1")["description"]["period_ms"], 0) << "so its silence is one";
  scale.holds(steady_123_4_g);
  EXPECT_TRUE(shows("cafe:0001:S1", 1234)) << daemon->log();
  scale.unplug();
  EXPECT_TRUE(is("cafe:0001:S1", "lost: unplugged")) << daemon->log();
}

// What asks a device something swallows the word of the end that comes meanwhile.
TEST_F(UsbScale, TheEndIsHeardThoughItComesWhileADeviceIsAsked) {
  const auto key = bytes("06 D0 F1 09 01 A1 01 09 20 15 00 26 FF 00 75 08 95 40 81 02 C0");
  auto& other = bus.scale({.descriptor = key, .slow = std::chrono::milliseconds(500)});
  other.plug();
  start();
  ASSERT_TRUE(until([&] { return other.asked() > 0; })) << daemon->log();
  EXPECT_EQ(daemon->stop(), 0) << daemon->log();
  EXPECT_THAT(daemon->log(), HasSubstr("hid-scale stopped: finished"));
  daemon.reset();
}

TEST_F(UsbScale, ReadsADescriptorInAnotherOrderWithoutReportIds) {
  auto& scale = bus.scale({.descriptor = hid::testing::without_id()});
  scale.plug();
  scale.sends(bytes("03 01 FF CE FF FF FF"));
  start();
  EXPECT_TRUE(shows("cafe:0001:S1", -50)) << daemon->log();
}

}  // namespace
}  // namespace maslin::usb

int main(int argc, char** argv) {
  maslin::usb::run_preloaded(argv);
  testing::InitGoogleMock(&argc, argv);
  return RUN_ALL_TESTS();
}
