// The kitchens of weeks.hpp.
#include "weeks.hpp"

namespace maslin::scenario {
namespace {

constexpr const char* brine = R"(
seed = 72
[scale]
interval_g = 0.5
capacity_g = 5000
noise_g = 0.05
sleep_s = 120
[probe]
period_s = 3600
[room]
mean_c = 20.5
swing_k = 0.9
[room_probe]
lag_s = 1800
period_s = 300
[[ingredient]]
name = "carrot"
style = "scoop"
scoop_g = 90
has_g = 640
[[ingredient]]
name = "water"
flow_g_s = 30
[[ingredient]]
name = "table salt"
style = "scoop"
scoop_g = 12
[[answer]]
hears = "Peel the carrots"
does = "vessel"
after_s = 60
[[answer]]
hears = "Stir until"
does = "press"
after_s = 400
[[answer]]
hears = "Taste them"
does = "press"
after_s = 600
)";

}  // namespace

Setting cure_weeks() {
  Setting setting;
  setting.kitchen = kitchen_of(file_text("plugins/kitchen/quayside-cure.toml"));
  setting.formula = file_text("daemon/formula/shipped/quayside-cured-pork.toml");
  setting.facts.nitrite_pct = 6.25;
  setting.request.have = {"pork loin=1800 g"};
  return setting;
}

Setting long_cure_weeks() {
  auto setting = cure_weeks();
  const std::string time = "time = \"14 days\"";
  setting.formula.replace(setting.formula.find(time), time.size(), "time = \"3 weeks\"");
  return setting;
}

Setting brine_weeks() {
  Setting setting;
  setting.kitchen = kitchen_of(brine);
  setting.formula = file_text("daemon/formula/shipped/quayside-brined-carrots.toml");
  return setting;
}

void restart_every_night(Stage& stage, int nights) {
  // Begun at seven in the evening.
  for (int night = 0; night < nights; ++night) {
    stage.at(3 * hour_s + night * day_s, [&stage] { stage.power_cut(8 * hour_s); });
  }
}

std::size_t words_while_standing(const Stage& stage) {
  const double began_ms = stage.began_s("stand") * 1000;
  std::size_t words = 0;
  for (const auto& one : stage.said()) {
    const auto* cue = std::get_if<proto::Cue>(&one.outcome);
    if (cue == nullptr || static_cast<double>(one.at_ms) < began_ms || cue->id == "caution" ||
        cue->id == "step") {
      continue;
    }
    if (cue->id == "dwell_done") break;
    ++words;
  }
  return words;
}

proto::Stood stood(const Stage& stage) {
  const auto all = stage.all<proto::Stood>();
  return all.empty() ? proto::Stood{} : all.back();
}

void expect_quiet_weeks(const Stage& stage, double days) {
  EXPECT_TRUE(stage.all<proto::Held>().empty()) << stage.diary();
  for (const char* id : {"room_asked", "room_lost", "room_warm"}) {
    EXPECT_TRUE(stage.told(id).empty()) << id << stage.diary();
  }
  EXPECT_LE(static_cast<double>(words_while_standing(stage)), days + 1) << stage.diary();
  EXPECT_TRUE(stage.all<proto::Deviation>().empty()) << stage.diary();
  EXPECT_TRUE(stood(stage).done) << stage.diary();
  expect_complete(stage);
}

}  // namespace maslin::scenario
