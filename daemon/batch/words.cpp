// Phrases of words.hpp.
#include "daemon/batch/words.hpp"

#include <algorithm>

#include "daemon/batch/desk.hpp"
#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/kitchen.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {
namespace {

bool kitchen_first(const proto::Plan& plan) { return plan.units == "kitchen"; }

std::string with_form(const proto::PlannedIngredient& ingredient) {
  return ingredient.kitchen + (ingredient.form.empty() ? "" : ", " + ingredient.form);
}

// In cups and spoons; empty where that is not known.
std::string spoons(const proto::Plan& plan, const proto::PlannedIngredient& ingredient,
                   std::int64_t micrograms) {
  const auto cups = quantity::cups_named(plan.cups);
  if (ingredient.cup_ug <= 0 || micrograms <= 0 || !cups) return "";
  return quantity::kitchen_text(
      {{1, 1}, quantity::Measure::cup},
      static_cast<double>(micrograms) / static_cast<double>(ingredient.cup_ug), *cups);
}

// As the scale shows it, or finer: rounded to its steps a small amount may lie outside its band.
std::string aim_text(const proto::PlannedIngredient& ingredient, std::int64_t interval_ug) {
  std::int64_t digit_ug = 1'000'000;  // what its last digit stands for
  while (digit_ug > 1000 && interval_ug % digit_ug != 0) digit_ug /= 10;
  for (; interval_ug > 0 && digit_ug >= 1000; digit_ug /= 10) {
    const std::int64_t shown_ug = quantity::nearest_multiple(ingredient.aim_ug, digit_ug);
    if (shown_ug >= ingredient.lower_ug && shown_ug <= ingredient.upper_ug) {
      return amount(ingredient.aim_ug, digit_ug);
    }
  }
  return amount(ingredient.aim_ug, interval_ug);
}

}  // namespace

std::string amount(std::int64_t micrograms, std::int64_t interval_ug) {
  return quantity::grams(micrograms, interval_ug);
}

std::string amount_of(const proto::Plan& plan, const proto::PlannedIngredient& ingredient,
                      std::int64_t micrograms, std::int64_t interval_ug, const std::string& what) {
  const std::string grams = amount(micrograms, interval_ug);
  const std::string kitchen = spoons(plan, ingredient, micrograms);
  if (kitchen.empty()) return grams + " " + what;
  return kitchen_first(plan) ? kitchen + " " + what + ", " + grams
                             : grams + " " + what + " (" + kitchen + ")";
}

std::string ingredient_line(const proto::Plan& plan, const proto::PlannedIngredient& ingredient,
                            std::int64_t interval_ug) {
  const std::string grams = aim_text(ingredient, interval_ug);
  if (ingredient.kitchen.empty()) return grams + " " + ingredient.name;
  if (!kitchen_first(plan)) {
    return grams + " " + ingredient.name + " (" + with_form(ingredient) + ")";
  }
  return ingredient.kitchen + " " + ingredient.name +
         (ingredient.form.empty() ? "" : ", " + ingredient.form) + ": " + grams;
}

std::string about_so_much(const proto::Plan& plan, const proto::PlannedIngredient& ingredient,
                          std::int64_t interval_ug) {
  const std::string grams = aim_text(ingredient, interval_ug);
  if (ingredient.kitchen.empty()) return "about " + grams;
  return kitchen_first(plan) ? "about " + with_form(ingredient) + ", " + grams
                             : "about " + grams + " (" + with_form(ingredient) + ")";
}

std::int64_t interval_for(const Desk& desk, const proto::PlannedIngredient& ingredient) {
  std::int64_t bench_ug = 0;
  for (const auto& scale : desk.scales) {
    if (proto::name(scale.role) == ingredient.role) return scale.interval_ug;
    if (scale.role == proto::Role::bench) bench_ug = scale.interval_ug;
  }
  return bench_ug > 0 || desk.scales.empty() ? bench_ug : desk.scales.front().interval_ug;
}

std::string plan_line(const Desk& desk) {
  std::string text;
  for (const auto& ingredient : desk.plan.ingredients) {
    if (!text.empty()) text += ", ";
    text += ingredient.name + " ";
    const std::string grams = aim_text(ingredient, interval_for(desk, ingredient));
    if (ingredient.check != "weigh") {
      text += ingredient.amount;
    } else if (kitchen_first(desk.plan) && !ingredient.kitchen.empty()) {
      text += ingredient.kitchen + " (" + grams + ")";
    } else {
      text += grams;
    }
  }
  return text;
}

std::string capitalised(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z')
    text[0] = static_cast<char>(text[0] - 'a' + 'A');
  return text;
}

proto::Trouble untouched(std::int64_t left_ms) {
  return {"the jars are to stand untouched, " +
              quantity::span_of_time(std::max<std::int64_t>(left_ms, 0)) + " to go",
          "", "leave them alone; a lid that pops meanwhile is good, but no proof"};
}

std::string pan_words(const proto::Held& held) {
  if (held.pan.empty() || held.good_for_s == 0) return held.pan;
  return held.pan + " Good for " + quantity::span_of_time(held.good_for_s * 1000) + ".";
}

std::optional<proto::Trouble> too_long(const std::string& text) {
  constexpr std::size_t longest_text = 4096;  // bytes
  if (text.size() <= longest_text) return std::nullopt;
  return proto::Trouble{"the text has " + std::to_string(text.size()) + " bytes", "text",
                        "write at most " + std::to_string(longest_text) + " of them"};
}

}  // namespace maslin::batch
