// The small vocabulary of these tests: an invented formula, its text with pieces exchanged, and
// scales.
#pragma once

#include <gtest/gtest.h>

#include <string>
#include <string_view>

#include "daemon/formula/read.hpp"
#include "daemon/plan/plan.hpp"

namespace maslin::plan {

inline constexpr std::string_view kRelish = R"(name = "Pier relish"
status = "own"
keeping = "refrigerator"
largest_multiple = 2
jars = 3
jar = "250 mL"

[[ingredient]]
name = "onion"
amount = "2 cups"
form = "chopped"
counts_as = "low-acid food"
lead = true
band = "5 %"

[[ingredient]]
name = "cider vinegar"
amount = "1 1/2 cups"
counts_as = "acid"
below = "3 %"
above = "10 %"

[[ingredient]]
name = "sugar"
amount = "3/4 cup"
counts_as = "sugar"
band = "5 %"

[[ingredient]]
name = "table salt"
amount = "1 tbsp"
counts_as = "salt"
band = "10 %"

[[ratio]]
of = "acid"
per = "low-acid food"
least = "0.8"

[[operation]]
kind = "prepare"
[[operation]]
kind = "weigh"
[[operation]]
kind = "heat"
until = "boil"
[[operation]]
kind = "dwell"
time = "10 min"
while = "boiling"
[[operation]]
kind = "fill"
[[operation]]
kind = "cool"
)";

inline std::string changed(std::string text, std::string_view from, std::string_view to) {
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return at == std::string::npos ? text : text.replace(at, from.size(), to);
}
inline std::string relish_with(std::string_view from, std::string_view to) {
  return changed(std::string(kRelish), from, to);
}

inline formula::Formula formula_of(std::string_view text) {
  auto formula = formula::read(text, "pier.toml");
  if (formula) return *formula;
  for (const auto& trouble : formula.error())
    ADD_FAILURE() << trouble.where << ": " << trouble.what;
  return {};
}

inline proto::LeasedDevice scale(proto::Role role, std::int64_t interval_ug,
                                 std::int64_t capacity_g) {
  proto::LeasedDevice leased;
  leased.role = role;
  leased.description.quantity = proto::Quantity::mass;
  leased.description.interval_ug = interval_ug;
  leased.description.capacity_ug = capacity_g * 1'000'000;
  return leased;
}
inline proto::LeasedDevice bench() { return scale(proto::Role::bench, 1'000'000, 5000); }
inline proto::LeasedDevice fine() { return scale(proto::Role::fine, 100'000, 500); }

inline Equipment kitchen(std::vector<proto::LeasedDevice> scales = {bench()}) {
  Equipment equipment;
  equipment.scales = std::move(scales);
  return equipment;
}

inline proto::PlanRequest by_factor(double factor) {
  proto::PlanRequest request;
  request.factor = factor;
  return request;
}
inline proto::PlanRequest by_jars(double jars) {
  proto::PlanRequest request;
  request.jars = jars;
  return request;
}
inline proto::PlanRequest having(std::vector<std::string> have) {
  proto::PlanRequest request;
  request.have = std::move(have);
  return request;
}

inline const proto::PlannedIngredient& of(const proto::Plan& plan, std::string_view name) {
  for (const auto& ingredient : plan.ingredients) {
    if (ingredient.name == name) return ingredient;
  }
  ADD_FAILURE() << "no " << name;
  return plan.ingredients.front();
}

// All troubles of an answer, one a line; "" where there is none.
template <class T>
std::string refusal(const proto::Results<T>& answer) {
  std::string all;
  if (answer) return all;
  for (const auto& trouble : answer.error()) {
    all += trouble.where + ": " + trouble.what + "; " + trouble.todo + "\n";
  }
  return all;
}

inline constexpr std::int64_t kGram = 1'000'000;

}  // namespace maslin::plan
