// What stands behind --plugin on maslind's command line.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "daemon/devices/devices.hpp"

namespace maslin::devices {
namespace {

TEST(ReadPlugin, IsANameAndWhatFollowsTheFirstEqualsSign) {
  EXPECT_EQ(read_plugin("hid-scale")->name, "hid-scale");
  EXPECT_EQ(read_plugin("hid-scale")->argument, "");
  EXPECT_EQ(read_plugin("thermometer=also=lm75")->name, "thermometer");
  EXPECT_EQ(read_plugin("thermometer=also=lm75")->argument, "also=lm75");
}

// The plugin would get the beginning of it, and nobody would know.
TEST(ReadPlugin, AnArgumentIsTakenWholeOrNotAtAll) {
  const std::string longest(4'096, 'x');
  const auto taken = read_plugin("trace=" + longest);
  ASSERT_TRUE(taken);
  const auto packet =
      proto::link::decode(proto::link::encode(proto::link::Settings{taken->argument, false}));
  EXPECT_EQ(std::get<proto::link::Settings>(*packet).argument, longest);
  const auto refused = read_plugin("trace=" + longest + "x");
  ASSERT_FALSE(refused);
  EXPECT_THAT(line(refused.error()),
              testing::StartsWith("--plugin trace: its ARGUMENT has 4097 bytes, at most 4096"));
}

}  // namespace
}  // namespace maslin::devices
