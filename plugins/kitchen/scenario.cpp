// Scenario files by toml++. Unknown keys are faults, so that a misspelt slip does not pass for a
// good cook.
#include "plugins/kitchen/scenario.hpp"

#include <toml++/toml.h>
#include <algorithm>
#include <initializer_list>
#include <sstream>
#include <utility>

namespace maslin::kitchen {
namespace {

class Reader {
 public:
  explicit Reader(std::string_view file) : file_(file) {}

  void allow(const toml::table& table, std::initializer_list<std::string_view> keys) {
    for (const auto& [key, node] : table) {
      if (std::find(keys.begin(), keys.end(), key.str()) == keys.end()) {
        fault(node, "unknown key '" + std::string(key.str()) + "'");
      }
    }
  }
  void number(const toml::table& table, std::string_view key, double& out, double least,
              double most) {
    const auto* node = table.get(key);
    if (node == nullptr) return;
    const auto value = node->value<double>();
    if (!value || !(*value >= least && *value <= most)) {
      std::ostringstream range;
      range << key << " must be a number from " << least << " to " << most;
      fault(*node, range.str());
      return;
    }
    out = *value;
  }
  void text(const toml::table& table, std::string_view key, std::string& out) {
    const auto* node = table.get(key);
    if (node == nullptr) return;
    const auto value = node->value<std::string>();
    if (value) {
      out = *value;
    } else {
      fault(*node, std::string(key) + " must be a text");
    }
  }
  // One of the words given, with what it stands for.
  template <class Value>
  void word(const toml::table& table, std::string_view key,
            std::initializer_list<std::pair<std::string_view, Value>> words, Value& out) {
    const auto* node = table.get(key);
    if (node == nullptr) return;
    const auto value = node->value<std::string>();
    std::string known;
    for (const auto& [text, meaning] : words) {
      if (value && *value == text) {
        out = meaning;
        return;
      }
      known += (known.empty() ? "" : ", ") + std::string(text);
    }
    fault(*node, std::string(key) + " is one of: " + known);
  }
  // Every [[key]] in turn. What is no table there is a fault, not passed over.
  template <class Use>
  void each(const toml::table& all, std::string_view key, Use use) {
    const auto* node = all.get(key);
    if (node == nullptr) return;
    const auto* list = node->as_array();
    if (list == nullptr) {
      fault(*node, "write [[" + std::string(key) + "]]");
      return;
    }
    for (const auto& one : *list) {
      if (const auto* table = one.as_table()) {
        use(*table);
      } else {
        fault(one, "write [[" + std::string(key) + "]]");
      }
    }
  }
  // The [key], where there is one; true then.
  template <class Use>
  bool one(const toml::table& all, std::string_view key, Use use) {
    const auto* node = all.get(key);
    if (node == nullptr) return false;
    const auto* table = node->as_table();
    if (table == nullptr) {
      fault(*node, "write [" + std::string(key) + "]");
      return false;
    }
    use(*table);
    return true;
  }
  void wholes(const toml::table& table, std::string_view key, std::vector<int>& out) {
    const auto* node = table.get(key);
    if (node == nullptr) return;
    const auto* list = node->as_array();
    if (list == nullptr) {
      fault(*node, std::string(key) + " must be a list of numbers, [3]");
      return;
    }
    for (const auto& one : *list) {
      const auto value = one.value<std::int64_t>();
      if (one.is_integer() && value && *value >= 1 && *value <= 1000) {
        out.push_back(static_cast<int>(*value));
      } else {
        fault(one, std::string(key) + " holds whole numbers from 1 to 1000");
      }
    }
  }
  void texts(const toml::table& table, std::string_view key, std::vector<std::string>& out) {
    const auto* node = table.get(key);
    if (node == nullptr) return;
    const auto* list = node->as_array();
    if (list == nullptr) {
      fault(*node, std::string(key) + " must be a list of texts, [\"sugar\"]");
      return;
    }
    for (const auto& one : *list) {
      if (const auto value = one.value<std::string>()) {
        out.push_back(*value);
      } else {
        fault(one, std::string(key) + " must be a list of texts");
      }
    }
  }
  void fault(const toml::node& node, const std::string& what) {
    if (!trouble.empty()) return;
    const auto begin = node.source().begin;
    trouble = std::string(file_) + ":" + std::to_string(begin.line) + ":" +
              std::to_string(begin.column) + ": " + what;
  }

  std::string trouble;

