// Phrases of words.hpp.
#include "daemon/batch/words.hpp"

#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"

namespace maslin::batch {

std::string amount(std::int64_t micrograms, std::int64_t interval_ug) {
  return quantity::grams(micrograms, interval_ug);
}

std::string ingredient_line(const proto::PlannedIngredient& ingredient, std::int64_t interval_ug) {
  return amount(ingredient.aim_ug, interval_ug) + " " + ingredient.name + " (" + ingredient.amount +
         ")";
}

std::string plan_line(const proto::Plan& plan, std::int64_t interval_ug) {
  std::string text;
  for (const auto& ingredient : plan.ingredients) {
    if (!text.empty()) text += ", ";
    text +=
        ingredient.name + " " +
        (ingredient.check == "weigh" ? amount(ingredient.aim_ug, interval_ug) : ingredient.amount);
  }
  return text;
}

std::string capitalised(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z')
    text[0] = static_cast<char>(text[0] - 'a' + 'A');
  return text;
}

std::string pan_words(const proto::Held& held) {
  if (held.pan.empty() || held.good_for_s == 0) return held.pan;
  return held.pan + " Good for " + quantity::span_of_time(held.good_for_s * 1000) + ".";
}

}  // namespace maslin::batch
