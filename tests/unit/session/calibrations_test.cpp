// A scale's calibration as the cook makes it: word by word while the loads are on the scale, kept
// with the device, and in force in the next batch.
#include "daemon/session/calibrations.hpp"

#include <gmock/gmock.h>

#include "stove.hpp"

namespace maslin::session {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::Not;

class Calibrate : public StoveTest {
 protected:
  void SetUp() override {
    StoveTest::SetUp();
    sent_ms = now_ms();
    stand(0, 0.2);  // a device gets a role when it is known
    ASSERT_TRUE(session->assign({"bench", "test"}).has_value());
  }

  // The scale shows so much for so long, ten times a second.
  void stand(std::int64_t grams, double seconds) {
    for (int i = 0; i < static_cast<int>(seconds * 10 + 0.5); ++i) {
      devices::Happening one;
      one.kind = devices::Happening::Kind::reading;
      one.at_ms = sent_ms += 100;
      one.device = scale;
      one.reading.at_ms = one.at_ms;
      one.reading.digits = grams;
      one.reading.unit = unit;
      session->happened({&one, 1});
    }
  }
  // The answer to a word, once the scale has stood for so long; a trouble as one of its lines.
  proto::CalibrationStatus say(const std::string& what, std::int64_t shows_g, double known_g = 0,
                               std::optional<double> within = std::nullopt) {
    proto::CalibrateRequest request;
    request.role = "bench";
    request.what = what;
    request.known_g = known_g;
    request.within = within;
    return say(request, shows_g);
  }
  proto::CalibrationStatus say(const proto::CalibrateRequest& request, std::int64_t shows_g) {
    const auto answer = std::make_shared<proto::CalibrationStatus>();
    answer->state = "no answer";
    session->calibrate(request, [answer](const auto& status) {
      if (status) {
        *answer = *status;
      } else {
        answer->state = "trouble";
        answer->lines = {proto::line(status.error())};
      }
    });
    stand(shows_g, 7);
    return *answer;
  }
  std::string trouble(const proto::CalibrationStatus& answer) {
    return answer.state == "trouble" ? answer.lines.front() : "";
  }
  void calibrated(std::int64_t shown_g) { ASSERT_EQ(calibrate(shown_g).state, "kept"); }
  // With a kilogram that shows so much, and with half of it.
  proto::CalibrationStatus calibrate(std::int64_t shown_g) {
    say("begin", 0);
    say("load", shown_g, 1000, 0.5);
    say("load", shown_g / 2, 500, 0.25);
    return say("finish", 0);
  }
  std::vector<std::string> plan_notes() {
    proto::PlanRequest request;
    request.text = formula();
    const auto plan = session->plan(request);
    return plan ? plan->notes : std::vector<std::string>{};
  }