 private:
  std::string_view file_;
};

constexpr double any = 1e6;
constexpr double hottest_boil_c = 150;
constexpr double coldest_boil_c = 50;

void read_probe(Reader& read, const toml::table& all, std::string_view key, ProbeModel& to) {
  read.one(all, key, [&](const toml::table& t) {
    read.allow(t, {"lag_s", "offset_k", "noise_k", "period_s"});
    read.number(t, "lag_s", to.lag_s, 0.1, 3600);
    read.number(t, "offset_k", to.offset_k, -5, 5);
    read.number(t, "noise_k", to.noise_k, 0, 2);
    read.number(t, "period_s", to.period_s, 0.1, 3600);
  });
}

void read_scale(Reader& read, const toml::table& t, ScaleModel& to) {
  read.allow(t, {"interval_g", "capacity_g", "rate_hz", "lag_s", "noise_g", "sleep_s", "span_ppm"});
  read.number(t, "interval_g", to.interval_g, 0.01, 100);
  read.number(t, "capacity_g", to.capacity_g, 1, any);
  read.number(t, "rate_hz", to.rate_hz, 0.5, 50);
  read.number(t, "lag_s", to.lag_s, 0, 3);
  read.number(t, "noise_g", to.noise_g, 0, 10);
  read.number(t, "sleep_s", to.sleep_s, 0, any);
  read.number(t, "span_ppm", to.span_ppm, -100'000, 100'000);
}

void read_canner(Reader& read, const toml::table& all, Scenario& to) {
  CannerModel canner;
  // Water, in a kitchen as warm as that of the pan.
  canner.pot.heat_capacity_j_gk = 4.19;  // at 20 to 100 °C, J/(g K); from memory
  canner.pot.room_c = to.pot.room_c;
  canner.pot.loss_w_per_k = 8;
  double litres = 9;
  const bool there = read.one(all, "canner", [&](const toml::table& t) {
    read.allow(t, {"water_l", "power_w", "loss_w_per_k", "lid_loses", "jars_c", "jars_j_per_k",
                   "jars_w_per_k", "boils_at_c", "start_c"});
    read.number(t, "water_l", litres, 0.5, 50);
    read.number(t, "power_w", canner.pot.power_w, 0, 20'000);
    read.number(t, "loss_w_per_k", canner.pot.loss_w_per_k, 0, 500);
    read.number(t, "lid_loses", canner.lid_loses, 0, 1);
    read.number(t, "jars_c", canner.jars_c, 0, hottest_boil_c);
    read.number(t, "jars_j_per_k", canner.jars_j_per_k, 100, any);
    read.number(t, "jars_w_per_k", canner.jars_w_per_k, 0, 1000);
    read.number(t, "boils_at_c", canner.pot.boils_at_c, coldest_boil_c, hottest_boil_c);
    read.number(t, "start_c", canner.start_c, 0, hottest_boil_c);
  });
  canner.water_g = litres * 1000;
  if (there) to.canner = canner;
}

void read_trays(Reader& read, const toml::table& all, Scenario& to) {
  TraysModel trays;
  double count = trays.drier.trays;
  const bool there = read.one(all, "trays", [&](const toml::table& t) {
    read.allow(t, {"count", "empty_g", "spread_g", "water_share", "rate_h", "from_core", "uneven",
                   "night", "weather", "stays", "warm_g", "warm_s", "starts_h", "brought_s",
                   "cools_s", "patience_s", "between_s", "away_from_h", "away_for_h"});
    read.number(t, "count", count, 1, 40);
    read.number(t, "empty_g", trays.drier.tray_g, 50, any);
    read.number(t, "spread_g", trays.drier.tray_spread_g, 0, 1000);
    read.number(t, "water_share", trays.drier.water_share, 0.05, 0.99);
    read.number(t, "rate_h", trays.drier.rate_h, 0, 10);
    read.number(t, "from_core", trays.drier.from_core, 0, 10);
    read.number(t, "uneven", trays.drier.uneven, 0, 1);
    read.number(t, "night", trays.drier.night, 0, 1);
    read.number(t, "weather", trays.drier.weather, 0, 1);
    read.number(t, "stays", trays.drier.stays, 0, 1);
    read.number(t, "warm_g", trays.drier.warm_g, -100, 100);
    read.number(t, "warm_s", trays.drier.warm_s, 1, any);
    read.number(t, "starts_h", trays.starts_h, 0, 24);
    read.number(t, "brought_s", trays.brought_s, 1, any);
    read.number(t, "cools_s", trays.cools_s, 1, any);
    read.number(t, "patience_s", trays.patience_s, 1, any);
    read.number(t, "between_s", trays.between_s, 0.5, any);
    read.number(t, "away_from_h", trays.away_from_h, 0, any);
    read.number(t, "away_for_h", trays.away_for_h, 0, any);
  });
  trays.drier.trays = static_cast<int>(count);
  if (there) to.trays = trays;
}

void read_room(Reader& read, const toml::table& all, Scenario& to) {
  RoomModel room;
  const bool there = read.one(all, "room", [&](const toml::table& t) {
    read.allow(t, {"mean_c", "swing_k", "defrost_every_h", "defrost_min", "defrost_k"});
    read.number(t, "mean_c", room.mean_c, -20, 50);
    read.number(t, "swing_k", room.swing_k, 0, 10);
    read.number(t, "defrost_every_h", room.defrost_every_h, 0, 1000);
    read.number(t, "defrost_min", room.defrost_min, 0, 600);
    read.number(t, "defrost_k", room.defrost_k, 0, 30);
  });
  read.each(all, "warm", [&](const toml::table& t) {
    WarmModel one;
    read.allow(t, {"from_h", "for_h", "kelvin"});
    read.number(t, "from_h", one.from_h, 0, 10'000);
    read.number(t, "for_h", one.for_h, 0, 10'000);
    read.number(t, "kelvin", one.kelvin, -50, 50);
    room.warm.push_back(one);
  });
  if (there) to.room = std::move(room);
}

void read_devices(Reader& read, const toml::table& all, Scenario& to) {
  read.one(all, "scale", [&](const toml::table& t) { read_scale(read, t, to.scale); });
  read.one(all, "fine", [&](const toml::table& t) { read_scale(read, t, to.fine.emplace()); });
  read.one(all, "pot", [&](const toml::table& t) {
    read.allow(t, {"power_w", "loss_w_per_k", "boils_at_c", "room_c", "heat_capacity_j_gk",
                   "solids_share"});
    read.number(t, "power_w", to.pot.power_w, 0, 20'000);
    read.number(t, "loss_w_per_k", to.pot.loss_w_per_k, 0, 500);
    read.number(t, "solids_share", to.pot.solids_share, 0, 0.6);
    read.number(t, "boils_at_c", to.pot.boils_at_c, coldest_boil_c, hottest_boil_c);
    read.number(t, "room_c", to.pot.room_c, -20, 50);
    read.number(t, "heat_capacity_j_gk", to.pot.heat_capacity_j_gk, 0.5, 5);
  });
  read_probe(read, all, "probe", to.probe);
  read_canner(read, all, to);
  read_probe(read, all, "canner_probe", to.canner_probe);
  read_trays(read, all, to);
  read_room(read, all, to);
  read_probe(read, all, "room_probe", to.room_probe);
}

AnswerModel read_answer(Reader& read, const toml::table& t) {
  AnswerModel one;
  read.allow(t, {"cue", "hears", "does", "pot", "of", "after_s"});
  read.text(t, "cue", one.cue);
  read.text(t, "hears", one.hears);
  if (!t.contains("does")) read.fault(t, "an answer needs does");
  read.word<Does>(t, "does",
                  {{"vessel", Does::vessel},
                   {"heat", Does::heat},
                   {"press", Does::press},
                   {"press_scale", Does::press_scale},
                   {"look", Does::look},
                   {"canner", Does::canner},
                   {"jars", Does::jars},
                   {"off", Does::off},
                   {"canner_off", Does::canner_off},
                   {"nothing", Does::nothing}},
                  one.does);
  read.texts(t, "of", one.of);
  if (t.contains("pot")) {
    PotName pot = PotName::pan;
    read.word<PotName>(t, "pot", {{"pan", PotName::pan}, {"canner", PotName::canner}}, pot);
    one.pot = pot;
  }
  read.number(t, "after_s", one.after_s, 0, any);
  return one;
}

TroubleModel read_trouble(Reader& read, const toml::table& t) {
  TroubleModel one;
  read.allow(t, {"what", "pot", "cue", "hears", "after_s", "for_s"});
  if (!t.contains("what")) read.fault(t, "a trouble needs what");
  read.word<TroubleModel::What>(t, "what",
                                {{"burner out", TroubleModel::What::burner_out},
                                 {"lid lifted", TroubleModel::What::lid_lifted},
                                 {"probe out", TroubleModel::What::probe_out},
                                 {"spoon on scale", TroubleModel::What::spoon_on_scale}},
                                one.what);
  if (one.what != TroubleModel::What::burner_out) one.for_s = 20;
  read.word<PotName>(t, "pot", {{"pan", PotName::pan}, {"canner", PotName::canner}}, one.pot);
  read.text(t, "cue", one.cue);
  read.text(t, "hears", one.hears);
  read.number(t, "after_s", one.after_s, 0, any);
  read.number(t, "for_s", one.for_s, 0, any);
  return one;
}

void read_cook(Reader& read, const toml::table& all, Scenario& to) {
  read.one(all, "cook", [&](const toml::table& t) {
    read.allow(t, {"vessel_g", "reaction_s", "reaction_spread_s", "closing_s", "care", "relight_s",
                   "presses", "fine_vessel_g"});
    read.number(t, "vessel_g", to.cook.vessel_g, 1, any);
    read.number(t, "fine_vessel_g", to.cook.fine_vessel_g, 1, any);
    read.number(t, "reaction_s", to.cook.reaction_s, 0.2, 5);
    read.number(t, "reaction_spread_s", to.cook.reaction_spread_s, 0, 1);
    read.number(t, "closing_s", to.cook.closing_s, 0, 2);
    read.number(t, "care", to.cook.care, 0, 0.5);
    read.number(t, "relight_s", to.cook.relight_s, 0, any);
    read.word<std::string>(t, "presses", {{"pedal", "pedal"}, {"scale", "scale"}}, to.cook.presses);
  });
  read.each(all, "ingredient", [&](const toml::table& t) {
    IngredientModel one;
    read.allow(t, {"name", "style", "flow_g_s", "scoop_g", "has_g", "there_is_g", "on"});
    read.text(t, "name", one.name);
    read.word<std::string>(t, "style", {{"pour", "pour"}, {"scoop", "scoop"}}, one.style);
    read.number(t, "flow_g_s", one.flow_g_s, 0.1, 500);
    read.number(t, "scoop_g", one.scoop_g, 0.1, 2000);
    read.number(t, "has_g", one.has_g, 0, any);
    read.number(t, "there_is_g", one.there_is_g, 0, any);
    read.word<bool>(t, "on", {{"bench", false}, {"fine", true}}, one.fine);
    to.ingredients.push_back(one);
  });
  read.each(all, "answer",
            [&](const toml::table& t) { to.answers.push_back(read_answer(read, t)); });
  read.one(all, "jars", [&](const toml::table& t) {
    read.allow(t, {"unsealed"});
    read.wholes(t, "unsealed", to.unsealed);
  });
}

void read_what_goes_wrong(Reader& read, const toml::table& all, Scenario& to) {
  read.each(all, "slip", [&](const toml::table& t) {
    SlipModel one;
    read.allow(t, {"ingredient", "late_s"});
    read.text(t, "ingredient", one.ingredient);
    read.number(t, "late_s", one.late_s, 0, 60);
    to.slips.push_back(one);
  });
  read.each(all, "fault", [&](const toml::table& t) {
    FaultModel one;
    read.allow(t, {"ingredient", "at_g", "for_s"});
    read.text(t, "ingredient", one.ingredient);
    read.number(t, "at_g", one.at_g, 0, any);
    read.number(t, "for_s", one.for_s, 0.1, 3600);
    to.faults.push_back(one);
  });
  read.each(all, "trouble",
            [&](const toml::table& t) { to.troubles.push_back(read_trouble(read, t)); });
}

}  // namespace

ScenarioRead read_scenario(std::string_view text, std::string_view file) {
  ScenarioRead result;
  Reader read(file);
  try {
    const toml::table all = toml::parse(text, file);
    read.allow(all, {"seed", "scale", "fine", "probe", "pot", "canner", "canner_probe", "trays",
                     "room", "warm", "room_probe", "jars", "cook", "ingredient", "answer", "slip",
                     "fault", "trouble"});
    double seed = 1;
    read.number(all, "seed", seed, 0, 1e15);
    result.scenario.seed = static_cast<std::uint64_t>(seed);
    read_devices(read, all, result.scenario);
    read_cook(read, all, result.scenario);
    read_what_goes_wrong(read, all, result.scenario);
    result.trouble = read.trouble;
  } catch (const toml::parse_error& fault) {
    const auto begin = fault.source().begin;
    result.trouble = std::string(file) + ":" + std::to_string(begin.line) + ":" +
                     std::to_string(begin.column) + ": " + std::string(fault.description());
  }
  return result;
}

}  // namespace maslin::kitchen
