// A trace keeps every digit of its file, and a wrong line is named with its place and its remedy.
#include "plugins/trace/trace.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace maslin::trace {
namespace {

using testing::HasSubstr;

const std::string header = "time_s,device,quantity,value,unit,status\n";

Trace good(const std::string& text) {
  auto trace = read(text);
  for (const auto& fault : trace.faults) ADD_FAILURE() << line("f", fault);
  return trace;
}
std::string first_fault(const std::string& text) {
  const auto trace = read(text);
  return trace.faults.empty() ? "none" : line("f.csv", trace.faults.front());
}

TEST(Trace, ReadsDevicesAndRows) {
  const auto trace = good("# device bench interval=1g capacity=5000g\n# just a remark\n" + header +
                          "0.0,bench,mass,0,g,zero\n0.5,bench,mass,137,g,moving\n\n"
                          "0.5,pan,temperature,21.50,degC,\n");
  ASSERT_EQ(trace.devices.size(), 2U);
  EXPECT_EQ(trace.devices[0].name, "bench");
  EXPECT_EQ(trace.devices[0].quantity, MASLIN_MASS);
  EXPECT_EQ(trace.devices[0].interval.digits, 1);
  EXPECT_EQ(trace.devices[0].capacity.digits, 5000);
  EXPECT_EQ(trace.devices[0].unit, MASLIN_G);
  EXPECT_EQ(trace.devices[1].unit, MASLIN_CELSIUS);
  ASSERT_EQ(trace.readings.size(), 3U);
  EXPECT_EQ(trace.readings[0].reading.state, MASLIN_ZERO | MASLIN_STEADY);
  EXPECT_EQ(trace.readings[1].at_ns, 500'000'000);
  EXPECT_EQ(trace.readings[1].reading.state, MASLIN_MOVING);
  EXPECT_EQ(trace.readings[2].device, 1U);
  EXPECT_EQ(trace.readings[2].reading.digits, 2150);
  EXPECT_EQ(trace.readings[2].reading.exponent, -2);
}

TEST(Trace, KeepsTheDigitsAsTheyStand) {
  const auto trace = good(header + "0,a,mass,-0.050,kg,\n");
  EXPECT_EQ(trace.readings[0].reading.digits, -50);
  EXPECT_EQ(trace.readings[0].reading.exponent, -3);
  EXPECT_EQ(trace.readings[0].reading.unit, MASLIN_KG);
}

TEST(Trace, SortsDevicesIntoOneTimeLine) {
  const auto trace = good(header + "0,a,mass,1,g,\n2,a,mass,2,g,\n1,b,mass,3,g,\n2,b,mass,4,g,\n");
  std::vector<std::int64_t> digits;
  for (const auto& one : trace.readings) digits.push_back(one.reading.digits);
  EXPECT_THAT(digits, testing::ElementsAre(1, 3, 2, 4));
}

TEST(Trace, TakesDosLinesAndAByteOrderMark) {
  EXPECT_EQ(good("\xEF\xBB\xBF" + header + "0,a,mass,1,g,\r\n").readings.size(), 1U);
}

TEST(Trace, AStateWithoutAValueNeedsNone) {
  const auto trace = good(header + "0,a,mass,,g,over\n1,a,mass,,g,under\n2,a,mass,,g,fault\n");
  EXPECT_EQ(trace.readings[0].reading.state, MASLIN_OVER);
  EXPECT_EQ(trace.readings[2].reading.state, MASLIN_FAULT);
}

TEST(Trace, APressIsARowWithoutAUnit) {
  EXPECT_EQ(good(header + "3,pedal,press,1,,\n").devices[0].quantity, MASLIN_PRESS);
}

TEST(Trace, APeriodIsKnownOnlyWhereItIsStated) {
  EXPECT_EQ(good(header + "0,a,mass,1,g,\n").devices[0].period_ns, 0);
  const auto trace = good("# device a period=0.1s\n" + header + "0,a,mass,1,g,\n");
  EXPECT_EQ(trace.devices[0].period_ns, 100'000'000);
}

TEST(Trace, NamesWhatIsWrongWhereAndWhatToWrite) {
  EXPECT_EQ(
      first_fault("time,device\n"),
      "f.csv:1:1: not the header of a trace; write: time_s,device,quantity,value,unit,status");
  EXPECT_THAT(first_fault(""), HasSubstr("no header line"));
  EXPECT_EQ(first_fault(header + "0,a,mass,1\n"),
            "f.csv:2:1: 4 fields in a row of 6; write: time_s,device,quantity,value,unit,status");
  EXPECT_THAT(first_fault(header + "soon,a,mass,1,g,\n"),
              HasSubstr("f.csv:2:1: 'soon' is no time"));
  EXPECT_THAT(first_fault(header + "-1,a,mass,1,g,\n"), HasSubstr("is no time"));
  EXPECT_THAT(first_fault(header + "1e9,a,mass,1,g,\n"), HasSubstr("is no time"));
  EXPECT_THAT(first_fault(header + "99999999,a,mass,1,g,\n"), HasSubstr("is no time"));
  EXPECT_THAT(first_fault(header + "0,,mass,1,g,\n"), HasSubstr("f.csv:2:3: no device"));
  EXPECT_THAT(first_fault(header + "0,a,weight,1,g,\n"),
              HasSubstr("f.csv:2:5: unknown quantity 'weight'; write one of mass, temperature"));
  EXPECT_THAT(first_fault(header + "0,a,mass,nan,g,\n"),
              HasSubstr("f.csv:2:10: 'nan' is no decimal"));
  EXPECT_THAT(first_fault(header + "0,a,mass,,g,steady\n"), HasSubstr("is no decimal number"));
  EXPECT_THAT(first_fault(header + "0,a,mass,1,degC,\n"),
              HasSubstr("f.csv:2:12: 'degC' is no unit of mass; write one of mg, g, kg, oz, lb"));
  EXPECT_THAT(first_fault(header + "0,a,mass,1,g,calm\n"),
              HasSubstr("f.csv:2:14: unknown status 'calm'; write one of steady, moving"));
  EXPECT_THAT(first_fault(header + "1,a,mass,1,g,\n0,a,mass,1,g,\n"),
              HasSubstr("f.csv:3:1: time goes back for device 'a'"));
  EXPECT_THAT(first_fault(header + "0,a,mass,1,g,\n1,a,temperature,1,degC,\n"),
              HasSubstr("had another quantity before"));
}

TEST(Trace, NamesAWrongDeviceLine) {
  EXPECT_THAT(first_fault("# device\n" + header), HasSubstr("f.csv:1:1: a device without a name"));
  EXPECT_THAT(first_fault("# device a size=1g\n" + header),
              HasSubstr("f.csv:1:12: unknown property 'size'"));
  EXPECT_THAT(first_fault("# device a interval=1\n" + header),
              HasSubstr("f.csv:1:21: '1' is no amount above zero"));
  EXPECT_THAT(first_fault("# device a interval=0g\n" + header), HasSubstr("no amount above zero"));
  EXPECT_THAT(first_fault("# device a interval=1cup\n" + header), HasSubstr("unknown unit 'cup'"));
  EXPECT_THAT(first_fault("# device a interval=1g capacity=5kg\n" + header),
              HasSubstr("write both in one unit"));
  EXPECT_THAT(first_fault("# device a interval=1g\n" + header), HasSubstr("'a' has no rows"));
}

TEST(Trace, AScaleHasNoIntervalInDegrees) {
  EXPECT_EQ(
      first_fault("# device a interval=1degC\n" + header + "0,a,mass,1,g,\n"),
      "f.csv:3:5: interval or capacity in 'degC', which is no unit of mass; write one of mg, g, "
      "kg, oz, lb in the line of the device");
  EXPECT_EQ(first_fault("# device a interval=0.1degC\n" + header + "0,a,temperature,1,degF,\n"),
            "none");
}

TEST(Trace, StopsAfterTwentyFaults) {
  std::string text = header;
  for (int i = 0; i < 1'000; ++i) text += "x\n";
  EXPECT_EQ(read(text).faults.size(), 20U);
}

}  // namespace
}  // namespace maslin::trace