  std::int64_t sent_ms = 0;
  proto::Unit unit = proto::Unit::g;
};

TEST_F(Calibrate, IsTakenLoadByLoadAndKeptWithTheDevice) {
  EXPECT_EQ(say("begin", 0).state, "begun");
  EXPECT_EQ(say("load", 501, 500, 0.25).state, "loaded");
  const auto loaded = say("load", 1003, 1000, 0.5);
  ASSERT_EQ(loaded.loads.size(), 2U);
  EXPECT_DOUBLE_EQ(loaded.loads[1].shown_g, 1003);
  const auto kept = say("finish", 0);
  ASSERT_EQ(kept.state, "kept") << kept.lines.front();
  ASSERT_TRUE(kept.kept.has_value());
  EXPECT_NEAR(kept.kept->slope, 1.003, 0.0012);
  EXPECT_EQ(kept.kept->loads, 2);
  EXPECT_EQ(kept.kept->heaviest_ug, 1'000'000'000);
  EXPECT_EQ(session->devices().devices.front().calibration, kept.kept);
  ASSERT_TRUE(all_on_disk());
  begin();  // the daemon is started anew
  EXPECT_EQ(session->devices().devices.front().calibration, kept.kept);
}

TEST_F(Calibrate, EntersThePlanAndTheStartOfABatch) {
  EXPECT_THAT(plan_notes(), Not(Contains(HasSubstr("corrected"))));
  calibrated(1004);
  EXPECT_THAT(plan_notes(), Contains(HasSubstr("The bench scale shows 0.4 % too much")));
  start();
  const auto stored = record();
  EXPECT_THAT(stored.entries.front().text, HasSubstr(R"("slope":1.004)"));
  say("finish", 0);
}

TEST_F(Calibrate, SaysHowTheScaleHasDriftedSinceTheLastOne) {
  calibrated(1003);
  const auto later = calibrate(1007);
  EXPECT_THAT(later.lines, Contains(HasSubstr("drifted by 0.4 %")));
  EXPECT_NEAR(later.kept->slope_before, 1.003, 0.0005);
  EXPECT_THAT(calibrate(1007).lines, Contains(HasSubstr("not drifted")));
}

TEST_F(Calibrate, WhatIsRefusedLeavesTheOneBeforeAsItWas) {
  calibrated(1003);
  const auto refused = calibrate(1100);
  EXPECT_EQ(refused.state, "refused");
  EXPECT_EQ(refused.refusal, "wrong mass");
  EXPECT_THAT(refused.lines, Contains(HasSubstr("The calibration before it stands")));
  EXPECT_NEAR(session->devices().devices.front().calibration->slope, 1.003, 0.0005);
}

TEST_F(Calibrate, MeasuredWaterIsAsGoodAsItsFlask) {
  proto::CalibrateRequest water;
  water.role = "bench";
  water.what = "load";
  water.known_ml = 1000;
  water.within = 0.8;
  say("begin", 0);
  EXPECT_NEAR(say(water, 1000).loads.front().known_g, 997.156, 0.001);
  say("load", 501, 500, 0.25);
  EXPECT_EQ(say("finish", 0).state, "kept");
  say("begin", 0);
  water.within = 10;  // a jug
  say(water, 1000);
  say("load", 500, 500, 0.25);
  EXPECT_EQ(say("finish", 0).refusal, "no gain");
  water.celsius = 90;
  say("begin", 0);
  EXPECT_THAT(trouble(say(water, 1000)), HasSubstr("0 to 40 °C"));
}

TEST_F(Calibrate, EachWordIsRefusedWhereItHasNoPlace) {
  EXPECT_THAT(trouble(say("load", 500, 500, 0.25)), HasSubstr("under way"));
  say("begin", 0);
  EXPECT_THAT(trouble(say("load", 500, 500)), HasSubstr("how well is that known"));
  EXPECT_THAT(trouble(say("finish", 0)), HasSubstr("no load was weighed"));
  EXPECT_THAT(trouble(say("dance", 0)), HasSubstr("no word"));
  proto::CalibrateRequest fine;
  fine.role = "fine";
  fine.what = "begin";
  EXPECT_THAT(trouble(say(fine, 0)), HasSubstr("there is no fine scale"));
  fine.role = "pan";
  EXPECT_THAT(trouble(say(fine, 0)), HasSubstr("there is no pan thermometer"));
  fine.role = "pedal";
  EXPECT_THAT(trouble(say(fine, 0)), HasSubstr("is no scale"));
}

// The cook may say it before the load is on, and the last load is never taken for the next.
TEST_F(Calibrate, WaitsUntilThePanIsAsTheCookSays) {
  say("begin", 0);
  EXPECT_EQ(say("load", 0, 500, 0.25).state, "no answer");
  EXPECT_THAT(trouble(say("load", 500, 500, 0.25)), HasSubstr("wait for its answer"));
  EXPECT_EQ(say("load", 500, 1000, 0.5).state, "no answer");
  stand(0, 7);
  EXPECT_THAT(trouble(say("finish", 1000)), HasSubstr("wait for its answer"));
  const auto end = say("finish", 1000);
  EXPECT_EQ(end.state, "no answer");
  stand(0, 7);
  EXPECT_TRUE(session->devices().devices.front().calibration.has_value());
}

TEST_F(Calibrate, OneLoadIsTooFewAndMayBeFollowedByAnother) {
  say("begin", 0);
  const auto first = say("load", 500, 500, 0.25);
  EXPECT_EQ(first.refusal, "too few");
  EXPECT_THAT(first.next, Not(HasSubstr("--finish")));
  EXPECT_THAT(trouble(say("finish", 0)), HasSubstr("one load cannot show"));
  EXPECT_EQ(say("load", 1000, 1000, 0.5).state, "loaded");
  EXPECT_EQ(say("finish", 0).state, "kept");
}

TEST_F(Calibrate, IsGivenUpWhenItsZeroIsLost) {
  say("begin", 0);
  say("load", 500, 500, 0.25);
  say("load", 1000, 1000, 0.5);
  unit = proto::Unit::oz;
  EXPECT_THAT(trouble(say("finish", 0)), HasSubstr("the unit of the scale was changed"));
  EXPECT_THAT(trouble(say("finish", 0)), HasSubstr("under way"));
}

TEST_F(Calibrate, NeitherABatchNorACalibrationDisturbsTheOther) {
  say("begin", 0);
  start();
  EXPECT_THAT(trouble(say("load", 500, 500, 0.25)), HasSubstr("is running"));
}

TEST_F(Calibrate, CanBeForgotten) {
  calibrated(1003);
  EXPECT_EQ(say("forget", 0).state, "forgotten");
  EXPECT_FALSE(session->devices().devices.front().calibration.has_value());
  ASSERT_TRUE(all_on_disk());
  begin();
  EXPECT_FALSE(session->devices().devices.front().calibration.has_value());
}

TEST_F(Calibrate, AScaleThatSendsNothingIsNotCalledRestless) {
  Calibrations hasty(io, *store, std::chrono::milliseconds(1));
  const auto describe = devices->registry().description(scale);
  std::string said;
  hasty.begin({scale, proto::Role::bench, describe, 300},
              [&](const auto& status) { said = status ? "begun" : proto::line(status.error()); });
  io.restart();
  while (said.empty() && io.run_one() > 0) {
  }
  EXPECT_THAT(said, HasSubstr("the scale has sent nothing"));
}

}  // namespace
}  // namespace maslin::session
