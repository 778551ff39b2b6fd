// What the operations of one batch share: the plan, the scales and thermometers, what has been
// weighed, and the way out for outcomes. Owned by Engine, handed to the running operation.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/formula/formula.hpp"
#include "daemon/plan/ratios.hpp"
#include "daemon/preserving/boil_watch.hpp"
#include "daemon/weighing/pan.hpp"
#include "proto/entry.hpp"

namespace maslin::batch {

struct ScaleDesk {
  std::uint16_t device = 0;
  proto::Role role = proto::Role::bench;
  std::int64_t interval_ug = 0;
  std::int64_t capacity_ug = 0;
  bool lost = false;
  bool faulty = false;
  weighing::Pan pan;
};

struct Thermometer {
  std::uint16_t device = 0;
  proto::Role role = proto::Role::pan;
  bool lost = false;
  std::optional<std::int64_t> temperature_mk;  // empty while lost or faulty
  std::int64_t at_ms = 0;
};

// An ingredient that is done with, as it counts in the ratios.
struct Done {
  plan::WeighedMass mass;
  std::string verdict;
};

class Desk {
 public:
  std::int64_t now_ms = 0;
  std::int64_t watched_ms = 0;  // the moment before the present input: until then all was watched
  std::uint64_t reading = 0;    // number of the newest
  proto::Start start;
  proto::Plan plan;
  formula::Formula formula;
  std::vector<ScaleDesk> scales;
  std::vector<Thermometer> thermometers;
  preserving::BoilWatch boil;
  std::vector<Done> done;
  std::string last_cue;
  bool paused =
      false;  // held for a reason that stops the step: nothing is judged, nothing advances

  void emit(proto::Outcome outcome) { outcomes_.push_back(std::move(outcome)); }
  // `id` must be in the catalogue, which gives the urgency.
  void cue(std::string_view id, std::string text, std::string ingredient = {},
           std::int64_t amount_ug = 0);
  // Opens or ends a hold. A hold is known by its reason; opening it twice is once.
  void hold(proto::Held held);
  void release(std::string_view reason, std::string_view by);
  bool held() const { return !holds_.empty(); }
  bool held_for(std::string_view reason) const;
  const std::vector<proto::Held>& holds() const { return holds_; }

  const proto::PlannedIngredient* planned(std::string_view name) const;
  ScaleDesk* scale(proto::Role role);
  Thermometer* thermometer(proto::Role role);
  // The pan's temperature, or empty.
  std::optional<std::int64_t> pan_mk() const;

  std::vector<proto::Outcome>& outcomes() { return outcomes_; }

 private:
  std::vector<proto::Outcome> outcomes_;
  std::vector<proto::Held> holds_;
};

}  // namespace maslin::batch
