// Scenario files by toml++. Unknown keys are faults, so that a misspelt slip does not pass for a
// good cook.
#include "plugins/kitchen/scenario.hpp"

#include <toml++/toml.h>
#include <algorithm>
#include <initializer_list>
#include <sstream>

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
      if (const auto* table = one.as_table()) use(*table);
    }
  }
  template <class Use>
  void one(const toml::table& all, std::string_view key, Use use) {
    if (const auto* table = all[key].as_table()) use(*table);
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

void read_devices(Reader& read, const toml::table& all, Scenario& to) {
  read.one(all, "scale", [&](const toml::table& t) {
    read.allow(t,
               {"interval_g", "capacity_g", "rate_hz", "lag_s", "noise_g", "sleep_s", "span_ppm"});
    read.number(t, "interval_g", to.scale.interval_g, 0.01, 100);
    read.number(t, "capacity_g", to.scale.capacity_g, 1, any);
    read.number(t, "rate_hz", to.scale.rate_hz, 0.5, 50);
    read.number(t, "lag_s", to.scale.lag_s, 0, 3);
    read.number(t, "noise_g", to.scale.noise_g, 0, 10);
    read.number(t, "sleep_s", to.scale.sleep_s, 0, any);
    read.number(t, "span_ppm", to.scale.span_ppm, -100'000, 100'000);
  });
  read.one(all, "probe", [&](const toml::table& t) {
    read.allow(t, {"lag_s", "offset_k", "noise_k", "period_s"});
    read.number(t, "lag_s", to.probe.lag_s, 0.1, 60);
    read.number(t, "offset_k", to.probe.offset_k, -5, 5);
    read.number(t, "noise_k", to.probe.noise_k, 0, 2);
    read.number(t, "period_s", to.probe.period_s, 0.1, 60);
  });
  read.one(all, "pot", [&](const toml::table& t) {
    read.allow(t, {"power_w", "loss_w_per_k", "boils_at_c", "room_c", "heat_capacity_j_gk"});
    read.number(t, "power_w", to.pot.power_w, 0, 20'000);
    read.number(t, "loss_w_per_k", to.pot.loss_w_per_k, 0, 500);
    read.number(t, "boils_at_c", to.pot.boils_at_c, 50, 150);
    read.number(t, "room_c", to.pot.room_c, -20, 50);
    read.number(t, "heat_capacity_j_gk", to.pot.heat_capacity_j_gk, 0.5, 5);
  });
}

void read_cook(Reader& read, const toml::table& all, Scenario& to) {
  read.one(all, "cook", [&](const toml::table& t) {
    read.allow(t, {"vessel_g", "reaction_s", "reaction_spread_s", "closing_s", "care"});
    read.number(t, "vessel_g", to.cook.vessel_g, 1, any);
    read.number(t, "reaction_s", to.cook.reaction_s, 0.2, 5);
    read.number(t, "reaction_spread_s", to.cook.reaction_spread_s, 0, 1);
    read.number(t, "closing_s", to.cook.closing_s, 0, 2);
    read.number(t, "care", to.cook.care, 0, 0.5);
  });
  read.each(all, "ingredient", [&](const toml::table& t) {
    IngredientModel one;
    read.allow(t, {"name", "style", "flow_g_s", "scoop_g", "has_g"});
    read.text(t, "name", one.name);
    read.text(t, "style", one.style);
    if (one.style != "pour" && one.style != "scoop") read.fault(t, "style is pour or scoop");
    read.number(t, "flow_g_s", one.flow_g_s, 0.1, 500);
    read.number(t, "scoop_g", one.scoop_g, 0.1, 2000);
    read.number(t, "has_g", one.has_g, 0, any);
    to.ingredients.push_back(one);
  });
  read.each(all, "answer", [&](const toml::table& t) {
    AnswerModel one;
    read.allow(t, {"hears", "does", "after_s"});
    read.text(t, "hears", one.hears);
    read.text(t, "does", one.does);
    if (one.does != "vessel" && one.does != "heat" && one.does != "press" &&
        one.does != "nothing") {
      read.fault(t, "does is vessel, heat, press or nothing");
    }
    read.number(t, "after_s", one.after_s, 0, any);
    to.answers.push_back(one);
  });
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
}

}  // namespace

ScenarioRead read_scenario(std::string_view text, std::string_view file) {
  ScenarioRead result;
  Reader read(file);
  try {
    const toml::table all = toml::parse(text, file);
    read.allow(all,
               {"seed", "scale", "probe", "pot", "cook", "ingredient", "answer", "slip", "fault"});
    double seed = 1;
    read.number(all, "seed", seed, 0, 1e15);
    result.scenario.seed = static_cast<std::uint64_t>(seed);
    read_devices(read, all, result.scenario);
    read_cook(read, all, result.scenario);
    result.trouble = read.trouble;
  } catch (const toml::parse_error& fault) {
    const auto begin = fault.source().begin;
    result.trouble = std::string(file) + ":" + std::to_string(begin.line) + ":" +
                     std::to_string(begin.column) + ": " + std::string(fault.description());
  }
  return result;
}

}  // namespace maslin::kitchen
