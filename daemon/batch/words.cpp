// Phrases of words.hpp.
#include "daemon/batch/words.hpp"

#include <algorithm>

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
  const std::string grams = amount(ingredient.aim_ug, interval_ug);
  if (ingredient.kitchen.empty()) return grams + " " + ingredient.name;
  if (!kitchen_first(plan)) {
    return grams + " " + ingredient.name + " (" + with_form(ingredient) + ")";
  }
  return ingredient.kitchen + " " + ingredient.name +
         (ingredient.form.empty() ? "" : ", " + ingredient.form) + ": " + grams;
}

std::string about_so_much(const proto::Plan& plan, const proto::PlannedIngredient& ingredient,
                          std::int64_t interval_ug) {
  const std::string grams = amount(ingredient.aim_ug, interval_ug);
  if (ingredient.kitchen.empty()) return "about " + grams;
  return kitchen_first(plan) ? "about " + with_form(ingredient) + ", " + grams
                             : "about " + grams + " (" + with_form(ingredient) + ")";
}

std::string plan_line(const proto::Plan& plan, std::int64_t interval_ug) {
  std::string text;
  for (const auto& ingredient : plan.ingredients) {
    if (!text.empty()) text += ", ";
    text += ingredient.name + " ";
    const std::string grams = amount(ingredient.aim_ug, interval_ug);
    if (ingredient.check != "weigh") {
      text += ingredient.amount;
    } else if (kitchen_first(plan) && !ingredient.kitchen.empty()) {
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
