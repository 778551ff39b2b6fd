// Foods by name; see the header.
#include "daemon/formula/foods.hpp"

#include <algorithm>
#include <array>

namespace maslin::formula {
namespace {

// Names that leave open which food is meant (a "sweet pepper" may be green or yellow, and the
// yellow one is heavier) are not in here: the formula says `like` instead.
constexpr std::array<Food, 33> kFoods{{
    {"sugar", 19335, false},
    {"granulated sugar", 19335, false},
    {"brown sugar", 19334, false},
    {"powdered sugar", 19336, false},
    {"cider vinegar", 2048, false},
    {"distilled vinegar", 2053, false},
    {"white vinegar", 2053, false},
    {"table salt", 2047, false},
    {"honey", 19296, false},
    {"fresh lemon juice", 9152, false},
    {"bottled lemon juice", 9153, false},
    {"lime juice", 9160, false},
    {"powdered pectin", 19310, false},
    {"green chili", 11670, true},
    {"red chili", 11819, true},
    {"green sweet pepper", 11333, false},
    {"red sweet pepper", 11821, false},
    {"yellow sweet pepper", 11951, false},
    {"jalapeno", 11979, true},
    {"jalapeño", 11979, true},
    {"serrano", 11977, true},
    {"banana pepper", 11976, false},
    {"cucumber", 11205, false},
    {"onion", 11282, false},
    {"garlic", 11215, false},
    {"cranberries", 9078, false},
    {"strawberries", 9316, false},
    {"apples", 9003, false},
    {"apple", 9003, false},
    {"water", 14411, false},
    {"orange juice", 9206, false},
    {"dried chili", 11962, true},
    {"freeze-dried red sweet pepper", 11931, false},
}};

bool counted(quantity::Measure measure) {
  return measure == quantity::Measure::piece || measure == quantity::Measure::package;
}

}  // namespace

std::span<const Food> foods() { return kFoods; }

const Food* find_food(std::string_view name) {
  const auto food =
      std::find_if(kFoods.begin(), kFoods.end(), [&](const Food& f) { return f.name == name; });
  return food == kFoods.end() ? nullptr : &*food;
}

std::vector<Weighs> table_weights(const Food& food, std::string_view form) {
  std::vector<Weighs> found;
  for (const Portion& portion : portions()) {
    if (portion.ndb != food.ndb) continue;
    const bool any_form = portion.form.empty() && counted(portion.unit);
    if (portion.form != form && !any_form) continue;
    found.push_back({{portion.amount, portion.unit},
                     portion.mass_mg * 1000,
                     "USDA SR " + std::to_string(portion.ndb) + ", " + std::string(portion.measure),
                     quantity::Cups::us_customary});
  }
  return found;
}

std::vector<std::string> known_forms(const Food& food) {
  std::vector<std::string> forms;
  for (const Portion& portion : portions()) {
    if (portion.ndb != food.ndb || portion.form.empty()) continue;
    if (std::find(forms.begin(), forms.end(), portion.form) == forms.end()) {
      forms.emplace_back(portion.form);
    }
  }
  return forms;
}

}  // namespace maslin::formula
