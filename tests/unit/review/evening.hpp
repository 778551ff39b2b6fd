// The vocabulary of the review's tests: a record told entry by entry. The relish is invented and
// was not tested for safety.
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include "daemon/review/review.hpp"
#include "proto/entry.hpp"

namespace maslin::review {

inline constexpr std::int64_t kGram = 1'000'000;
inline constexpr std::int64_t kEveningUtcMs = 1'795'608'000'000;  // when it began

inline proto::PlannedIngredient planned(const std::string& name, std::int64_t aim_g,
                                        std::int64_t lower_g, std::int64_t upper_g,
                                        bool critical = false) {
  proto::PlannedIngredient out;
  out.name = name;
  out.amount = "1 cup";
  out.aim_ug = aim_g * kGram;
  out.lower_ug = lower_g * kGram;
  out.upper_ug = upper_g * kGram;
  out.critical = critical;
  return out;
}

class Evening {
 public:
  Evening() {
    proto::Plan& plan = start.plan;
    plan.formula = "Lantern relish";
    plan.keeping = "shelf";
    plan.may_be_called = "For the shelf, as its source says.";
    plan.factor = 1.5;
    plan.ingredients = {planned("vinegar", 240, 230, 300, true),
                        planned("onion", 400, 380, 420, true), planned("sugar", 200, 190, 210),
                        planned("salt", 5, 4, 6)};
    plan.ingredients[0].unsafe_under = true;
    plan.ingredients[1].unsafe_over = true;
    plan.ratios = {{"acid", "low-acid food", true, 550'000, {"vinegar"}, {"onion"}, 0, {}}};
    plan.operations.resize(2);
    start.batch = "2026-11-25-1";
    proto::LeasedDevice bench;
    bench.role = proto::Role::bench;
    bench.description.interval_ug = kGram;
    proto::LeasedDevice pan;
    pan.role = proto::Role::pan;
    pan.description.quantity = proto::Quantity::temperature;
    start.devices = {bench, pan};
  }

  Evening& at(std::int64_t seconds) {
    at_ms = 50'000 + seconds * 1000;
    return *this;
  }
  template <class T>
  Evening& input(T body) {
    return add(proto::Input(std::move(body)));
  }
  template <class T>
  Evening& outcome(T body) {
    return add(proto::Outcome(std::move(body)));
  }
  Evening& begin() { return input(start).outcome(proto::BatchState{"running", ""}); }
  Evening& weighed(const std::string& name, std::int64_t net_g, const std::string& verdict,
                   bool accepted = false) {
    const auto& p = *std::find_if(start.plan.ingredients.begin(), start.plan.ingredients.end(),
                                  [&](const auto& i) { return i.name == name; });
    proto::Weighing weighing;
    weighing.ingredient = name;
    weighing.net_ug = net_g * kGram;
    weighing.standard_uncertainty_ug = kGram / 2;
    weighing.expanded_uncertainty_ug = kGram;
    weighing.how = "poured";
    weighing.device = 0;
    proto::Verdict v;
    v.ingredient = name;
    v.verdict = verdict;
    v.net_ug = weighing.net_ug;
    v.aim_ug = p.aim_ug;
    v.lower_ug = p.lower_ug;
    v.upper_ug = p.upper_ug;
    v.critical = p.critical;
    v.accepted = accepted;
    return outcome(weighing).outcome(v);
  }
  Evening& by_measure(const std::string& name) {
    proto::Weighing weighing;
    weighing.ingredient = name;
    weighing.how = "by measure";
    weighing.indications = 0;
    return outcome(weighing);
  }
  Evening& all_within() {
    return weighed("vinegar", 241, "within")
        .weighed("onion", 402, "within")
        .weighed("sugar", 199, "within")
        .weighed("salt", 5, "within");
  }
  Evening& end(const std::string& state) { return outcome(proto::BatchState{state, ""}); }
  Evening& pan_shows(double celsius, std::uint16_t bits = 0) {
    proto::Reading r;
    r.number = readings.size() + 1;
    r.at_ms = at_ms;
    r.device = 1;
    r.quantity = proto::Quantity::temperature;
    r.unit = proto::Unit::celsius;
    r.exponent = -1;
    r.digits = static_cast<std::int64_t>(celsius * 10 + 0.5);
    r.state = bits;
    readings.push_back(r);
    return *this;
  }
  proto::Report report() const { return review::report(entries, readings, "abcdef0123456789ffff"); }

  proto::Start start;
  std::vector<proto::Entry> entries;
  std::vector<proto::Reading> readings;

 private:
  Evening& add(std::variant<proto::Input, proto::Outcome> body) {
    proto::Entry entry;
    entry.stamp = {static_cast<std::int64_t>(entries.size()) + 1, at_ms,
                   kEveningUtcMs + at_ms - 50'000, readings.size()};
    entry.body = std::move(body);
    entries.push_back(std::move(entry));
    return *this;
  }

  std::int64_t at_ms = 50'000;
};

}  // namespace maslin::review
