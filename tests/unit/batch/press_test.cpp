// A firm press of the scale's pan as the cook's ok.
#include <gtest/gtest.h>

#include "evening.hpp"

namespace maslin::batch {
namespace {

std::vector<std::string> oks(const Evening& evening) {
  std::vector<std::string> all;
  for (const auto& one : evening.all<proto::Condition>()) {
    if (one.what == "ok") all.push_back(one.evidence);
  }
  return all;
}

// Everything weighed and on the stove; the scale stands there with the bowl on it.
void heat_up(Evening& evening) {
  evening.begin();
  evening.put(400);
  evening.pour(320);
  evening.say("ok");
  while (evening.engine.status().phase == "weigh") {
    if (evening.by_measure(evening.waits_for())) {
      evening.say("ok");
    } else {
      evening.pour(evening.aim_g(evening.waits_for()));
    }
  }
  evening.wait(3);
}

TEST(PressOfTheScale, SaysOkWhileNothingIsWeighedAndTheRecordSaysHow) {
  Evening evening("quayside-onion-relish", false);
  heat_up(evening);
  ASSERT_EQ(evening.engine.status().phase, "heat");
  evening.press();
  EXPECT_EQ(evening.engine.status().phase, "dwell");
  EXPECT_EQ(oks(evening), (std::vector<std::string>{"by a press of the scale"}));
}

TEST(PressOfTheScale, MeansNothingWhileSomethingIsWeighed) {
  Evening evening;
  evening.begin();
  evening.put(400);
  evening.pour(320);
  ASSERT_EQ(evening.engine.status().phase, "weigh");
  evening.press();
  evening.wait(5);
  EXPECT_EQ(evening.waits_for(), evening.start.plan.lead);
  EXPECT_TRUE(oks(evening).empty());
}

TEST(PressOfTheScale, AnswersNoStepThatWasAskedForAfterTheHandWasOn) {
  Evening evening("quayside-onion-relish", false);
  heat_up(evening);
  evening.press();
  ASSERT_EQ(evening.engine.status().phase, "dwell");
  evening.wait(598.2);
  evening.press();  // in the last second of the time that must pass
  ASSERT_EQ(evening.engine.status().phase, "fill");
  EXPECT_EQ(oks(evening).size(), 1U);
}

TEST(PressOfTheScale, ASecondOneThatComesAtOnceDoesNotConfirmWhatTheThermometerDenies) {
  Evening evening;
  heat_up(evening);
  evening.heat(30, 60);
  evening.press();
  ASSERT_EQ(evening.cues("ask"), 1);
  evening.press();
  evening.wait(2);
  EXPECT_EQ(evening.engine.status().phase, "heat");
  evening.wait(3);
  evening.press();  // the question has been heard out
  EXPECT_EQ(evening.engine.status().phase, "dwell");
}

TEST(PressOfTheScale, EndsTheCooksOwnHold) {
  Evening evening("quayside-onion-relish", false);
  heat_up(evening);
  evening.say("hold");
  evening.wait(2);
  evening.press();
  EXPECT_EQ(evening.state(), "running");
  EXPECT_EQ(evening.engine.status().phase, "heat");
}

TEST(PressOfTheScale, WhatIsTooSoftOrTooLongIsNone) {
  Evening evening("quayside-onion-relish", false);
  heat_up(evening);
  evening.press(60);
  evening.press(700, 3);
  evening.wait(5);
  EXPECT_EQ(evening.engine.status().phase, "heat");
}

TEST(PressOfThePedal, StandsInTheRecordToo) {
  Evening evening("quayside-onion-relish", false);
  proto::DeviceDescription pedal;
  pedal.id = "test:pedal";
  pedal.quantity = proto::Quantity::press;
  evening.start.devices.push_back({proto::Role::pedal, pedal});
  heat_up(evening);
  evening.send(1, 1, proto::Unit::count, proto::Quantity::press, 0);
  EXPECT_EQ(oks(evening), (std::vector<std::string>{"by a press of the pedal"}));
}

}  // namespace
}  // namespace maslin::batch
