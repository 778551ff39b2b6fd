// Eighty-one harmless evenings: what differs from kitchen to kitchen and what happens in every one,
// in each of three batches. Nothing is held, no time begins again, and hardly a word more is said
// than in the undisturbed evening.
#include <ostream>

#include "kitchens.hpp"

namespace maslin::scenario {
namespace {

using kitchen::PotName;
using proto::Role;
using What = kitchen::TroubleModel::What;

struct Batch {
  const char* name;
  Setting (*evening)();
};
constexpr Batch batches[] = {{"shelf relish", shelf_evening},
                             {"refrigerator relish", refrigerator_evening},
                             {"pepper jelly", jelly_evening}};

struct Disturbance {
  const char* name;
  void (*before)(Setting&);          // another kitchen
  void (*during)(Stage&) = nullptr;  // something happens
};

void both_boil_higher(Setting& setting, double kelvin) {
  setting.kitchen.pot.boils_at_c += kelvin;
  if (setting.kitchen.canner) setting.kitchen.canner->pot.boils_at_c += kelvin;
}
void nothing(Setting&) {}

constexpr Disturbance disturbances[] = {
    {"another cook", [](Setting& s) { s.kitchen.seed += 1000; }},
    {"yet another cook", [](Setting& s) { s.kitchen.seed += 2000; }},
    {"high barometer", [](Setting& s) { both_boil_higher(s, 0.4); }},
    {"low barometer", [](Setting& s) { both_boil_higher(s, -0.4); }},
    {"probes show too much",
     [](Setting& s) { s.kitchen.probe.offset_k = s.kitchen.canner_probe.offset_k = 0.4; }},
    {"probes show too little",
     [](Setting& s) { s.kitchen.probe.offset_k = s.kitchen.canner_probe.offset_k = -0.4; }},
    {"slow probes", [](Setting& s) { s.kitchen.probe.lag_s = s.kitchen.canner_probe.lag_s = 10; }},
    {"quick probes", [](Setting& s) { s.kitchen.probe.lag_s = s.kitchen.canner_probe.lag_s = 2; }},
    {"probes send every two seconds",
     [](Setting& s) { s.kitchen.probe.period_s = s.kitchen.canner_probe.period_s = 2; }},
    {"restless probes",
     [](Setting& s) { s.kitchen.probe.noise_k = s.kitchen.canner_probe.noise_k = 0.08; }},
    {"small burner", [](Setting& s) { s.kitchen.pot.power_w *= 0.75; }},
    {"large burner", [](Setting& s) { s.kitchen.pot.power_w *= 1.3; }},
    {"cold kitchen", [](Setting& s) { s.kitchen.pot.room_c = 12; }},
    {"small scoops",
     [](Setting& s) {
       for (auto& one : s.kitchen.ingredients) {
         if (one.style == "scoop") one.scoop_g *= 0.6;
       }
     }},
    {"slow hands", [](Setting& s) { s.kitchen.cook.reaction_s = 1.5; }},
    {"careless by eye", [](Setting& s) { s.kitchen.cook.care *= 1.5; }},
    {"heavy bowl", [](Setting& s) { s.kitchen.cook.vessel_g = 930; }},
    {"light bowl", [](Setting& s) { s.kitchen.cook.vessel_g = 95; }},
    {"restless scale", [](Setting& s) { s.kitchen.scale.noise_g *= 2; }},
    {"two readings a second", [](Setting& s) { s.kitchen.scale.rate_hz = 2; }},
    {"lazy display", [](Setting& s) { s.kitchen.scale.lag_s = 0.8; }},
    {"scale shows 0.1 % too much", [](Setting& s) { s.kitchen.scale.span_ppm = 1000; }},
    {"scale sleeps when nothing is on it", [](Setting& s) { s.kitchen.scale.sleep_s = 25; }},
    {"spoon on the scale while the pan boils",
     [](Setting& s) {
       s.kitchen.troubles.push_back(trouble(What::spoon_on_scale, PotName::pan, 8, 12));
     }},
    {"samples lost", nothing,
     [](Stage& stage) {
       stage.when("heat", 40, [&stage] { stage.drop(Role::pan, 2.5); });
       stage.when("dwell", 20, [&stage] { stage.drop(Role::pan, 2.5); });
     }},
    {"clock set right", nothing,
     [](Stage& stage) {
       stage.when("heat", 30, [&stage] { stage.give(proto::ClockStep{3'600'000}); });
     }},
    {"notes and a wrong ok", nothing,
     [](Stage& stage) {
       stage.when("dwell", 20, [&stage] {
         EXPECT_EQ(stage.say("note", "smells of clove"), "");
         EXPECT_NE(stage.say("ok"), "");
       });
     }},
};

std::ostream& operator<<(std::ostream& out, const Disturbance& one) { return out << one.name; }
std::ostream& operator<<(std::ostream& out, const Batch& one) { return out << one.name; }

class Harmless : public testing::TestWithParam<std::tuple<Batch, Disturbance>> {};

// Words that a cook hears besides the tones of the pour, which depend on the scoops.
std::size_t words(const Stage& stage) {
  std::size_t n = 0;
  for (const auto& cue : stage.all<proto::Cue>()) {
    n += cue.id != "more" && cue.id != "slow" && cue.id != "stop" ? 1U : 0U;
  }
  return n;
}

TEST_P(Harmless, HoldsNothingBeginsNoTimeAgainAndSaysFewWords) {
  const auto& [batch, disturbance] = GetParam();
  Stage calm(batch.evening());
  calm.run(night_s);
  Setting setting = batch.evening();
  disturbance.before(setting);
  Stage stage(setting);
  if (disturbance.during != nullptr) disturbance.during(stage);
  stage.run(night_s);
  expect_nothing_lost(stage);
  expect_complete(stage);
  if (stage.began_s("water bath") > 0) expect_full_bath(stage);
  EXPECT_LE(words(stage), words(calm) + 4) << stage.diary();
  for (const auto& [name, weighing] : stage.weighings()) {
    if (weighing.indications > 0) {
      EXPECT_NEAR(static_cast<double>(weighing.net_ug) / 1e6, stage.truth_g(name), 3.0) << name;
    }
  }
}

std::string file_name(const testing::TestParamInfo<std::tuple<Batch, Disturbance>>& info) {
  std::string name = std::string(std::get<0>(info.param).name) + "_" + std::get<1>(info.param).name;
  for (char& c : name) {
    if (!std::isalnum(static_cast<unsigned char>(c))) c = '_';
  }
  return name;
}

INSTANTIATE_TEST_SUITE_P(Evenings, Harmless,
                         testing::Combine(testing::ValuesIn(batches),
                                          testing::ValuesIn(disturbances)),
                         file_name);

}  // namespace
}  // namespace maslin::scenario
