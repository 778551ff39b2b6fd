// `figure grams`: what an amount as a kitchen measures it weighs.
#include <string>

#include "daemon/figures/kinds.hpp"
#include "daemon/formula/foods.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::figures {

proto::Results<Figure> grams(Asked& asked) {
  const std::string amount_text = asked.text_if_given("amount").value_or("");
  const std::string what = asked.text_if_given("ingredient").value_or("");
  const auto amount = quantity::parse_amount(amount_text);
  if (!amount && asked.given("amount")) {
    asked.refuse(amount.error().what, "amount", amount.error().todo);
  }
  // "onion, chopped"
  const auto comma = what.find(',');
  const std::string name = what.substr(0, comma);
  std::string form = comma == std::string::npos ? "" : what.substr(comma + 1);
  form.erase(0, form.find_first_not_of(' '));
  const auto* food = formula::find_food(name);
  if (food == nullptr && asked.given("ingredient")) {
    std::string names;
    for (const auto& one : formula::foods()) {
      names += (names.empty() ? "" : ", ") + std::string(one.name);
    }
    asked.refuse("\"" + proto::excerpt(name, 60) + "\" is not in the table", "ingredient",
                 "write one of: " + names);
  }
  if (!asked.good()) return tl::unexpected(asked.troubles());
  formula::Ingredient ingredient;
  ingredient.name = name;
  ingredient.amount = *amount;
  ingredient.form = form;
  ingredient.weighs = formula::table_weights(*food, form);
  const auto mass = formula::mass_of(ingredient, *amount, quantity::Cups::us_customary);
  if (!mass) {
    std::string forms;
    for (const auto& one : formula::known_forms(*food)) forms += (forms.empty() ? "" : ", ") + one;
    asked.refuse(mass.error().what, "ingredient",
                 forms.empty() ? mass.error().todo
                               : "write the form too, \"" + name + ", chopped\": " + forms);
    return tl::unexpected(asked.troubles());
  }
  const double value = static_cast<double>(*mass) / 1e6;
  Figure figure;
  figure.fields = {{"mass_g", value}};
  figure.value =
      quantity::text(*amount) + " of " + what + " weigh " + quantity::plain(value, 1) + " g";
  figure.accuracy = "a cup is packed and a piece grown as it happens: weigh what is critical";
  figure.range = "US customary cups and spoons, as prepared";
  figure.source =
      "USDA National Nutrient Database for Standard Reference, NDB " + std::to_string(food->ndb);
  return figure;
}

}  // namespace maslin::figures
