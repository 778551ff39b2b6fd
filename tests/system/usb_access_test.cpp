// What udev asks before it gives access: is this device a scale? And whether the installed rules
// ask the installed program.
#include <gtest/gtest.h>

#include "tests/system/house.hpp"
#include "tests/unit/hid-scale/descriptors.hpp"

namespace maslin {
namespace {

using hid::testing::Bytes;
using hid::testing::bytes;

class Access : public testing::Test {
 protected:
  // A USB device with one HID interface, as the kernel shows it; its path.
  std::string plugged(const std::string& name, const Bytes& descriptor) {
    const auto usb = folder / "devices" / name;
    const auto hid = usb / (name + ":1.0") / "0003:CAFE:0001.0001";
    std::filesystem::create_directories(hid / "hidraw/hidraw0");
    std::filesystem::create_directory_symlink(hid, hid / "hidraw/hidraw0/device");
    house::write_file(usb / "busnum", "1\n");
    house::write_file(hid / "report_descriptor", std::string(descriptor.begin(), descriptor.end()));
    return std::filesystem::canonical(usb).string();
  }
  static house::Ran ask(const std::string& path) {
    return house::run({house::bin("maslin-is-scale"), path});
  }
  static std::string hidraw(const std::string& usb) {
    return usb + "/" + usb.substr(usb.rfind('/') + 1) + ":1.0/0003:CAFE:0001.0001/hidraw/hidraw0";
  }
  house::Directory folder;
};

TEST_F(Access, IsForScalesByTheirReportDescriptor) {
  for (const auto& descriptor :
       {hid::testing::usual(), hid::testing::without_id(), hid::testing::composite()}) {
    const auto usb = plugged("1-4", descriptor);
    const auto ran = ask(usb);
    EXPECT_EQ(ran.code, 0) << ran.err;
    EXPECT_EQ(ran.out, usb + "\n");
    EXPECT_EQ(ask(hidraw(usb)).out, usb + "\n")
        << "and leads from the HID device to its USB device";
    std::filesystem::remove_all(usb);
  }
}

// In /sys a device may go while it is read.
TEST_F(Access, ThatCannotBeReadIsNoScale) {
  const auto usb = plugged("1-4", hid::testing::usual());
  const auto file = std::filesystem::path(hidraw(usb)) / "device/report_descriptor";
  std::filesystem::remove(file);
  std::filesystem::create_directory(file);  // opens, and cannot be read
  EXPECT_EQ(ask(usb).code, 1);
  EXPECT_EQ(ask(hidraw(usb)).code, 1);
}

TEST_F(Access, IsAskedWhereTheProgramIsInstalled) {
  for (const auto* part : {"plugins/hid-scale", "udev"}) {
    const auto ran = house::run(
        {"cmake", "-P", MASLIN_BIN_DIR "/../" + std::string(part) + "/cmake_install.cmake"},
        {{"DESTDIR", (folder / "root").string()}});
    ASSERT_EQ(ran.code, 0) << ran.err;
  }
  std::vector<std::string> rules;
  std::vector<std::string> programs;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder / "root")) {
    if (entry.path().filename() == "70-maslin.rules") {
      rules.push_back(house::read_file(entry.path()));
    }
    if (entry.path().filename() == "maslin-is-scale") programs.push_back(entry.path().string());
  }
  ASSERT_EQ(rules.size(), 1U);
  ASSERT_EQ(programs.size(), 1U);
  EXPECT_EQ(house::run({programs[0]}).code, 2) << "it runs";
  const auto path = programs[0].substr((folder / "root").string().size());
  int asked = 0;
  for (std::size_t at = 0; (at = rules[0].find("PROGRAM=\"", at)) != std::string::npos; ++asked) {
    at += 9;
    EXPECT_EQ(rules[0].substr(at, rules[0].find(' ', at) - at), path);
  }
  EXPECT_EQ(asked, 2);
}

TEST_F(Access, IsForNothingElse) {
  // A keyboard, and a security key, which is HID without a boot interface as scales are.
  const auto keyboard =
      bytes("05 01 09 06 A1 01 05 07 19 E0 29 E7 15 00 25 01 75 01 95 08 81 02 C0");
  const auto key = bytes("06 D0 F1 09 01 A1 01 09 20 15 00 26 FF 00 75 08 95 40 81 02 C0");
  for (const auto& descriptor : {keyboard, key, bytes("05 8D"), Bytes{}}) {
    const auto usb = plugged("1-4", descriptor);
    EXPECT_EQ(ask(usb).code, 1);
    EXPECT_EQ(ask(hidraw(usb)).code, 1);
    EXPECT_EQ(ask(usb).out, "");
    std::filesystem::remove_all(usb);
  }
  EXPECT_EQ(ask((folder / "nowhere").string()).code, 1);
  EXPECT_EQ(house::run({house::bin("maslin-is-scale")}).code, 2);
}

}  // namespace
}  // namespace maslin
