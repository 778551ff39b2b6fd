// A thermometer's calibration as the cook makes it: in ice, at the boil, kept with the device, and
// in force in the next batch.
#include "daemon/session/probes.hpp"

#include <gmock/gmock.h>

#include "stove.hpp"

namespace maslin::session {
namespace {

using testing::AllOf;
using testing::Contains;
using testing::HasSubstr;

class CalibrateProbe : public StoveTest {
 protected:
  void SetUp() override {
    StoveTest::SetUp();
    plug_in();
    proto::Settings settings;
    settings.altitude_m = 0;
    ASSERT_TRUE(session->set(settings).has_value());
  }
  void plug_in() {
    proto::link::Arrived about;
    about.quantity = proto::Quantity::temperature;
    about.unit = proto::Unit::celsius;
    about.interval_digits = 1;
    about.vendor = "test";
    about.product = "probe";
    about.serial = "7";
    about.period_ns = 1'000'000'000;
    probe = devices->registry().arrived("test", false, about, now_ms());
    sent_ms = now_ms();
    stand(20, 2);
    ASSERT_TRUE(session->assign({"canner", "test:probe:7"}).has_value());
  }
  // The thermometer shows so much for so long, once a second.
  void stand(double celsius, int seconds) {
    for (int i = 0; i < seconds; ++i) {
      devices::Happening one;
      one.kind = devices::Happening::Kind::reading;
      one.at_ms = sent_ms += 1000;
      one.device = probe;
      one.reading.at_ms = one.at_ms;
      one.reading.digits = std::llround(celsius * 10);
      one.reading.exponent = -1;
      one.reading.unit = proto::Unit::celsius;
      one.reading.quantity = proto::Quantity::temperature;
      session->happened({&one, 1});
    }
  }
  proto::CalibrationStatus say(const std::string& what, double shows_c,
                               std::optional<double> hpa = std::nullopt) {
    proto::CalibrateRequest request;
    request.role = "canner";
    request.what = what;
    request.pressure_hpa = hpa;
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
    stand(shows_c, 45);
    return *answer;
  }
  std::string trouble(const std::string& what, double shows_c,
                      std::optional<double> hpa = std::nullopt) {
    const auto answer = say(what, shows_c, hpa);
    return answer.state == "trouble" ? answer.lines.front() : "";
  }

