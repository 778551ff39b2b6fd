// What becomes of a scale's reports before and after it is announced.
#include "plugins/hid-scale/stream.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/unit/hid-scale/descriptors.hpp"

namespace maslin::hid {
namespace {

using namespace std::chrono_literals;
using testing::bytes;
using ::testing::HasSubstr;

class Reports : public ::testing::Test {
 protected:
  Stream stream_of(std::optional<Mass> limit = {}, std::optional<Mass> step = {},
                   bool repeats = true) {
    return Stream({.scale = 1,
                   .vendor = "cafe",
                   .product = "0001",
                   .serial = "S1",
                   .port = "1-1",
                   .label = "bench",
                   .layout = std::make_shared<Layout>(*Layout::of(testing::usual())),
                   .limit = limit,
                   .step = step,
                   .repeats = repeats});
  }
  Stream::Outcome after(Stream& stream, sdk::Time gap, std::string_view report) {
    now += gap;
    return stream.took(bytes(report), now, now);
  }
  // The announcement that comes within so many reports, one every 80 ms.
  std::optional<sdk::About> announced(Stream& stream, std::string_view report) {
    for (int i = 0; i < 10; ++i) {
      if (auto out = after(stream, 80ms, report); out.announce) return out.announce;
    }
    return std::nullopt;
  }
  sdk::Time now{1s};
};

TEST_F(Reports, TheFirstIsThrownAway) {
  auto stream = stream_of();
  after(stream, 0ms, "03 04 02 00 E7 03");
  EXPECT_EQ(stream.due(), sdk::forever);
  for (int i = 0; i < 4; ++i) {
    for (const auto& one : after(stream, 80ms, "03 04 02 00 64 00").send) {
      EXPECT_EQ(one.digits, 100);
    }
  }
}

TEST_F(Reports, TellUnitStepAndPeriodBeforeTheScaleIsAnnounced) {
  auto stream = stream_of();
  const auto about = announced(stream, "03 04 0B FF D2 04");
  ASSERT_TRUE(about);
  EXPECT_EQ(about->unit, MASLIN_OZ);
  EXPECT_EQ(about->interval.digits, 1);
  EXPECT_EQ(about->interval.exponent, -1);
  EXPECT_EQ(about->capacity.digits, 0);
  EXPECT_EQ(about->period, 80ms);
  EXPECT_EQ(about->serial, "S1");
}

TEST_F(Reports, LimitAndStepOfTheDeviceAreToldInItsUnit) {
  auto stream = stream_of(Mass{{5, 0}, MASLIN_KG}, Mass{{1, 0}, MASLIN_G});
  const auto about = announced(stream, "03 04 02 FF D2 04");
  ASSERT_TRUE(about);
  EXPECT_EQ(about->capacity.digits, 5);
  EXPECT_EQ(about->capacity.exponent, 3);
  EXPECT_EQ(about->interval.exponent, 0) << "its last digit is finer than its step";
}

TEST_F(Reports, OneThatSendsSeldomIsAnnouncedAfterASecond) {
  auto stream = stream_of();
  after(stream, 0ms, "03 04 02 00 64 00");
  after(stream, 10ms, "03 04 02 00 64 00");
  EXPECT_EQ(stream.due(), now + 1s);
  EXPECT_FALSE(stream.waited(now + 999ms).announce);
  const auto out = stream.waited(now + 1s);
  ASSERT_TRUE(out.announce);
  EXPECT_EQ(out.announce->period, 1s);
  EXPECT_TRUE(out.send.empty()) << "a second old is not now";
  EXPECT_EQ(stream.due(), sdk::forever);
}

TEST_F(Reports, OneThatMaySendChangesOnlyIsAnnouncedByItsFirst) {
  auto stream = stream_of({}, {}, false);
  EXPECT_TRUE(after(stream, 0ms, "03 04 02 00 E7 03").send.empty());
  ASSERT_EQ(stream.due(), now + 1s);
  const auto out = stream.waited(now + 1s);
  ASSERT_TRUE(out.announce);
  EXPECT_TRUE(out.announce->only_on_change) << "its silence says nothing";
  EXPECT_EQ(out.announce->period, 0s);
  EXPECT_EQ(out.announce->unit, MASLIN_G);
  EXPECT_TRUE(out.send.empty()) << "the first may be old";
  EXPECT_EQ(after(stream, 10s, "03 04 02 00 64 00").send.at(0).digits, 100);
}

TEST_F(Reports, TheLastChangeBeforeTheAnnouncementIsSent) {
  auto stream = stream_of({}, {}, false);
  after(stream, 0ms, "03 04 02 00 E7 03");
  after(stream, 100ms, "03 04 02 00 64 00");
  const auto came = now;
  const auto out = stream.waited(stream.due());
  ASSERT_EQ(out.send.size(), 1U);
  EXPECT_EQ(out.send[0].digits, 100);
  EXPECT_EQ(out.send[0].at_ns, came.count());
}

TEST_F(Reports, OneThatRepeatsItselfUnaskedHasAPeriodAllTheSame) {
  auto stream = stream_of({}, {}, false);
  const auto about = announced(stream, "03 04 02 00 64 00");
  ASSERT_TRUE(about);
  EXPECT_EQ(about->period, 80ms);
  EXPECT_FALSE(about->only_on_change);
  auto changing = stream_of({}, {}, false);
  for (const auto* report : {"03 05 02 00 01 00", "03 04 02 00 01 00", "03 04 02 00 02 00"}) {
    EXPECT_FALSE(after(changing, 80ms, report).announce);
  }
  EXPECT_TRUE(after(changing, 80ms, "03 04 02 00 03 00").announce->only_on_change);
}

TEST_F(Reports, GarbageBeforeTheFirstIsPassedOver) {
  auto stream = stream_of({}, {}, false);
  EXPECT_EQ(after(stream, 0ms, "5A A5").log, "");
  EXPECT_TRUE(announced(stream, "03 04 02 00 64 00"));
}

TEST_F(Reports, UnderZeroIsAnnouncedTooAndHasNoValue) {
  auto stream = stream_of();
  ASSERT_TRUE(announced(stream, "03 05 02 00 32 00"));
  const auto out = after(stream, 80ms, "03 05 02 00 32 00");
  ASSERT_EQ(out.send.size(), 1U);
  EXPECT_EQ(out.send[0].state, MASLIN_UNDER);
  EXPECT_EQ(out.send[0].digits, 0);
}

TEST_F(Reports, AFaultWithoutUnitIsToldInTheUnitKnown) {
  auto stream = stream_of();
  after(stream, 0ms, "03 04 02 00 64 00");
  EXPECT_FALSE(announced(stream, "03 01 FF 7F 00 00")) << "nothing tells yet what it weighs in";
  ASSERT_TRUE(announced(stream, "03 04 02 00 64 00"));
  EXPECT_EQ(after(stream, 80ms, "03 01 FF 7F 00 00").send.at(0).unit, MASLIN_G);
}

TEST_F(Reports, GarbageIsPassedOverTwiceAndAFaultFromTheThirdOn) {
  auto stream = stream_of();
  ASSERT_TRUE(announced(stream, "03 04 02 00 64 00"));
  const auto first = after(stream, 80ms, "03 04");
  EXPECT_TRUE(first.send.empty());
  EXPECT_THAT(first.log, HasSubstr("bench at 1-1: a report was thrown away: report of 2 bytes"));
  EXPECT_TRUE(after(stream, 80ms, "03 04").send.empty());
  const auto third = after(stream, 80ms, "5A A5 00");
  EXPECT_EQ(third.send.at(0).state, MASLIN_FAULT_CRC);
  EXPECT_EQ(third.send.at(0).digits, 0);
  EXPECT_EQ(third.log, "") << "a line a minute";
  EXPECT_EQ(after(stream, 80ms, "03 04 02 00 64 00").send.at(0).digits, 100);
  EXPECT_TRUE(after(stream, 80ms, "03 04").send.empty()) << "counted in a row";
  EXPECT_NE(after(stream, 60s, "03 04").log, "");
}

TEST_F(Reports, KeepTheTimeAtWhichTheyCame) {
  auto stream = stream_of();
  ASSERT_TRUE(announced(stream, "03 04 02 00 64 00"));
  const auto came = now + 30ms;
  const auto out = stream.took(bytes("03 04 02 00 64 00"), came, came + 500ms);
  EXPECT_EQ(out.send.at(0).at_ns, came.count());
}

}  // namespace
}  // namespace maslin::hid
