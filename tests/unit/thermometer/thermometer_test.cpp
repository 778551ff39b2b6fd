// Which files of the kernel are a thermometer, and which of what they say is a temperature.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "plugins/thermometer/sensors.hpp"
#include "tests/unit/thermometer/tree.hpp"

namespace maslin::thermometer {
namespace {

using ::testing::HasSubstr;
using testing::one_wire_good;
using testing::Tree;

// "23.1250" or the state bits as "state N".
std::string shown(const Measured& measured) {
  if (measured.state != 0) return "state " + std::to_string(measured.state);
  return std::to_string(measured.value.digits) + "e" + std::to_string(measured.value.exponent);
}
std::string fault(int state) { return "state " + std::to_string(state); }

TEST(OneWire, ReadsBytesAndTemperature) {
  EXPECT_EQ(shown(one_wire(one_wire_good, {})), "23125e-3");
  EXPECT_EQ(shown(one_wire_temperature("-1250\n", {})), "-1250e-3");
}

TEST(OneWire, NamesItsFaults) {
  const std::string bad_crc =
      "72 01 4b 46 7f ff 0e 10 57 : crc=12 NO\n72 01 4b 46 7f ff 0e 10 57 t=23125";
  const std::string zeros =
      "00 00 00 00 00 00 00 00 00 : crc=00 YES\n00 00 00 00 00 00 00 00 00 t=0";
  const std::string ones =
      "ff ff ff ff ff ff ff ff ff : crc=c9 NO\nff ff ff ff ff ff ff ff ff t=-62";
  EXPECT_EQ(shown(one_wire(bad_crc, {})), fault(MASLIN_FAULT_CRC));
  EXPECT_EQ(shown(one_wire(zeros, {})), fault(MASLIN_FAULT_SHORT));
  EXPECT_EQ(shown(one_wire(ones, {})), fault(MASLIN_FAULT_OPEN));
  EXPECT_EQ(shown(one_wire("", {})), fault(MASLIN_FAULT_CRC));
  EXPECT_EQ(shown(one_wire("50 05 : crc=1c YES\n50 05 t=", {})), fault(MASLIN_FAULT));
  EXPECT_EQ(shown(one_wire_temperature("127937", {})), fault(MASLIN_FAULT_RANGE));
  EXPECT_EQ(shown(one_wire_temperature("-60000", {})), fault(MASLIN_FAULT_RANGE));
  EXPECT_EQ(shown(one_wire_temperature("warm", {})), fault(MASLIN_FAULT));
}

TEST(OneWire, EightyFiveIsBelievedOnlyNearAValueBefore) {
  EXPECT_EQ(shown(one_wire_temperature("85000", {})), fault(MASLIN_FAULT_POWER_ON));
  EXPECT_EQ(shown(one_wire_temperature("85000", sdk::Decimal{23125, -3})),
            fault(MASLIN_FAULT_POWER_ON));
  EXPECT_EQ(shown(one_wire_temperature("85000", sdk::Decimal{84937, -3})), "85000e-3");
  EXPECT_EQ(shown(one_wire_temperature("84937", {})), "84937e-3");
}

TEST(Numbers, KeepEveryDigitUntilTheyAreRoundedOnce) {
  EXPECT_EQ(shown({*scaled("23125", -3, -4)}), "231250e-4");
  EXPECT_EQ(shown({*scaled(" 101.325000000\n", 3, -1)}), "1013250e-1");
  EXPECT_EQ(shown({*iio_value("-215", "25000", "0.0625", -3, -4)}), "15491e-4");  // 1549.0625 mK
  EXPECT_EQ(shown({*iio_value("2047", "", "62.500000", -3, -4)}), "1279375e-4");
  EXPECT_EQ(shown({*iio_value("100", "-0.5", "", -3, -4)}), "995e-4");
  EXPECT_EQ(shown({*scaled("0.15", -3, -4)}), "2e-4");  // half away from zero
  EXPECT_EQ(shown({*scaled("-0.15", -3, -4)}), "-2e-4");
  EXPECT_EQ(shown({*scaled("0.0499", -3, -4)}), "0e-4");  // the last figure alone does not decide
  EXPECT_FALSE(scaled("", -3, -4));
  EXPECT_FALSE(scaled("1e3", -3, -4));
  EXPECT_FALSE(iio_value("999999999999999999", "", "999999999999999999", 3, -4));
  EXPECT_FALSE(iio_value("1", "x", "", -3, -4));
}

class Sysfs : public ::testing::Test {
 protected:
  std::vector<Sensor> found() const { return find_sensors(choice()); }
  std::vector<std::string> labels() const {
    std::vector<std::string> all;
    for (const auto& sensor : found()) all.push_back(sensor.label);
    return all;
  }
  Choice choice() const {
    Choice out;
    out.root = tree.root();
    out.also = also;
    return out;
  }
  std::string only() const {
    const auto all = found();
    if (all.size() != 1) return std::to_string(all.size()) + " sensors";
    return shown(measure(all[0], {}));
  }
  Tree tree;
  std::vector<std::string> also;
};

TEST_F(Sysfs, NothingThereIsNoError) {
  EXPECT_TRUE(found().empty());
  Choice nowhere;
  nowhere.root = tree.root() / "nowhere";
  EXPECT_TRUE(find_sensors(nowhere).empty());
}

TEST_F(Sysfs, FindsOneWireThermometersByTheirFamily) {
  tree.put("bus/w1/devices/28-0316a2795ab1/w1_slave", one_wire_good);
  tree.put("bus/w1/devices/w1_bus_master1/w1_master_slave_count", "1");
  tree.put("bus/w1/devices/01-000000000000/id", "");  // no thermometer
  const auto all = found();
  ASSERT_EQ(all.size(), 1U);
  EXPECT_EQ(all[0].serial, "0316a2795ab1");
  EXPECT_EQ(all[0].product, "28");
  EXPECT_EQ(only(), "23125e-3");
}

TEST_F(Sysfs, ReadsTheShorterFileWhereTheKernelHasNoOther) {
  tree.put("bus/w1/devices/28-0316a2795ab1/temperature", "99875");
  EXPECT_EQ(only(), "99875e-3");
}

TEST_F(Sysfs, FindsTemperatureAndPressureOfIio) {
  const std::string device = "bus/iio/devices/iio:device0/";
  tree.put(device + "name", "bmp280");
  tree.put(device + "in_temp_input", "22470");
  tree.put(device + "in_pressure_input", "101.325000000");
  tree.put(device + "in_pressure_oversampling_ratio", "16");
  const auto all = found();
  ASSERT_EQ(all.size(), 2U);
  EXPECT_EQ(all[0].source, Source::iio_pressure);
  EXPECT_EQ(all[0].port, "iio:device0:pressure");
  EXPECT_EQ(shown(measure(all[0], {})), "1013250e-1");
  EXPECT_EQ(shown(measure(all[1], {})), "224700e-4");
  EXPECT_EQ(all[1].label, "room") << "a barometer measures the air, never the pan";
}

TEST_F(Sysfs, ScalesRawChannelsEachByItsOwn) {
  const std::string device = "bus/iio/devices/iio:device1/";
  tree.put(device + "name", "max31856");
  tree.put(device + "in_temp_raw", "12800");
  tree.put(device + "in_temp_scale", "7.812500");
  tree.put(device + "in_temp_ambient_raw", "320");
  tree.put(device + "in_temp_ambient_scale", "62.500000");
  tree.put(device + "fault_oc", "0");
  const auto all = found();
  ASSERT_EQ(all.size(), 2U);
  EXPECT_EQ(shown(measure(all[0], {})), "200000e-4");  // ambient
  EXPECT_EQ(shown(measure(all[1], {})), "1000000e-4");
  tree.put(device + "fault_oc", "1");
  EXPECT_EQ(shown(measure(all[1], {})), fault(MASLIN_FAULT_OPEN));
  tree.put(device + "fault_oc", "0");
  tree.put(device + "fault_ovuv", "1");
  EXPECT_EQ(shown(measure(all[1], {})), fault(MASLIN_FAULT));
}

// sysfs-bus-iio: a factor stands in the channel's own file or in one that channels share.
TEST_F(Sysfs, TakesFactorsThatChannelsShare) {
  const std::string device = "bus/iio/devices/iio:device1/";
  tree.put(device + "name", "mlx90614");
  tree.put(device + "in_temp_object_raw", "14766");
  tree.put(device + "in_temp_offset", "-13657.500000");
  tree.put(device + "in_temp_scale", "20");
  EXPECT_EQ(only(), "221700e-4");
  tree.put(device + "in_temp_object_offset", "-13607.5");
  EXPECT_EQ(only(), "231700e-4") << "its own wins";
  tree.remove(device + "in_temp_object_raw");
  tree.put(device + "in_temp0_raw", "14766");
  EXPECT_EQ(only(), "221700e-4");
  tree.remove(device + "in_temp_scale");
  EXPECT_EQ(only(), fault(MASLIN_FAULT)) << "a raw number is no temperature";
  tree.put(device + "in_scale", "20");
  EXPECT_EQ(only(), "221700e-4");
  tree.remove(device + "in_scale");
  tree.put(device + "scale", "20");
  EXPECT_EQ(only(), "221700e-4");
}

TEST_F(Sysfs, AFactorThatCannotBeReadIsAFault) {
  const std::string device = "bus/iio/devices/iio:device1/";
  tree.put(device + "name", "mlx90614");
  tree.put(device + "in_temp_raw", "14766");
  tree.put(device + "in_temp_scale", "20");
  EXPECT_EQ(only(), "2953200e-4");
  tree.put(device + "in_temp_offset/is_a_folder", "");
  EXPECT_EQ(only(), fault(MASLIN_FAULT));
  tree.remove(device + "in_temp_offset");
  tree.put(device + "in_temp_input/is_a_folder", "");
  EXPECT_EQ(only(), fault(MASLIN_FAULT)) << "and so is a measurement that fails";
}

TEST_F(Sysfs, ABrokenResistanceProbeIsOutOfRangeNotHot) {
  const std::string device = "bus/iio/devices/iio:device0/";
  tree.put(device + "name", "max31865");
  tree.put(device + "in_temp_raw", "32767");
  tree.put(device + "in_temp_scale", "31.250000");
  EXPECT_EQ(only(), fault(MASLIN_FAULT_RANGE));
  tree.remove(device + "in_temp_raw");
  tree.put(device + "in_temp_raw", "no number");
  EXPECT_EQ(only(), fault(MASLIN_FAULT));
}

TEST_F(Sysfs, AConvertersDieIsNoThermometerUnlessNamed) {
  const std::string device = "bus/iio/devices/iio:device0/";
  tree.put(device + "name", "soc-adc");
  tree.put(device + "in_temp_input", "51000");
  tree.put(device + "in_voltage0_raw", "17");
  EXPECT_TRUE(found().empty());
  also = {"soc-adc"};
  EXPECT_EQ(only(), "510000e-4");
}

TEST_F(Sysfs, HwmonOfTheComputerIsLeftAloneUnlessNamed) {
  tree.put("class/hwmon/hwmon0/name", "coretemp");
  tree.put("class/hwmon/hwmon0/temp1_input", "61000");
  tree.put("class/hwmon/hwmon1/name", "sts3x");
  tree.put("class/hwmon/hwmon1/temp1_input", "21370");
  EXPECT_THAT(labels(), ::testing::ElementsAre("sts3x temp1"));
  also = {"coretemp"};
  tree.put("class/hwmon/hwmon0/temp1_label", "pan");
  EXPECT_THAT(labels(), ::testing::ElementsAre("room", "sts3x temp1"))
      << "what is named may measure anything: not the pan by itself";
}

TEST_F(Sysfs, AHygrometerIsOfTheRoomNeverThePan) {
  tree.put("class/hwmon/hwmon1/name", "sht4x");
  tree.put("class/hwmon/hwmon1/temp1_input", "21370");
  tree.put("class/hwmon/hwmon1/humidity1_input", "45000");
  EXPECT_THAT(labels(), ::testing::ElementsAre("room"));
  const std::string device = "bus/iio/devices/iio:device0/";
  tree.put(device + "name", "hdc100x");
  tree.put(device + "in_temp0_raw", "1");
  tree.put(device + "in_humidityrelative_raw", "1");
  EXPECT_THAT(labels(), ::testing::ElementsAre("room", "room"));
}

TEST_F(Sysfs, HwmonTellsABrokenSensor) {
  tree.put("class/hwmon/hwmon1/name", "sht3x");
  tree.put("class/hwmon/hwmon1/temp1_input", "21370");
  EXPECT_EQ(only(), "21370e-3");
  tree.put("class/hwmon/hwmon1/temp1_fault", "1");
  EXPECT_EQ(only(), fault(MASLIN_FAULT_OPEN));
  tree.put("class/hwmon/hwmon1/temp1_fault", "0");
  tree.put("class/hwmon/hwmon1/temp1_input", "900000");
  EXPECT_EQ(only(), fault(MASLIN_FAULT_RANGE));
}

TEST(Argument, NamesRootAndDriversOrSaysWhatToWrite) {
  EXPECT_EQ(parse_choice("").root, "/sys");
  const auto choice = parse_choice("root=/tmp/tree,also=coretemp,also=k10temp");
  EXPECT_EQ(choice.root, "/tmp/tree");
  EXPECT_THAT(choice.also, ::testing::ElementsAre("coretemp", "k10temp"));
  for (const auto* wrong : {"tree", "root=", "also", "root=/a,,also=b"}) {
    try {
      parse_choice(wrong);
      ADD_FAILURE() << wrong;
    } catch (const std::runtime_error& fault) {
      EXPECT_THAT(fault.what(), HasSubstr("write root=DIR or also=NAME"));
    }
  }
}

}  // namespace
}  // namespace maslin::thermometer
