// Thermometers of a mocked /sys under a real daemon and client: found and lost at run time, their
// faults never a temperature.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/system/house.hpp"
#include "tests/unit/thermometer/tree.hpp"

namespace maslin {
namespace {

using house::Json;
using thermometer::testing::one_wire_good;

const std::string probe = "bus/w1/devices/28-0316a2795ab1/w1_slave";
const std::string probe_id = "w1:28:0316a2795ab1";

class Thermometers : public testing::Test {
 protected:
  void start(const std::string& more = "") {
    daemon = std::make_unique<house::Daemon>(
        folder / "state", folder / "socket",
        house::DaemonOptions{.pace = "real",
                             .plugins = {"thermometer=root=" + tree.root().string() + more}});
    ASSERT_TRUE(daemon->up()) << daemon->log();
  }
  Json list() {
    const auto ran = house::run(
        {house::bin("maslin"), "--socket", daemon->socket().string(), "devices", "--json"});
    EXPECT_EQ(ran.code, 0) << ran.err << daemon->log();
    return Json::parse(ran.out);
  }
  Json device(const std::string& id) {
    const auto all = list();
    for (const auto& one : all["devices"]) {
      if (one["description"]["id"] == id) return one;
    }
    return nullptr;
  }
  testing::AssertionResult is(const std::string& id, const std::string& condition,
                              std::int64_t digits) {
    const bool seen = house::until([&] {
      const auto one = device(id);
      return !one.is_null() && one["condition"].get<std::string>().starts_with(condition) &&
             (digits == 0 || (one["last"].is_object() && one["last"]["digits"] == digits));
    });
    if (seen) return testing::AssertionSuccess();
    return testing::AssertionFailure() << list().dump() << daemon->log();
  }
  void TearDown() override {
    if (!daemon) return;
    EXPECT_EQ(list()["plugins"].at(0)["restarts"], 0) << daemon->log();
    EXPECT_EQ(daemon->stop(), 0) << daemon->log();
  }

  thermometer::testing::Tree tree;
  house::Directory folder;
  std::unique_ptr<house::Daemon> daemon;
};

TEST_F(Thermometers, AreFoundAndLostWhileTheDaemonRuns) {
  start();
  EXPECT_TRUE(list()["devices"].empty());
  tree.put(probe, one_wire_good);
  ASSERT_TRUE(is(probe_id, "live", 23125));
  EXPECT_EQ(device(probe_id)["role"], "pan");
  EXPECT_EQ(device(probe_id)["last"]["unit"], "degC");
  tree.remove("bus/w1/devices/28-0316a2795ab1");
  ASSERT_TRUE(is(probe_id, "lost", 0));
  tree.put(probe, one_wire_good);
  EXPECT_TRUE(is(probe_id, "live", 23125));
}

TEST_F(Thermometers, TellFaultsAndNoTemperatureWithThem) {
  tree.put(probe, one_wire_good);
  start();
  ASSERT_TRUE(is(probe_id, "live", 23125));
  tree.put(probe, "72 01 4b 46 7f ff 0e 10 57 : crc=12 NO\n72 01 4b 46 7f ff 0e 10 57 t=23125");
  ASSERT_TRUE(is(probe_id, "fault", 0));
  EXPECT_EQ(device(probe_id)["last"]["digits"], 0);
  tree.put(probe, "50 05 4b 46 7f ff 0c 10 1c : crc=1c YES\n50 05 4b 46 7f ff 0c 10 1c t=85000");
  ASSERT_TRUE(is(probe_id, "fault: power-on", 0));
  tree.put(probe, one_wire_good);
  EXPECT_TRUE(is(probe_id, "live", 23125));
}

TEST_F(Thermometers, ABarometerIsOfTheRoomAndLeavesThePanToTheProbe) {
  const std::string device_folder = "bus/iio/devices/iio:device0/";
  tree.put(device_folder + "name", "bmp280");
  tree.put(device_folder + "in_temp_input", "22470");
  tree.put(device_folder + "in_pressure_input", "100.9");
  tree.put("class/hwmon/hwmon0/name", "coretemp");
  tree.put("class/hwmon/hwmon0/temp1_input", "61000");
  tree.put(probe, one_wire_good);
  start();
  ASSERT_TRUE(is("iio:bmp280@iio:device0:pressure", "live", 1'009'000));
  ASSERT_TRUE(is("iio:bmp280@iio:device0:temp", "live", 224'700));
  ASSERT_TRUE(is(probe_id, "live", 23125));
  EXPECT_EQ(device("iio:bmp280@iio:device0:temp")["role"], "room");
  EXPECT_EQ(device(probe_id)["role"], "pan");
  EXPECT_EQ(list()["devices"].size(), 3U) << "the processor is no thermometer of a cook";
}

TEST_F(Thermometers, AWrongArgumentSaysWhatToWrite) {
  start(",probes=2");
  EXPECT_TRUE(house::until([&] {
    return list()["plugins"].at(0)["why"].get<std::string>().find("write root=DIR or also=NAME") !=
           std::string::npos;
  })) << list().dump();
  EXPECT_EQ(daemon->stop(), 0);
  daemon.reset();
}

}  // namespace
}  // namespace maslin