  devices::Number probe = 0;
  std::int64_t sent_ms = 0;
};

TEST_F(CalibrateProbe, IsTakenInIceAndAtTheBoilAndKeptWithTheDevice) {
  const auto ice = say("ice", 0.4);
  ASSERT_EQ(ice.state, "ice") << ice.lines.front();
  EXPECT_THAT(ice.next, HasSubstr("--boiling"));
  const auto kept = say("boiling", 100.6);
  ASSERT_EQ(kept.state, "kept") << kept.lines.front();
  EXPECT_THAT(kept.lines.front(), AllOf(HasSubstr("0.6 K too much"), HasSubstr("0.4 K too much")));
  ASSERT_TRUE(kept.probe.has_value());
  EXPECT_EQ(kept.probe->boil_true_mk, 273'150 + 99'974);
  EXPECT_EQ(kept.probe->boil_by, "altitude");
  EXPECT_NEAR(static_cast<double>(kept.probe->boil_u_mk), 260, 25);
  ASSERT_TRUE(all_on_disk());
  begin();  // the daemon is started anew
  plug_in();
  const auto listed = session->devices().devices;
  EXPECT_TRUE(std::any_of(listed.begin(), listed.end(),
                          [&](const auto& one) { return one.probe == kept.probe; }));
}

TEST_F(CalibrateProbe, TheOrderIsFreeAndABarometerMakesItBetter) {
  EXPECT_EQ(say("boiling", 99.9, 1010.0).state, "boiling");
  const auto kept = say("ice", 0.0);
  ASSERT_EQ(kept.state, "kept") << kept.lines.front();
  EXPECT_EQ(kept.probe->boil_by, "pressure");
  EXPECT_LT(kept.probe->boil_u_mk, 100);
}

TEST_F(CalibrateProbe, RefusesWhatIsNoIceAndNoBoil) {
  EXPECT_THAT(trouble("boiling", 60), HasSubstr("water boils at 100.0 °C here"));
  EXPECT_THAT(trouble("boiling", 85), HasSubstr("measured nothing"));
  EXPECT_THAT(trouble("boiling", 212), HasSubstr("Fahrenheit"));
  EXPECT_THAT(trouble("ice", 32), HasSubstr("Fahrenheit"));
  EXPECT_THAT(trouble("ice", 21), HasSubstr("no ice"));
}

TEST_F(CalibrateProbe, AWrongAltitudeIsNotCalibratedAway) {
  say("ice", 0.1);
  const auto wrong = say("boiling", 96.7);  // at 1000 m, and 0 m was told
  EXPECT_EQ(wrong.state, "refused");
  EXPECT_THAT(wrong.lines.front(), HasSubstr("maslin settings --altitude"));
  EXPECT_FALSE(wrong.probe.has_value());
  // The true pressure decides that it is the probe.
  EXPECT_EQ(say("boiling", 98.2, 1013.0).state, "kept");
}

TEST_F(CalibrateProbe, RefusesPressuresThatAreNone) {
  EXPECT_THAT(trouble("boiling", 100, 29.9), HasSubstr("29.9 inHg"));
  EXPECT_THAT(trouble("boiling", 100, 5000.0), HasSubstr("300 to 1100"));
  proto::Settings settings = session->settings();
  settings.altitude_m = 1500;
  ASSERT_TRUE(session->set(settings).has_value());
  EXPECT_THAT(trouble("boiling", 95, 1013.0), HasSubstr("reduced to the sea"));
  settings.altitude_m.reset();
  ASSERT_TRUE(session->set(settings).has_value());
  EXPECT_THAT(trouble("boiling", 95), HasSubstr("is not known"));
}

TEST_F(CalibrateProbe, EntersThePlanAndTheStartOfABatch) {
  say("ice", 0.4);
  ASSERT_EQ(say("boiling", 100.6).state, "kept");
  proto::PlanRequest request;
  request.text = formula();
  const auto plan = session->plan(request);
  ASSERT_TRUE(plan.has_value());
  EXPECT_THAT(plan->notes, Contains(HasSubstr("canner's thermometer shows 0.6 K too much")));
  start();
  EXPECT_THAT(record().entries.front().text, HasSubstr(R"("boil_by":"altitude")"));
  EXPECT_THAT(trouble("ice", 0), HasSubstr("is running"));
}

TEST_F(CalibrateProbe, APlanThatGoesByItRemindsWhenItIsOldOrMissing) {
  const Probes probes(io, *store);
  proto::Plan plan;
  plan.operations.resize(2);
  plan.operations[0].until = "above boil";
  plan.operations[1].kind = "water bath";
  proto::DeviceDescription thermometer;
  thermometer.quantity = proto::Quantity::temperature;
  proto::LeasedDevice pan{proto::Role::pan, thermometer, {}, {}};
  EXPECT_THAT(probes.notes(plan, {pan}, 0), Contains(HasSubstr("never held against ice")));
  pan.probe = proto::ProbeCalibration{};
  constexpr std::int64_t year_ms = 365LL * 24 * 3600 * 1000;
  EXPECT_TRUE(probes.notes(plan, {pan}, year_ms - 1).empty());
  EXPECT_THAT(probes.notes(plan, {pan}, year_ms + 1), Contains(HasSubstr("more than a year ago")));
  plan.operations.clear();
  pan.probe.reset();
  EXPECT_TRUE(probes.notes(plan, {pan}, 0).empty());
}

TEST_F(CalibrateProbe, SaysHowItHasDriftedAndIsForgotten) {
  say("ice", 0);
  say("boiling", 100);
  say("ice", 0);
  EXPECT_THAT(say("boiling", 101.2).lines, Contains(HasSubstr("drifted by 1.2 K")));
  EXPECT_EQ(say("forget", 20).state, "forgotten");
  const auto listed = session->devices().devices;
  EXPECT_TRUE(std::none_of(listed.begin(), listed.end(),
                           [](const auto& one) { return one.probe.has_value(); }));
}

TEST_F(CalibrateProbe, AThermometerThatSendsNothingIsNotCalledRestless) {
  Probes hasty(io, *store, std::chrono::milliseconds(1));
  proto::CalibrateRequest request;
  request.role = "canner";
  request.what = "ice";
  std::string said;
  hasty.point({probe, proto::Role::canner, devices->registry().description(probe)}, request, 0, 0,
              [&](const auto& status) { said = status ? "kept" : proto::line(status.error()); });
  io.restart();
  while (said.empty() && io.run_one() > 0) {
  }
  EXPECT_THAT(said, HasSubstr("the thermometer has sent nothing"));
}

}  // namespace
}  // namespace maslin::session
